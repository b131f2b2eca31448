from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from signplan.errors import InputError, Problem
from signplan.job.document import parse_document
from signplan.job.read import read_job
from signplan.units import parse_length

DEMO_JOBS = Path(__file__).parents[2] / "demo_jobs"


@pytest.mark.parametrize("name", ["gannet-and-thrum", "tansyrigg-orchard", "crumbhollow-wrong"])
def test_the_demo_jobs_are_read(name):
    assert read_job(DEMO_JOBS / name).job.hardware


def test_a_job_is_its_file_or_its_folder(write_job):
    folder = write_job()
    assert read_job(folder) == read_job(folder / "job.toml")


def test_bare_numbers_are_in_the_units_of_their_own_file(write_job, tmp_path):
    (tmp_path / "shop.toml").write_text(
        files("signplan.job").joinpath("starter_jobs", "mm", "shop.toml").read_text()
    )
    loaded = read_job(
        write_job(
            ('units = "in"', 'units = "in"\nshop = "../shop.toml"'),
            ('"hdu-15"', '"pu-240"'),
            ('"1-1/2"', '"40 mm"'),
            ('tools = ["em-1/4", "em-1/8"]\n', ""),
        )
    )
    assert loaded.job.sign.border == 25.4
    assert loaded.shop.machine.bed == (2500, 1300)
    assert loaded.shop.machine.feed_max == 200  # 12 000 mm/min, in mm/s
    assert loaded.shop_file == tmp_path / "shop.toml"


def test_keys_that_python_keeps_for_itself_have_other_names_inside(write_job):
    job = read_job(write_job()).job
    assert job.carve[0].treatment == "raise"
    assert job.hardware[0].parts[0].start == pytest.approx((6 * 25.4, 20 * 25.4))


def test_the_example_shop_serves_a_job_without_one(write_job):
    loaded = read_job(write_job())
    assert loaded.shop_file is None
    assert len(loaded.shop.tools) == 13
    assert loaded.shop.tool_change.slots == 10
    assert [load for _, load in loaded.shop.boards[0].chip_load][-1] == pytest.approx((0.381, 1.016))


def test_chip_loads_are_in_order_of_diameter(write_job):
    diameters = [diameter for diameter, _ in read_job(write_job()).shop.boards[0].chip_load]
    assert diameters == [parse_length(text, "in") for text in ("1/16", "1/8", "1/4", "3/8", "1/2")]


def test_a_place_of_either_file_is_found(write_job):
    loaded = read_job(write_job())
    assert loaded.places["hardware[0].part[1].stock"] == (33, 1)
    assert loaded.locate("hardware[0].part[1]") == "job.toml:31"
    assert loaded.locate("hardware[0].part[1].size") == "job.toml:31"
    assert loaded.locate("dowels.at[2]") == ""
    assert loaded.locate("panel A") == ""
    assert loaded.locate("index_pins.clearance") == ""  # of the built-in shop
    wrong = read_job(DEMO_JOBS / "crumbhollow-wrong")
    assert wrong.locate("machine.bed").startswith("shop.toml:")


def test_what_another_file_lacks_is_told_where_the_job_asks_for_it(write_job):
    loaded = read_job(write_job())
    line = loaded.lines[loaded.places["sign.outline"][0] - 1]
    lacks = Problem(file="face.dxf", key="sign.outline.layer", message="no layer 'EDGE' in face.dxf.")
    placed = loaded.placed(lacks)
    assert placed.file == str(loaded.job_file)
    assert placed.message == "sign.outline.layer: no layer 'EDGE' in face.dxf."
    assert placed.excerpt == line
    assert line[placed.column - 1 :].startswith("layer =")
    assert loaded.placed(Problem(file="face.dxf", message="is damaged")).file == "face.dxf"


def refusal(path):
    with pytest.raises(InputError) as caught:
        read_job(path)
    return str(caught.value)


def test_a_folder_without_a_job(tmp_path):
    assert refusal(tmp_path) == f"{tmp_path}: there is no job.toml in this folder"


def test_a_job_that_is_not_there(tmp_path):
    assert refusal(tmp_path / "x.toml") == f"{tmp_path}/x.toml: no such file"


def test_a_shop_that_is_not_there(write_job):
    folder = write_job(('units = "in"', 'units = "in"\nshop = "../shop.toml"'))
    assert refusal(folder) == (
        f"{folder}/job.toml:5:8: job.shop: there is no shop file '../shop.toml'\n"
        '    shop = "../shop.toml"\n           ^'
    )


def test_mistakes_of_both_files_are_told_at_once(write_job, tmp_path):
    shop = files("signplan.job").joinpath("example_shop.toml").read_text()
    (tmp_path / "shop.toml").write_text(shop.replace("slots = 10", "slots = 0").replace('"vee"', '"cone"', 1))
    folder = write_job(('units = "in"', 'units = "in"\nshop = "../shop.toml"'), ("border = 1", "border = 0"))
    with pytest.raises(InputError) as caught:
        read_job(folder)
    assert [(Path(each.file).name, each.message.split(":")[0]) for each in caught.value.problems] == [
        ("job.toml", "sign.border"),
        ("shop.toml", "tool_change.slots"),
        ("shop.toml", "tool[6].shape"),
    ]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("[6000, 24000]", "[24000, 6000]", "machine: 'rpm' is [slowest, fastest], the smaller first"),
        (
            "[0.002, 0.005]",
            "[0.005, 0.002]",
            "board[0].chip_load: each diameter has [least, most], the smaller first",
        ),
        ("[0.002, 0.005]", "[0.002]", "board[0].chip_load.1/16: has too few numbers"),
        (
            "[0.002, 0.005]",
            '["x", 1]',
            "board[0].chip_load.1/16[0]: 'x' is not a length; write 12, 3/8, '1-1/2' or '12 mm'",
        ),
        (
            '"1/16" = [',
            '"1/16y" = [',
            "board[0].chip_load: unknown unit 'y' in '1/16y'; use mm, cm, m, in or ft",
        ),
        ("angle  = 60 ", "radius = 60 ", "tool[6]: a vee cutter needs its included 'angle' in degrees"),
        ('radius = "1/4"', "angle = 90", "tool[8]: a round-over cutter needs its 'radius'"),
        ("density_lb_ft3 = 10", "", "board[0]: give one of 'density_lb_ft3' and 'density_kg_m3'"),
        ("locate_minutes = 2", "locate_minutes = -2", "holding.locate_minutes: must not be less than 0"),
    ],
)
def test_mistakes_of_a_shop(write_job, tmp_path, old, new, message):
    shop = files("signplan.job").joinpath("example_shop.toml").read_text()
    assert old in shop
    (tmp_path / "shop.toml").write_text(shop.replace(old, new, 1))
    with pytest.raises(InputError) as caught:
        read_job(write_job(('units = "in"', 'units = "in"\nshop = "../shop.toml"')))
    assert message in [problem.message for problem in caught.value.problems]


SCRAPS = st.sampled_from(
    [
        "[",
        "]",
        "[[job]]",
        "[work]\n",
        "= ",
        '"',
        "'''",
        "{",
        "}",
        ",",
        "#",
        "\n",
        "nan",
        "1e999",
        "-1",
        "true",
        "\x00",
        "é",
    ]
)


def problems_of_job(folder):
    try:
        read_job(folder)
    except InputError as error:
        return error.problems
    return ()


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.lists(st.tuples(st.integers(0, 5000), st.integers(0, 30), SCRAPS), min_size=1, max_size=4))
def test_any_damage_is_refused_in_words_or_harmless(tmp_path_factory, damage):
    folder = tmp_path_factory.getbasetemp() / "damaged"
    text = (DEMO_JOBS / "crumbhollow-wrong" / "job.toml").read_text()
    for at, length, scrap in damage:
        text = text[:at] + scrap + text[at + length :]
    folder.mkdir(exist_ok=True)
    (folder / "job.toml").write_text(text, encoding="utf-8")
    found = problems_of_job(folder)
    assert not [each.message for each in found if "Input should" in each.message or not each.message]


def test_the_place_of_a_document_survives_odd_line_ends():
    document = parse_document('[sign]\r\nweb = "1"\r\n', "job.toml")
    assert document.places[("sign", "web")].value == (2, 7)
