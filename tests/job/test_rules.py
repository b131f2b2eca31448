"""Contradictions between the tables of a job and its shop, word for word."""

import re
from importlib.resources import files

import pytest

from signplan.errors import InputError
from signplan.job.read import read_job
from signplan.job.rules import arts_of

BOARDS = "'hdu-10', 'hdu-15', 'hdu-18'"
TOOLS = (
    "'em-1/2', 'em-1/4', 'em-1/8', 'em-1/16', 'ball-1/4', 'ball-1/8', 'v-60', 'v-90', 'ro-1/4', "
    "'drill-3/8', 'drill-1/4', 'ball-1/2', 'drill-1/2'"
)
NUT = 'shape = "hex"\nstock = "nut 3/8"\nat = [6, 20.5]\nalong = [0, 1]'
AXIS = 'stock = "rod 3/8"\nfrom = [6, 20]\nto = [6, 26]'


def messages(folder):
    with pytest.raises(InputError) as caught:
        read_job(folder)
    return [f"{problem.line}:{problem.column}: {problem.message}" for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            ('"hdu-15"', '"hdu15"'),
            f"7:9: sign.board: the shop has no board 'hdu15'; it has {BOARDS}; did you mean 'hdu-15'?",
        ),
        (
            ('"1-1/2"', '"1-3/8"'),
            '8:9: sign.panel: \'hdu-15\' does not come 1-3/8" thick; it comes 1", 1-1/2", 2"',
        ),
        (
            ('"em-1/8"', '"em-3/8"'),
            f"19:20: carve[0].tools[1]: the shop has no tool 'em-3/8'; it has {TOOLS}; "
            "did you mean 'em-1/8'?",
        ),
        (
            ('"nut 3/8"', '"nut 7/16"'),
            "33:9: hardware[0].part[1].stock: no built-in size 'nut 7/16'; there are nut 1/4, nut 5/16, "
            "nut 3/8, nut 1/2, nut 5/8, nut M8, nut M10, nut M12",
        ),
        (
            ('"nut 3/8"', '"rod 3/8"'),
            "33:9: hardware[0].part[1].stock: 'rod 3/8' is a round part, not a hex one",
        ),
        (
            ('stock = "rod 3/8"\n', ""),
            "25:1: hardware[0].part[0]: give its 'diameter', or a 'stock' such as \"rod 3/8\" or "
            '"pipe 1-1/4"',
        ),
        (
            ('stock = "nut 3/8"', "thickness = 1"),
            "31:1: hardware[0].part[1]: give its size 'across_flats', or a 'stock' such as \"nut 3/8\"",
        ),
        (
            ('stock = "nut 3/8"', 'across_flats = "9/16"'),
            "31:1: hardware[0].part[1]: give its 'thickness', its length along the axis",
        ),
        (
            (NUT, 'shape = "tube"\nfrom = [0, 0]\nto = [0, 1]'),
            "31:1: hardware[0].part[1]: give its 'size' [width, depth], or a 'stock' such as "
            '"tube 1 x .120"',
        ),
        (
            (NUT, 'shape = "flat"\ncenter = [0, 0]\nsize = [3, 2]'),
            "31:1: hardware[0].part[1]: give its 'thickness', or a 'stock' such as \"flat 1/4 x 2\"",
        ),
        (
            (NUT, 'shape = "flat"\ncenter = [0, 0]\nstock = "flat 1/4 x 2"'),
            "31:1: hardware[0].part[1]: give its 'size' [length, width], or its length in the stock: "
            '"flat 1/4 x 2 x 24"',
        ),
        (
            (NUT, 'shape = "flat"\ncenter = [0, 0]\nstock = "flat 1/4 x 2"\nsize = [9, 1.5]'),
            "31:1: hardware[0].part[1]: no side of its 'size' is as wide as 'flat 1/4 x 2'",
        ),
        (
            (
                'layer = "letters"',
                'layer = "letters", gap = 1 }\nwithin = { file = "art/fase.svg", layer = "g"',
            ),
            "18:19: carve[0].within.file: there is no file 'art/fase.svg'; did you mean 'art/face.svg'?",
        ),
        (
            ('"art/face.svg", layer = "letters"', '"../out.svg", layer = "letters"'),
            "17:16: carve[0].art.file: '../out.svg' lies outside the job's folder; copy it there, or say "
            "art_outside_folder = true in [job]",
        ),
        (
            ('"art/face.svg", layer = "letters"', '"art\\\\face.svg", layer = "letters"'),
            "17:16: carve[0].art.file: 'art\\\\face.svg' is no file name; write / between folder and file: "
            '"art/face.dxf"',
        ),
    ],
    ids=lambda value: value.split(": ")[1] if isinstance(value, str) else "",
)
def test_one_contradiction_gives_its_message(write_job, change, message):
    assert messages(write_job(change)) == [message]


def test_a_bar_with_its_length_is_a_whole_plate(write_job):
    part = 'shape = "flat"\ncenter = [0, 0]\nstock = "flat 1/4 x 2 x 12"'
    assert read_job(write_job((NUT, part))).job.hardware[0].parts[1].stock == "flat 1/4 x 2 x 12"


def test_hardware_names_are_given_once(write_job):
    second = '[[hardware]]\nname = "hanger"\nclearance = 1\n[[hardware.part]]\nshape = "round"\n' + AXIS
    folder = write_job((NUT, f"{NUT}\n{second}"))
    assert messages(folder) == [
        "37:8: hardware[1].name: 'hanger' is taken by hardware[0]; give each its own name"
    ]


def test_a_round_bottom_is_for_round_steel(write_job):
    bar = '[[hardware]]\nname = "bar"\nclearance = 1\nbottom = "round"\n[[hardware.part]]\nshape = "flat"\n'
    sized = "size = [9, 9]\nthickness = 9\ncenter = [20, 20]\n"
    assert messages(write_job((NUT, f"{NUT}\n{bar}{sized}"))) == [
        '39:10: hardware[1].bottom: is "round", which is for rods and pipes; no part of this item is '
        'shape = "round"'
    ]


def test_hardware_is_laid_with_other_hardware_of_the_job(write_job):
    second = '[[hardware]]\nname = "bar"\nclearance = 1\n[[hardware.part]]\nshape = "round"\n' + AXIS
    wrong = second.replace("clearance = 1\n", 'clearance = 1\nlaid_with = "hangr"\n')
    folder = write_job((NUT, f"{NUT}\n{wrong}"))
    assert messages(folder) == [
        "39:13: hardware[1].laid_with: 'hangr' is no other hardware of this job; did you mean 'hanger'?"
    ]
    file = folder / "job.toml"
    file.write_text(file.read_text().replace("hangr", "hanger"))
    assert read_job(folder).job.hardware[1].laid_with == "hanger"


@pytest.mark.parametrize(
    ("hours", "message"),
    [
        ('start = "8:00"', "38:9: work.start: '8:00' is no time of day; write it as \"08:00\""),
        ('until = "24:00"', "38:9: work.until: '24:00' is no time of day; write it as \"08:00\""),
        ('start = "16:30"\nuntil = "08:00"', "39:9: work.until: the day ends at 08:00, before it starts"),
    ],
)
def test_hours_of_the_day(write_job, hours, message):
    assert messages(write_job((NUT, f"{NUT}\n\n[work]\n{hours}"))) == [message]


def test_a_link_does_not_lead_out_of_the_folder(write_job, tmp_path):
    folder = write_job()
    (tmp_path / "secret.svg").write_text("<svg/>")
    (folder / "art" / "face.svg").unlink()
    (folder / "art" / "face.svg").symlink_to(tmp_path / "secret.svg")
    assert all("lies outside the job's folder" in message for message in messages(folder))


def test_art_may_lie_elsewhere_if_the_job_says_so(write_job, tmp_path):
    (tmp_path / "out.svg").write_text("<svg/>")
    folder = write_job(
        ('units = "in"', 'units = "in"\nart_outside_folder = true'),
        ('"art/face.svg", layer = "letters"', '"../out.svg", layer = "letters"'),
    )
    assert read_job(folder).job.carve[0].art.file == "../out.svg"


def test_a_height_image_is_looked_for_too(write_job):
    folder = write_job(('as = "raise"', 'as = "relief"\nimage = "art/heron.png"'))
    assert messages(folder) == ["17:9: carve[0].image: there is no file 'art/heron.png'"]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('"em-1/4"', '"em-1/2"', "tool[1].id: 'em-1/2' is taken by tool[0]; give each its own id"),
        ("number = 2\n", "number = 1\n", "tool[1].number: 1 is taken by tool[0]; give each its own number"),
        ('"hdu-15"', '"hdu-10"', "board[1].id: 'hdu-10' is taken by board[0]; give each its own id"),
    ],
)
def test_ids_and_numbers_of_a_shop_are_given_once(write_job, tmp_path, old, new, message):
    text = files("signplan.job").joinpath("example_shop.toml").read_text()
    assert text.count(old) == 1
    (tmp_path / "shop.toml").write_text(text.replace(old, new))
    folder = write_job(
        ('units = "in"', 'units = "in"\nshop = "../shop.toml"'),
        ('"hdu-15"', '"hdu-18"'),
        ('["em-1/4", "em-1/8"]', '["em-1/2"]'),
    )
    with pytest.raises(InputError) as caught:
        read_job(folder)
    assert [problem.message for problem in caught.value.problems] == [message]
    assert caught.value.problems[0].file == str(tmp_path / "shop.toml")


@pytest.mark.parametrize(
    ("kind", "clearance", "told"),
    [
        ("screws", "0.18", "over screws whose heads are 0.118 in high they must pass 0.197 in"),
        ("both", "0.18", "over screws whose heads are 0.118 in high they must pass 0.197 in"),
        ("vacuum", "0.18", ""),
        ("screws", "0.2", ""),
        ("vacuum", "0.07", "they must pass 0.079 in"),
    ],
)
def test_rapids_pass_over_the_board_and_every_screw(write_job, tmp_path, kind, clearance, told):
    """A head 3 mm high and 2 mm over it are 0.197 in."""
    text = files("signplan.job").joinpath("example_shop.toml").read_text()
    text = re.sub(r"clearance_z = \S+", f"clearance_z = {clearance}", text)
    text = text.replace('kind = "vacuum"', f'kind = "{kind}"')
    (tmp_path / "shop.toml").write_text(text)
    folder = write_job(('units = "in"', 'units = "in"\nshop = "../shop.toml"'))
    if not told:
        assert read_job(folder).shop.holding.kind == kind
        return
    with pytest.raises(InputError) as caught:
        read_job(folder)
    passes = f"machine.clearance_z: rapids pass {float(clearance):.3f} in over the board; "
    assert [problem.message for problem in caught.value.problems] == [passes + told]


def test_every_layer_of_a_job_is_found(write_job):
    job = read_job(
        write_job((NUT, 'shape = "hex"\nstock = "nut 3/8"\naxis = { file = "art/face.svg", layer = "n" }'))
    ).job
    found = [(path, art.layer) for path, art in arts_of(job)]
    assert found == [
        (("sign", "outline"), "outline"),
        (("carve", 0, "art"), "letters"),
        (("hardware", 0, "part", 1, "axis"), "n"),
    ]


@pytest.mark.parametrize(
    ("lines", "message"),
    [
        ("count = 1", "dowels.count: the panels turn about a single dowel; "),
        ("at = [[6, 2]]", "dowels.at: the panels turn about a single dowel; "),
        ("count = 4\nat = [[6, 2], [9, 2]]", "dowels.count: is 4, and 'at' has 2 places; "),
    ],
)
def test_dowels_that_register_nothing_or_contradict_each_other(write_job, lines, message):
    folder = write_job((NUT, f'{NUT}\n[dowels]\ndiameter = "3/8"\ndepth = "5/8"\n{lines}'))
    (found,) = messages(folder)
    assert message in found


def test_a_wrong_time_of_day_is_told_once(write_job):
    (found,) = messages(write_job((NUT, f'{NUT}\n[work]\nstart = "8 am"\nuntil = "16:30"')))
    assert "'8 am' is no time of day" in found


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (('"hanger"', r'"left\nhanger"'), "hardware[0].name: has a line break or a control character"),
        (('"hanger"', '"  "'), "hardware[0].name: must not be blank"),
        (("to = [6, 26]", "to = [6, 20]"), "'from' and 'to' are the same place"),
    ],
)
def test_names_and_axes_that_cannot_be(write_job, change, message):
    if change[0].startswith("to"):
        change = (AXIS, AXIS.replace(*change))
    (found,) = messages(write_job(change))
    assert message in found
