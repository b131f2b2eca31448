import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from signplan.job.positions import positions, spell

DEMO_JOBS = Path(__file__).parents[2] / "demo_jobs"
FILES = sorted(DEMO_JOBS.rglob("*.toml"))

EVERYTHING = '''\
top = 1                 # a comment with [brackets] and = signs
a.b . "c d" = "x # no comment"
'q.r' = [ [1, 2], # c
  { k = 1, l.m = 2 }, """many
lines""""" ]

[x.y]
date = 1979-05-27 07:32:00
[[x.z]]
[[x.z.w]]
u = 'literal "text"'
[[x.z]]
[[x.z.w]]
[x.z.w.t]
last = """a \\"""b"""
[x]
k = inf
'''


def places(text) -> dict[str, tuple[tuple[int, int], tuple[int, int]]]:
    found = positions(text, tomllib.loads(text))
    return {spell(path): (place.key, place.value) for path, place in found.items()}


def test_keys_and_values_of_every_kind_have_their_places():
    found = places(EVERYTHING)
    assert found["top"] == ((1, 1), (1, 7))
    assert found["a.b.c d"] == ((2, 7), (2, 15))
    assert found["q.r[0][1]"] == ((3, 15), (3, 15))
    assert found["q.r[1].l.m"] == ((4, 14), (4, 18))
    assert found["q.r[2]"] == ((4, 23), (4, 23))
    assert found["x.y"] == ((7, 1), (7, 1))
    assert found["x.z[0].w[0].u"] == ((11, 1), (11, 5))
    assert found["x.z[1].w[0].t.last"] == ((15, 1), (15, 8))
    assert found["x.k"] == ((17, 1), (17, 5))


def test_carriage_returns_do_not_move_a_place():
    assert places("a = 1\r\n[b]\r\nc = 2\r\n")["b.c"] == ((3, 1), (3, 5))


def test_no_places_are_better_than_wrong_ones():
    assert positions("a = 1", {"a": 1, "b": 2}) == {}
    assert positions("a = [", {"a": []}) == {}


def leaves(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    if isinstance(value, dict | list):
        for step, inner in value.items() if isinstance(value, dict) else enumerate(value):
            yield from leaves(inner, (*path, step))
    else:
        yield path, value


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(DEMO_JOBS)))
def test_changing_what_stands_at_a_place_changes_that_value_alone(file):
    text = file.read_text()
    before = tomllib.loads(text)
    found = positions(text, before)
    lines = text.split("\n")
    for path, value in leaves(before):
        line, column = found[path].value
        written = f'"{value}"' if isinstance(value, str) else str(value)
        at = lines[line - 1][column - 1 :]
        assert at.startswith(written[:3]), f"{spell(path)} is not at {line}:{column}"
        old = (
            at[: len(written)]
            if isinstance(value, str)
            else at.replace(",", " ").replace("]", " ").split()[0]
        )
        changed = [*lines]
        changed[line - 1] = lines[line - 1][: column - 1] + "-987" + at[len(old) :]
        after = dict(leaves(tomllib.loads("\n".join(changed))))
        assert {each for each, now in after.items() if now != dict(leaves(before))[each]} == {path}


NAMES = st.text(alphabet="abc-_1é. ", min_size=1, max_size=5)
SCALARS = st.one_of(st.integers(), st.booleans(), st.text(alphabet='ab"\\#[]{}=\n', max_size=8))
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(NAMES, inner, max_size=3)),
    max_leaves=12,
)


def as_toml(value):
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{" + ", ".join(f"{as_toml(key)} = {as_toml(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(as_toml, value)) + "]"
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
        return f'"{escaped}"'
    return str(value)


@given(st.dictionaries(NAMES, VALUES, max_size=4))
def test_every_key_of_any_file_has_a_place(data):
    text = "".join(f"{as_toml(key)} = {as_toml(value)}\n" for key, value in data.items())
    found = positions(text, tomllib.loads(text))
    lines = text.split("\n")
    assert set(found) >= {path for path, _ in leaves(data)}
    for path, value in leaves(data):
        line, column = found[path].value
        assert lines[line - 1][column - 1 :].startswith(as_toml(value))
