import base64
import hashlib
import re
from dataclasses import replace
from html.parser import HTMLParser

from signplan.documents.proof import render_proof
from signplan.documents.words import duration
from signplan.plan import Plan


class _Balance(HTMLParser):
    """Every element is closed, in order; ids are unique; nothing carries its own style or handler."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = dict(attrs)
        assert "style" not in names
        assert not any(name.startswith("on") for name in names)
        self.ids += [names["id"] or ""] if "id" in names else []
        if tag not in ("meta", "input"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        pass

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def test_is_well_formed_and_the_same_each_time(plan_not_ready: Plan) -> None:
    page, balance = render_proof(plan_not_ready), _Balance()
    balance.feed(page)
    assert not balance.open
    assert len(balance.ids) == len(set(balance.ids))
    assert render_proof(plan_not_ready) == page


def test_nothing_but_its_own_style_and_script_may_run_or_load(plan: Plan) -> None:
    page = render_proof(plan)
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page)
    style, script = (re.search(f"<{tag}>(.*?)</{tag}>", page, re.S) for tag in ("style", "script"))
    assert policy
    assert style
    assert script
    allowed = f"style-src 'sha256-{_digest(style[1])}'; script-src 'sha256-{_digest(script[1])}'"
    assert policy[1] == f"default-src 'none'; {allowed}"
    assert not re.search(r"https?:|//\w|url\(|src=|<link|@import", page.replace(policy[0], ""))


def test_a_finding_leads_to_its_place_in_the_views_that_show_it(plan_not_ready: Plan) -> None:
    page = render_proof(plan_not_ready)
    assert page.count('class="spot" data-finding="0"') == 4  # A's recesses, both cavities, A's glue side
    assert '<button class="screen" type="button" data-finding="0"' in page
    assert '<button class="screen" type="button" data-finding="1"' not in page  # it has no place
    assert 'class="spot" data-finding="1"' not in page
    assert "NOT READY: 1 error open" in page


def test_no_job_can_write_into_the_style(plan: Plan) -> None:
    head = plan.job.job.model_copy(update={"number": '"; } </style><b>', "revision": "\\"})
    page = render_proof(replace(plan, job=plan.job.model_copy(update={"job": head})))
    style = re.search("<style>(.*?)</style>", page, re.S)
    assert style
    content = re.search(r'content: "([^"]*)" counter', style[1])
    assert content
    said = re.sub(r"\\([0-9a-f]{6})", lambda found: chr(int(found[1], 16)), content[1])
    assert said == f"{head.number} · revision {head.revision} · inputs {plan.hash} · page "


def test_what_a_person_typed_stays_text(plan: Plan) -> None:
    head = plan.job.job.model_copy(update={"title": '<script>alert("x")</script>'})
    page = render_proof(replace(plan, job=plan.job.model_copy(update={"job": head})))
    assert "<script>alert" not in page


def test_tells_where_the_time_goes(plan: Plan) -> None:
    page = render_proof(plan)
    told = page.split("Where the time goes")[1].split("</table>")[0]
    first = plan.setups[0]
    assert f"setup {first.setup.id}" in told
    assert all(f"T{each.tool.number} {each.tool.id}" in told for each in first.operations)
    assert duration(plan.time.seconds) in told
    assert plan.time.reason in page
