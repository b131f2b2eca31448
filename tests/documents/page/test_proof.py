"""What the page does in a browser, by what a person sees, presses and hears."""

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from pypdf import PdfReader

from signplan.documents.proof import render_proof
from signplan.plan import Plan

Open = Callable[..., Any]
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
WIDE = {"viewport": {"width": 1400, "height": 900}}
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


def heard(page: Any) -> list[str]:
    """The drawings that a screen reader comes to, by name."""
    return [each.get_attribute("aria-label") for each in page.locator("#stage").get_by_role("img").all()]


def faults(page: Any, axe: str) -> dict[str, list[str]]:
    """What axe-core finds wrong: each rule of WCAG A and AA that is broken, and where."""
    page.evaluate(axe)
    result = page.evaluate("rules => axe.run(document, {runOnly: rules})", RULES)
    assert len(result["passes"]) > 15
    return {each["id"]: [node["html"][:120] for node in each["nodes"]] for each in result["violations"]}


def seen(page: Any) -> Image.Image:
    """The drawing as it is painted."""
    return Image.open(io.BytesIO(page.locator("#stage").screenshot())).convert("L")


def comes_into_view(page: Any, selector: str) -> bool:
    """Whether a thing is in the window, at the latest after a second of scrolling."""
    for _ in range(20):
        box = page.locator(selector).bounding_box()
        if 0 <= box["y"] <= page.viewport_size["height"] - box["height"]:
            return True
        page.wait_for_timeout(50)
    return False


def middle(box: dict[str, float]) -> tuple[float, float]:
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, WIDE], ids=["phone", "wide"])
def test_nothing_breaks_wcag_aa(
    open_proof: Open, axe: str, found: Plan, scheme: str, size: dict[str, Any]
) -> None:
    page = open_proof(found, color_scheme=scheme, **size)
    assert not faults(page, axe)
    page.locator("#through").fill("14")
    page.locator("summary").click()
    page.get_by_role("button", name="show its place (1)").click()
    assert not faults(page, axe)


def test_faint_words_would_be_found(open_proof: Open, axe: str, plan: Plan) -> None:
    page = open_proof(plan, color_scheme="light")
    page.evaluate("document.querySelector('h1').style.color = '#999'")
    assert faults(page, axe).keys() == {"color-contrast"}


def test_tab_and_arrows_are_enough_to_look_at_and_through_the_sign(open_proof: Open, found: Plan) -> None:
    page = open_proof(found, **WIDE)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the findings"
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowRight")
    assert heard(page) == ["Side B as its reader sees it."]
    page.keyboard.press("Tab")
    slider = page.get_by_role("slider", name="look through")
    assert slider.evaluate("each => each === document.activeElement")
    stages, spoken = [seen(page)], [slider.get_attribute("aria-valuetext")]
    for key in ("ArrowRight", "End"):
        page.keyboard.press(key)
        stages.append(seen(page))
        spoken.append(slider.get_attribute("aria-valuetext"))
    assert spoken == ["face", "10 % from face to inner face", "cavity"]
    assert heard(page) == ["Panel B taken away: A's recesses, B's dashed, the steel dark."]
    assert len({each.tobytes() for each in stages}) == 3
    page.keyboard.press("Home")
    assert heard(page) == ["Side B as its reader sees it."]


def test_the_slider_goes_through_the_board_to_the_steel(open_proof: Open, plan: Plan) -> None:
    """Where a hanger's rod lies behind the board: board, then its pocket, then steel, each darker."""
    page = open_proof(plan, color_scheme="light", **WIDE)
    stage, rod = (page.locator(each).first.bounding_box() for each in ("#stage", "#side-A-cavity .r-axis"))
    x, y = middle(rod)
    at = int(x - stage["x"] + 2), int(y + rod["height"] * 0.3 - stage["y"])
    shades = []
    for through in ("0", "10", "20"):
        page.locator("#through").fill(through)
        shades.append(seen(page).getpixel(at))
    face, pocket, steel = shades
    assert face > 250
    assert steel < 140 < pocket < 250


def test_the_glue_side_has_nothing_to_look_through(open_proof: Open, plan: Plan) -> None:
    page = open_proof(plan)
    page.get_by_label("glue side of B").check()
    assert heard(page) == ["Panel B's inner face, seen from the glue side."]
    assert page.locator("#through").is_disabled()


def test_a_finding_in_focus_marks_its_place(open_proof: Open, found: Plan) -> None:
    """Against the sign's own edges: at (228.6, 390) mm of 914.4 x 609.6 mm."""
    page = open_proof(found, **WIDE)
    page.get_by_role("button", name="show its place (1)").focus()
    assert heard(page) == ["Through side A: the recesses behind it."]
    ring = page.locator("#side-A-inner-face .spot.on circle").bounding_box()
    board = page.locator("#side-A-inner-face .r-board").bounding_box()
    x, y = middle(ring)
    assert (x - board["x"]) / board["width"] == pytest.approx(228.6 / 914.4, abs=0.004)
    assert 1 - (y - board["y"]) / board["height"] == pytest.approx(390 / 609.6, abs=0.006)
    page.keyboard.press("Tab")
    assert page.locator(".spot.on").first.get_attribute("data-finding") == "1"
    assert heard(page) == ["Side B as its reader sees it."]


def test_a_finding_under_the_pointer_marks_its_place_until_it_leaves(open_proof: Open, found: Plan) -> None:
    page = open_proof(found, **WIDE)
    page.locator("#finding-2").hover()
    assert heard(page) == ["Side B as its reader sees it."]
    assert page.locator("#side-B-face .spot.on").is_visible()
    page.locator("h1").hover()
    assert page.locator(".spot.on").count() == 0


def test_a_tap_on_a_finding_goes_to_its_place_and_back(open_proof: Open, found: Plan) -> None:
    page = open_proof(found, **PHONE)
    button = page.get_by_role("button", name="show its place (1)")
    button.tap()
    assert comes_into_view(page, "#side-A-inner-face .spot.on circle")
    assert button.get_attribute("aria-pressed") == "true"
    page.get_by_role("link", name="back to finding 1").tap()
    assert comes_into_view(page, "#finding-1 .kind")
    button.tap()
    assert page.locator(".spot.on").count() == 0


def test_a_click_on_a_place_leads_to_its_finding(open_proof: Open, found: Plan) -> None:
    page = open_proof(found, **WIDE)
    page.get_by_label("side B", exact=True).check()
    page.locator("#side-B-face .spot circle").click()
    assert page.locator("#finding-2.on").is_visible()


def test_the_strip_says_what_a_bar_is(open_proof: Open, plan: Plan) -> None:
    page = open_proof(plan, **WIDE)
    first = page.locator(".strip rect:not(.s-wait)").first
    first.hover()
    assert page.locator("#bar").text_content() == first.text_content()
    assert first.text_content().startswith("10 ")


@pytest.mark.parametrize("width", [320, 360, 768])
def test_a_narrow_window_never_scrolls_sideways(open_proof: Open, found: Plan, width: int) -> None:
    """WCAG 1.4.10: nothing is lost at 320 CSS pixels; wide tables scroll in themselves, by keys too."""
    page = open_proof(found, viewport={"width": width, "height": 700})
    page.locator("summary").click()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    cut_off = page.locator(".wide, .strip").evaluate_all(
        "all => all.filter(each => each.scrollWidth > each.clientWidth && each.tabIndex !== 0).length"
    )
    assert cut_off == 0


LAYERS = 8


def test_print_shows_every_layer_once_and_no_controls(open_proof: Open, found: Plan) -> None:
    page = open_proof(found, color_scheme="dark", **WIDE)
    page.locator("#through").fill("20")
    page.emulate_media(media="print")
    boxes = [each.bounding_box() for each in page.locator("figure.view svg").all()]
    assert len(boxes) == LAYERS
    assert all(box and box["height"] > 100 for box in boxes)
    assert len({(box["x"], box["y"]) for box in boxes}) == LAYERS
    opacities = page.locator("figure.view").evaluate_all(
        "all => all.map(each => getComputedStyle(each).opacity)"
    )
    assert set(opacities) == {"1"}
    assert page.locator(".spot").evaluate_all(
        "all => all.every(each => getComputedStyle(each).visibility === 'visible')"
    )
    for control in ("#through", "button[data-finding] >> nth=0", "summary"):
        assert not page.locator(control).is_visible()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"


def test_every_printed_page_says_which_plan_it_is_of(open_proof: Open, found: Plan) -> None:
    page = open_proof(found, **WIDE)
    pages = [each.extract_text() for each in PdfReader(io.BytesIO(page.pdf(format="Letter"))).pages]
    head = found.job.job
    for number, text in enumerate(pages, 1):
        foot = f"{head.number} · revision {head.revision} · inputs {found.hash} · NOT READY · page {number}"
        assert foot in " ".join(text.split())
    whole = " ".join(" ".join(pages).split())
    assert "starts at" in whole  # the table, closed on the screen
    for figure in page.locator("figcaption").all_text_contents():
        assert figure in whole


def test_without_its_script_the_page_shows_everything(open_proof: Open, found: Plan) -> None:
    page = open_proof(found, java_script_enabled=False)
    assert page.locator("figure.view figcaption >> visible=true").count() == LAYERS


def test_a_foreign_script_does_not_run(browser: Any, plan: Plan, tmp_path: Path) -> None:
    """The page's own policy, in force: a script put into it stays dead, and the browser says so."""
    (tmp_path / "proof.html").write_text(render_proof(plan), encoding="utf-8")
    with browser.new_context() as context:
        page = context.new_page()
        page.goto((tmp_path / "proof.html").as_uri())
        with page.expect_console_message() as said:
            page.evaluate(
                "() => { const foreign = document.createElement('script');"
                " foreign.text = 'window.ran = true'; document.body.append(foreign); }"
            )
        assert "Content Security Policy" in said.value.text
        assert page.evaluate("window.ran") is None
