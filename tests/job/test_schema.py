"""The schemas accept the files that the program accepts."""

import copy
import tomllib
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from signplan.job.model import Job
from signplan.job.schema import file_schema
from signplan.job.shop import Shop
from signplan.job.starter import starter_files
from signplan.job.wording import keys_of, models_in

DEMO_JOBS = Path(__file__).parents[2] / "demo_jobs"
FILES = [
    *(("job", file.read_text()) for file in sorted(DEMO_JOBS.rglob("job.toml"))),
    *(("shop", file.read_text()) for file in sorted(DEMO_JOBS.rglob("shop*.toml"))),
    *(
        (name, starter_files(units)[f"{name}.toml"].decode())
        for units in ("in", "mm")
        for name in ("job", "shop")
    ),
]


@pytest.mark.parametrize(("name", "text"), FILES, ids=range(len(FILES)))
def test_every_file_of_ours_keeps_to_the_schema(name, text):
    schema = file_schema(name)
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(tomllib.loads(text))


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("job", "units"), "inch"),
        (("carve", 0, "as"), "carve"),
        (("hardware", 0, "part", 0, "shape"), "oval"),
        (("hardware", 0, "part", 0, "diamater"), 1),
        (("dowels", "count"), 1.5),
    ],
)
def test_what_the_program_refuses_the_schema_refuses(path, value):
    data = tomllib.loads((DEMO_JOBS / "gannet-and-thrum" / "job.toml").read_text())
    wrong = copy.deepcopy(data)
    table = wrong
    for step in path[:-1]:
        table = table[step]
    table[path[-1]] = value
    validator = Draft202012Validator(file_schema("job"))
    assert validator.is_valid(data)
    assert not validator.is_valid(wrong)


def properties(schema):
    """Every key that a schema speaks of, by the name of its table."""
    tables = {**schema["$defs"], "": schema}
    return {(name, key) for name, table in tables.items() for key in table.get("properties", {})}


@pytest.mark.parametrize(("name", "model"), [("job", Job), ("shop", Shop)])
def test_keys_are_those_of_the_file(name, model):
    def keys(table, seen):
        title = "" if table is model else table.__name__
        for key, field in keys_of(table).items():
            seen.add((title, key))
            for inner in models_in(field.annotation):
                keys(inner, seen)
        return seen

    assert properties(file_schema(name)) == keys(model, set())


def test_defaults_are_written_as_a_file_would_write_them():
    pins = file_schema("shop")["$defs"]["IndexPins"]["properties"]
    assert pins["diameter"]["default"] == "9.525 mm"
    assert "default" not in file_schema("job")["properties"]["work"]
    assert "null" not in str(file_schema("job"))
