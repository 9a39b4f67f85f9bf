"""What is made from the description of the plan file: schema.json and the tables of FORMAT.md.

``python -m tests.capture.plan_page`` writes both.
"""

import json
import re
from pathlib import Path

from capture.plans.keys import TABLES, Form, Key
from capture.plans.schema import plan_schema

FOLDER = Path(__file__).parents[2] / "capture" / "plans"
SCHEMA = FOLDER / "schema.json"
PAGE = FOLDER / "FORMAT.md"
_MADE = re.compile(r"(?<=<!-- tables -->\n).*(?=<!-- end -->)", re.DOTALL)
_HEADERS = {
    "plan": "the top of the file",
    "job": "[job]",
    "gauge": "[[gauge]]",
    "location": "[[location]]",
    "check": "[[location.check]]",
    "limit": "limit = { ... }, wear_limit = { ... }",
    "band": "bands = [ { ... }, { ... } ]",
    "doubt": "doubts = [ { ... } ]",
    "hold_point": "[[hold_point]]",
    "part": "[[part]]",
    "kit": "[[kit]]",
}
_WRITTEN: dict[Form, str] = {
    "words": "text", "id": "id", "value": "value", "whole": "whole number", "number": "number",
    "yes": "true or false", "texts": "list of texts", "each": "text or list of texts",
    "lists": "lists of texts",
}  # fmt: skip


def schema_text() -> str:
    """Return what schema.json holds."""
    return json.dumps(plan_schema(), indent=1, ensure_ascii=False) + "\n"


def page_text(page: str) -> str:
    """Return the page with its tables made anew."""
    parts = [_table(_HEADERS[name], keys) for name, keys in TABLES.items()]
    return _MADE.sub(lambda _: "\n".join(parts), page, count=1)


def _table(header: str, keys: tuple[Key, ...]) -> str:
    lines = [f"| `{header}` | written as | |", "|---|---|---|"]
    for key in keys:
        name = f"**`{key.name}`**" if key.needed else f"`{key.name}`"
        lines.append(f"| {name} | {_written(key)} | {key.meaning} |")
    return "\n".join(lines) + "\n"


def _written(key: Key) -> str:
    if key.table:
        header = _HEADERS[key.table]
        return f"`{key.name}{header[header.index(' =') :]}`" if "=" in header else f"`{header}`"
    if key.choices:
        return ("any of " if key.form == "choices" else "") + ", ".join(key.choices)
    return _WRITTEN[key.form]


if __name__ == "__main__":
    SCHEMA.write_text(schema_text(), encoding="utf-8")
    PAGE.write_text(page_text(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
