"""JSON Schema of the job and shop files, for editors that complete and check as one types."""

from typing import Any, Literal

from signplan.job.fields import LENGTH_SCHEMA, Table
from signplan.job.model import Job
from signplan.job.shop import Shop

_MODELS: dict[str, type[Table]] = {"job": Job, "shop": Shop}


def file_schema(file: Literal["job", "shop"]) -> dict[str, Any]:
    """The schema of a file, in its own keys."""
    schema: dict[str, Any] = _tidy(_MODELS[file].model_json_schema(by_alias=True))
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": f"signplan {file} file",
    }


def _tidy(node: Any) -> Any:
    """As a file has it: lengths by default with their unit; no null (TOML has none), no default tables."""
    if isinstance(node, list):
        return [_tidy(item) for item in node if item != {"type": "null"}]
    if not isinstance(node, dict):
        return node
    tidy = {key: _tidy(value) for key, value in node.items() if not _is_noise(key, value)}
    if node.get("description") == LENGTH_SCHEMA["description"] and isinstance(node.get("default"), float):
        tidy["default"] = f"{node['default']:g} mm"
    if len(tidy.get("anyOf", ())) == 1:
        tidy |= tidy.pop("anyOf")[0]
    return tidy


def _is_noise(key: str, value: Any) -> bool:
    return (key == "title" and isinstance(value, str)) or (
        key == "default" and (value is None or isinstance(value, dict))
    )
