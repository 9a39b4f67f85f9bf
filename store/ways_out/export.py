"""A job's readings as a file for other programs: CSV (RFC 4180), or JSON with a published schema.

Columns and members have one source, ``store.ways_out.listing``. In JSON a number is a number to
nine figures, what is not known is null, and a text stands as it was typed; in CSV it may have a
mark before it (``store.ways_out.readings_csv.POLICY``). The same book gives the same bytes.
"""

import json
from pathlib import Path
from typing import Any, Literal

from store.codec import Entry
from store.files.disk import cannot_write
from store.files.halfmade import replace_file
from store.round import Round
from store.ways_out.listing import (
    CHECKS,
    DISTRIBUTIONS,
    READINGS,
    Column,
    Row,
    check_rows,
    reading_rows,
)
from store.ways_out.readings_csv import table_text

FORMAT = "benchproof readings 1"
What = Literal["readings", "checks"]
_DRAFT = "https://json-schema.org/draft/2020-12/schema"
_FORMS = {"text": "string", "number": "number", "whole": "integer", "yes-no": "boolean"}
_STATES = ["within", "outside", "too close to call", "not measured", "no limit"]
_CHOICES: dict[str, list[str]] = {
    "verdict": _STATES,
    "state": _STATES,
    "side": ["", "BELOW", "FLUSH", "PROUD"],
    "distribution": ["", *DISTRIBUTIONS],
}
_HASH = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
_JOB = {
    "number": "the shop's number of the job",
    "engine": "what is rebuilt",
    "engine_number": "its own number",
    "customer": "for whom",
    "shop": "by whom",
}


def write_csv(path: Path, known: Round, what: What = "readings") -> int:
    """Write every reading, or where every check stands, as CSV; return how many lines it has.

    The line of names is not counted. Raises CannotWrite with what was there left as it was.
    """
    columns, rows = _table(known, what)
    _write(path, table_text(columns, rows))
    return len(rows)


def write_json(path: Path, known: Round, entries: tuple[Entry, ...]) -> int:
    """Write a job's checks and readings as JSON; return how many readings it has."""
    content = document(known, entries)
    _write(path, json.dumps(content, indent=1, ensure_ascii=False, allow_nan=False) + "\n")
    return len(content["readings"])


def document(known: Round, entries: tuple[Entry, ...]) -> dict[str, Any]:
    """Return what is written as JSON. ``heads`` are the lines that the book's chains end with."""
    heads = {entry.bench: entry for entry in entries}
    return {
        "format": FORMAT,
        "job": {member: getattr(known.job, member) for member in _JOB},
        "entries": known.entries,
        "heads": [
            {"bench": bench, "number": entry.seq, "entry": entry.hash}
            for bench, entry in sorted(heads.items())
        ],
        "checks": _table(known, "checks")[1],
        "readings": _table(known, "readings")[1],
    }


def first_words(path: Path) -> bytes:
    """Return how a file written here begins: by that, an older one is known for one of ours."""
    if path.suffix.lower() == ".json":
        return f'{{\n "format": "{FORMAT}"'.encode()
    return ",".join(column.name for column in READINGS[:3]).encode() + b","


def schema() -> dict[str, Any]:
    """Return the JSON Schema of the document, as shipped in readings.schema.json."""
    head = {
        "bench": {"type": "string", "description": "whose chain"},
        "number": {"type": "integer", "description": "of its last line", "minimum": 1},
        "entry": {**_HASH, "description": "SHA-256 of that line"},
    }
    job = {name: {"type": "string", "description": says} for name, says in _JOB.items()}
    return {
        "$schema": _DRAFT,
        "$id": "urn:benchproof:readings:1",
        "title": "Readings of one job, as benchproof export writes them",
        **_object({
            "format": {"const": FORMAT},
            "job": _object(job),
            "entries": {"type": "integer", "description": "lines in the ledger", "minimum": 1},
            "heads": {"type": "array", "items": _object(head)},
            "checks": {"type": "array", "items": _row(CHECKS)},
            "readings": {"type": "array", "items": _row(READINGS)},
        }),
    }  # fmt: skip


def _columns(what: What) -> tuple[Column, ...]:
    return READINGS if what == "readings" else CHECKS


def _table(known: Round, what: What) -> tuple[tuple[Column, ...], list[Row]]:
    rows = reading_rows(known) if what == "readings" else check_rows(known)
    return _columns(what), list(rows)


def _object(members: dict[str, Any]) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": members,
        "required": list(members),
        "additionalProperties": False,
    }


def _row(columns: tuple[Column, ...]) -> dict[str, Any]:
    return _object({column.name: _member(column) for column in columns})


def _member(column: Column) -> dict[str, Any]:
    form: Any = _FORMS[column.form]
    # A text that is not there is empty, a number that is not known is null.
    member: dict[str, Any] = {"type": [form, "null"] if column.form == "number" else form}
    if column.name in _CHOICES:
        member = {"enum": _CHOICES[column.name]}
    return {"description": column.says, **member}


def _write(path: Path, text: str) -> None:
    try:
        replace_file(path, text.encode())
    except OSError as error:
        raise cannot_write(error, path.name) from error
