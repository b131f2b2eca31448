"""What pydantic finds wrong with a file, said in the file's own keys and in plain words."""

import difflib
import typing
from collections.abc import Iterable, Iterator
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from signplan.errors import Problem
from signplan.job.document import Document
from signplan.job.positions import Path, spell

Model = type[BaseModel]

_WORDS = {
    "bool_type": "must be true or false",
    "finite_number": "must be a finite number",
    "float_type": "must be a number",
    "greater_than": "must be more than {gt:g}",
    "greater_than_equal": "must not be less than {ge:g}",
    "int_type": "must be a whole number",
    "less_than": "must be less than {lt:g}",
    "less_than_equal": "must not be more than {le:g}",
    "string_too_short": "must not be empty",
    "string_type": "must be text in quotes",
    "too_long": "has {actual_length} items where {max_length} belong",
    "too_short": "must not be empty",
    "tuple_type": "must be a list in square brackets",
}


def problems_of(error: ValidationError, model: Model, document: Document) -> tuple[Problem, ...]:
    """Every problem that a validation found, in the order of the file; one mistake is told once."""
    errors = [each for each in error.errors() if not _follows_from_others(each)]
    misspelt = {_meant(each, model) for each in errors if each["type"] == "extra_forbidden"}
    problems = [_problem(each, model, document) for each in errors if each["loc"] not in misspelt]
    return tuple(sorted(dict.fromkeys(problems), key=lambda problem: (problem.line, problem.column)))


def keys_of(model: Model) -> dict[str, FieldInfo]:
    """The fields of a model by their keys in the file."""
    return {field.alias or name: field for name, field in model.model_fields.items()}


def models_in(annotation: Any) -> Iterator[Model]:
    """The models that the type of a field speaks of, such as the two of `tuple[A | B, ...]`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in typing.get_args(annotation):
        yield from models_in(inner)


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word that was probably meant; empty if none is near."""
    by_fold = {each.casefold(): each for each in known}
    close = difflib.get_close_matches(word.casefold(), by_fold, n=1)
    return by_fold[close[0]] if close else ""


def suggestion(word: str, known: Iterable[str]) -> str:
    """`; did you mean 'height'?` if a known word is near, else nothing."""
    near = nearest(word, known)
    return f"; did you mean '{near}'?" if near else ""


def listed(words: Iterable[str]) -> str:
    """The words in quotes, with commas between."""
    return ", ".join(f"'{word}'" for word in words)


def _follows_from_others(error: ErrorDetails) -> bool:
    """A list is also called too short when its items were refused; they have problems of their own."""
    return error["type"] == "too_short" and len(error["input"]) >= error["ctx"]["min_length"]


def _meant(error: ErrorDetails, model: Model) -> tuple[str | int, ...]:
    """Where pydantic would miss the key that an unknown one was meant to be."""
    path, holder, _ = _follow(error["loc"], model)
    return (*error["loc"][:-1], nearest(str(path[-1]), keys_of(holder) if holder else ()))


def _problem(error: ErrorDetails, model: Model, document: Document) -> Problem:
    path, holder, field = _follow(error["loc"], model)
    parent = path[:-1]
    match error["type"]:
        case "missing" if isinstance(path[-1], int):
            return document.problem(parent, "has too few numbers")
        case "missing":
            return document.problem(parent, _missing(path, field), at_key=True)
        case "extra_forbidden":
            known = list(keys_of(holder)) if holder else []
            near = suggestion(str(path[-1]), known) or f"; the keys here are {listed(known)}"
            return document.problem(path, f"unknown key '{path[-1]}'{near}", at_key=True)
        case "union_tag_not_found":
            return document.problem(path, "missing key 'shape'", at_key=True)
        case "union_tag_invalid":
            context = error["ctx"]
            tags = " or ".join(context["expected_tags"].rsplit(", ", 1))
            return document.problem((*path, "shape"), _choice(tags, context["tag"]))
        case "literal_error":
            return document.problem(path, _choice(error["ctx"]["expected"], error["input"]))
        case "value_error":
            return document.problem(path, str(error["ctx"]["error"]))
        case "model_type" | "tuple_type":
            return document.problem(path, _wrong_container(error, path, field))
    words = _WORDS.get(error["type"])
    return document.problem(path, words.format_map(error.get("ctx", {})) if words else error["msg"])


def _follow(loc: tuple[str | int, ...], model: Model) -> tuple[Path, Model | None, FieldInfo | None]:
    """A place as pydantic tells it to a key path of the file.

    The tag of a tagged union is in pydantic's path and not in the file; it says which table is meant.

    Returns:
        The path, the model of the table that holds its last key, and the field of that key.
    """
    path: Path = ()
    models: tuple[Model, ...] = (model,)
    holder: Model | None = None
    field: FieldInfo | None = None
    for step in loc:
        if isinstance(step, str) and len(models) > 1:
            models = tuple(
                each for each in models if step in typing.get_args(keys_of(each)["shape"].annotation)
            )
            continue
        path = (*path, step)
        if isinstance(step, str):
            holder = models[0] if models else None
            field = keys_of(holder).get(step) if holder else None
            models = tuple(models_in(field.annotation)) if field else ()
    return path, holder, field


def _missing(path: Path, field: FieldInfo | None) -> str:
    models = tuple(models_in(field.annotation)) if field else ()
    if models and field and typing.get_origin(field.annotation) is tuple:
        return f"missing table [[{_header(path)}]]"
    if models and len(path) == 1:
        return f"missing table [{_header(path)}]"
    return f"missing key '{path[-1]}'"


def _header(path: Path) -> str:
    """The path as it stands in the header of a table."""
    return spell(tuple(step for step in path if isinstance(step, str)))


def _choice(expected: str, given: Any) -> str:
    near = suggestion(given, expected.split("'")[1::2]) if isinstance(given, str) else ""
    shown = f"'{given}'" if isinstance(given, str) else given
    return f"must be {expected}, not {shown}{near}"


def _wrong_container(error: ErrorDetails, path: Path, field: FieldInfo | None) -> str:
    models = tuple(models_in(field.annotation)) if field else ()
    if error["type"] == "tuple_type":
        if models and isinstance(error["input"], dict):
            return f"there can be several of these: write [[{_header(path)}]], in double brackets"
        return _WORDS["tuple_type"]
    if isinstance(error["input"], list) and len(path) == 1:
        return f"there is only one of these: write [{_header(path)}], in single brackets"
    needed = [key for key, inner in keys_of(models[0]).items() if inner.is_required()] if models else []
    return f"must be a table, such as {{ {', '.join(f'{key} = ...' for key in needed)} }}"
