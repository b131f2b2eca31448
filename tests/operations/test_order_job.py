"""Reading a job: the order listed is kept, setups are told apart, and cycles are named."""

import pytest

from signplan.errors import SignplanError
from signplan.operations.order_job import in_needed_order, in_phases, read_job, setups_as_listed


def test_operations_keep_the_order_listed_wherever_their_needs_allow():
    assert in_needed_order({"c": [], "a": ["b"], "b": [], "d": ["c"]}) == ["c", "b", "a", "d"]


def test_a_cycle_is_named_without_what_only_hangs_on_it():
    needs = {"x": ["b"], "a": ["b", "y"], "b": ["c"], "c": ["a"], "y": []}
    with pytest.raises(SignplanError) as error:
        in_needed_order(needs)
    assert str(error.value) == "operations that wait for each other: b needs c needs a needs b"


def test_each_setup_has_its_own_work_and_the_setups_before_it():
    job = read_job(
        {"a": "mill", "b": "drill", "c": "mill"},
        {"c": ["b", "a"], "b": ["a"]},
        {"a": "one", "b": "two", "c": "two"},
    )
    assert job.setups == ("one", "two")
    assert job.names == (("a",), ("b", "c"))
    assert job.first == (0, 0b1)
    assert [work.tool for work in job.works] == [(0,), (1, 0)]
    assert [work.needs for work in job.works] == [(0,), (0, 0b1)]


def test_setups_come_as_listed_but_after_those_they_need():
    setup_of = {"a": "one", "b": "two", "c": "three"}
    job = read_job(dict.fromkeys("abc", "mill"), {"a": ["c"]}, setup_of)
    assert [job.setups[setup] for setup in setups_as_listed(job)] == ["two", "three", "one"]


def test_phases_of_a_job_are_setups_one_after_another():
    job = read_job(dict.fromkeys("abc", "mill"), {"b": ["a"], "c": ["b"]})
    phases = in_phases(job, [(0, 0b011), (0, 0b100)])
    assert phases.names == (("a", "b"), ("c",))
    assert phases.first == (0, 0b1)
    assert [work.needs for work in phases.works] == [(0, 0b1), (0,)]
