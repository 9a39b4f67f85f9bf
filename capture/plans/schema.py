"""The plan file's format as a JSON Schema (draft 2020-12), from the description the reader uses.

It says what is written where; what the numbers and names must be to each other only the reader
says.
"""

from typing import Any

from capture.plans.keys import FORMAT, TABLES, Form, Key

DRAFT = "https://json-schema.org/draft/2020-12/schema"
# An id, or one with {main} in it, to be filled in by for_each.
_ID = "^[A-Za-z0-9{][A-Za-z0-9_{}-]*$"
_TEXTS: dict[str, Any] = {"type": "array", "items": {"type": "string"}}
_FORMS: dict[Form, dict[str, Any]] = {
    "words": {"type": "string"},
    "id": {"type": "string", "pattern": _ID},
    "value": {"type": "string", "minLength": 1},
    "whole": {"type": "integer"},
    "number": {"type": "number"},
    "yes": {"type": "boolean"},
    "choice": {"type": "string"},
    "texts": _TEXTS,
    "each": {"anyOf": [{"type": "string"}, _TEXTS]},
    "lists": {"type": "object", "additionalProperties": _TEXTS},
}


def plan_schema() -> dict[str, Any]:
    """Return the JSON Schema of a plan file, as shipped in schema.json."""
    tables = {name: _table(keys) for name, keys in TABLES.items()}
    top = tables.pop("plan")
    top["properties"]["format"]["const"] = FORMAT
    return {
        "$schema": DRAFT,
        "$id": f"urn:benchproof:plan:{FORMAT}",
        "title": "Benchproof plan file",
        **top,
        "anyOf": [{"required": ["job"]}, {"required": ["about"]}],
        "$defs": tables,
    }


def _table(keys: tuple[Key, ...]) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": {key.name: {"description": key.meaning, **_key(key)} for key in keys},
        "required": [key.name for key in keys if key.needed],
        "additionalProperties": False,
    }


def _key(key: Key) -> dict[str, Any]:
    below = {"$ref": f"#/$defs/{key.table}"}
    if key.form == "table":
        return below
    if key.form == "tables":
        return {"type": "array", "items": below}
    if key.form == "choices":
        return {"type": "array", "items": {"enum": list(key.choices)}}
    if key.form == "choice":
        return {"enum": list(key.choices)}
    says_something = {"pattern": r"\S"} if key.needed and key.form == "words" else {}
    return {**_FORMS[key.form], **says_something}
