"""docs/job-file.md names every key of the files, and no other."""

import re
from pathlib import Path

import pytest

from signplan.job import log, model, shop
from signplan.job.wording import keys_of

PAGE = (Path(__file__).parents[2] / "docs" / "job-file.md").read_text()
PARTS = (model.RoundPart, model.HexPart, model.TubePart, model.FlatPart)
SECTIONS = {
    "[job]": (model.JobHead,),
    "[sign]": (model.SignSpec,),
    "A layer of a drawing": (model.Art,),
    "[[carve]]": (model.Carve,),
    "[[hardware]]": (model.Hardware,),
    "[[hardware.part]]": PARTS,
    "[dowels]": (model.Dowels,),
    "[work]": (model.Work,),
    "[hanging]": (model.Hanging,),
    "[wind]": (model.Wind,),
    "[quote]": (model.Quote,),
    "[machine]": (shop.Machine,),
    "[tool_change]": (shop.ToolChange,),
    "[holding]": (shop.Holding,),
    "[index_pins]": (shop.IndexPins,),
    "[rates]": (shop.Rates,),
    "[rates.machine]": (shop.MachineCost,),
    "[[tool]]": (shop.Tool,),
    "[[board]]": (shop.Board,),
    "[[hold]]": (log.LoggedHold,),
}


def rows(section):
    """The first cell and the last of every row of a section's first table."""
    text = PAGE.split(f"\n### {section}")[1].split("\n### ")[0].split("\n\n| `as` |")[0]
    cells = [line.strip("|").split("|") for line in text.splitlines() if line.startswith("| `")]
    return [(re.findall(r"`([a-z_0-9]+)`", row[0]), row[-1].strip()) for row in cells]


@pytest.mark.parametrize("section", SECTIONS)
def test_a_section_has_the_keys_of_its_table(section):
    told = {key for keys, _ in rows(section) for key in keys}
    assert told == {key for each in SECTIONS[section] for key in keys_of(each)}


@pytest.mark.parametrize("section", sorted(SECTIONS.keys() - {"[[hardware.part]]"}))
def test_a_key_without_a_default_must_be_given(section):
    for keys, default in rows(section):
        for key in keys:
            field = keys_of(SECTIONS[section][0])[key]
            if field.is_required():
                assert default == "", f"{section} {key} has no default"


@pytest.mark.parametrize(
    ("section", "key"),
    [
        (section, key)
        for section, tables in SECTIONS.items()
        for key, field in keys_of(tables[0]).items()
        if isinstance(field.default, str | float) and not isinstance(field.default, bool)
    ],
)
def test_defaults_are_those_of_the_program(section, key):
    default = keys_of(SECTIONS[section][0])[key].default
    told = next(told for keys, told in rows(section) if key in keys)
    shown = f'"{default}"' if isinstance(default, str) else f"{default:g}"
    assert re.search(rf"`{re.escape(shown)}( mm)?`", told), f"{key}: {told} says not {shown}"
