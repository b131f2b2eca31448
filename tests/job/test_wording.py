"""The messages about a file, word for word."""

import pytest

from signplan.errors import InputError
from signplan.job.read import read_job

SIGN_KEYS = "'board', 'panel', 'outline', 'outline_b', 'border', 'web', 'wall'"


def messages(folder):
    """The first line of every problem, without the folder."""
    with pytest.raises(InputError) as caught:
        read_job(folder)
    return [str(problem).split("\n")[0].removeprefix(f"{folder}/") for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (("web =", "wbe ="), "job.toml:11:1: sign.wbe: unknown key 'wbe'; did you mean 'web'?"),
        (
            ("web =", "colour ="),
            f"job.toml:11:1: sign.colour: unknown key 'colour'; the keys here are {SIGN_KEYS}",
        ),
        (
            ('"1-1/2"', '"1-1/2x"'),
            "job.toml:8:9: sign.panel: unknown unit 'x' in '1-1/2x'; use mm, cm, m, in or ft",
        ),
        (
            ('"1-1/2"', '"1,5"'),
            "job.toml:8:9: sign.panel: '1,5' has a comma; write a point for decimals, nothing for thousands",
        ),
        (('"1-1/2"', '"3/0"'), "job.toml:8:9: sign.panel: division by zero in '3/0'"),
        (('"1-1/2"', "true"), "job.toml:8:9: sign.panel: a length is a number, not true or false"),
        (('"1-1/2"', "nan"), "job.toml:8:9: sign.panel: nan is not a length"),
        (('"1-1/2"', "1e308"), "job.toml:8:9: sign.panel: is too large to be meant"),
        (('"1-1/2"', "0"), "job.toml:8:9: sign.panel: must be more than 0"),
        (
            ('"1-1/2"', "[1]"),
            "job.toml:8:9: sign.panel: a length is a number or a text such as '1-1/2' or '12 mm'",
        ),
        (('"1/32"', "-1"), "job.toml:23:13: hardware[0].clearance: must not be less than 0"),
        (
            ('units = "in"', 'units = "inch"'),
            "job.toml:4:9: job.units: must be 'in' or 'mm', not 'inch'; did you mean 'in'?",
        ),
        (('"both"', '"C"'), "job.toml:15:8: carve[0].side: must be 'A', 'B' or 'both', not 'C'"),
        (('"T-1"', "7"), "job.toml:2:10: job.number: must be text in quotes"),
        (('"T-1"', '""'), "job.toml:2:10: job.number: must not be empty"),
        (
            ('{ file = "art/face.svg", layer = "outline" }', '"art/face.svg"'),
            "job.toml:9:11: sign.outline: must be a table, such as { file = ..., layer = ... }",
        ),
        (
            ('tools = ["em-1/4", "em-1/8"]', 'tools = "em-1/4"'),
            "job.toml:19:9: carve[0].tools: must be a list in square brackets",
        ),
        (("from = [6, 20]", "from = [6]"), "job.toml:28:8: hardware[0].part[0].from: has too few numbers"),
        (
            ("from = [6, 20]", "from = [6, 20, 1]"),
            "job.toml:28:8: hardware[0].part[0].from: has 3 items where 2 belong",
        ),
        (
            ('shape = "hex"', 'shape = "hexagon"'),
            "job.toml:32:9: hardware[0].part[1].shape: must be 'round', 'hex', 'tube' or 'flat', "
            "not 'hexagon'; did you mean 'hex'?",
        ),
        (('shape = "hex"\n', ""), "job.toml:31:1: hardware[0].part[1]: missing key 'shape'"),
        (('as = "raise"', 'treatment = "raise"'), "job.toml:14:1: carve[0]: missing key 'as'"),
        (('depth = "3/8"\n', ""), "job.toml:14:1: carve[0]: 'raise' needs a 'depth'"),
        (
            ("along = [0, 1]", "along = [0, 0]"),
            "job.toml:31:1: hardware[0].part[1]: 'along' is a direction; (0, 0) has none",
        ),
    ],
    ids=str,
)
def test_one_mistake_gives_its_message(write_job, change, message):
    assert message in messages(write_job(change))


def test_a_misspelt_key_is_told_once(write_job):
    assert messages(write_job(("web =", "wbe ="))) == [
        "job.toml:11:1: sign.wbe: unknown key 'wbe'; did you mean 'web'?"
    ]


def test_a_missing_key_names_its_table(write_job):
    assert messages(write_job(('web = "3/8"\n', ""))) == ["job.toml:6:1: sign: missing key 'web'"]


def test_missing_tables_are_named_as_they_are_written(write_job):
    text = '[job]\nnumber = "1"\ntitle = "t"\nunits = "mm"\n[[hardware]]\nname = "a"\nclearance = 1\n'
    assert messages(write_job(text=text)) == [
        "job.toml: missing table [sign]",
        "job.toml:5:1: hardware[0]: missing table [[hardware.part]]",
    ]


def test_single_and_double_brackets_are_explained(write_job):
    text = '[[job]]\nnumber = "1"\n[sign]\n[carve]\nside = "A"\n'
    found = messages(write_job(text=text))
    assert found[0] == "job.toml:1:1: job: there is only one of these: write [job], in single brackets"
    assert "job.toml:4:1: carve: there can be several of these: write [[carve]], in double brackets" in found


def test_names_that_only_the_program_uses_are_unknown_in_a_file(write_job):
    assert messages(write_job(("from = [6, 20]", "start = [6, 20]")))[0] == (
        "job.toml:28:1: hardware[0].part[0].start: unknown key 'start'; the keys here are "
        "'z', 'view', 'stock', 'from', 'to', 'axis', 'at', 'along', 'thickness', 'shape', 'diameter'"
    )


def test_all_mistakes_come_at_once_in_the_order_of_the_file(write_job):
    folder = write_job(("border = 1", "border = 0"), ('"both"', '"C"'), ('number = "T-1"\n', ""))
    assert [message.split(": ")[1] for message in messages(folder)] == ["job", "sign.border", "carve[0].side"]


def test_the_line_is_shown_with_a_mark_under_the_place(write_job):
    with pytest.raises(InputError) as caught:
        read_job(write_job(("border = 1", "border = 0")))
    assert str(caught.value).endswith("sign.border: must be more than 0\n    border = 0\n             ^")
