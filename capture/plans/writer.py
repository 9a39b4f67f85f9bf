"""Plan -> the text of a plan file, which reads back as an equal plan."""

import json
from collections.abc import Iterator
from typing import Any

from capture.errors import BadPlanFile
from capture.plans.document import document_of
from capture.plans.reader import parse_plan
from store.plan import Plan

_INLINE = ("limit", "wear_limit", "bands", "doubts")


def write_plan(plan: Plan) -> str:
    """Return a plan file in TOML that reads as this plan.

    Raises BadPlanFile for a plan that no file can say: one with a number of too many figures, say.
    """
    text = "\n".join(_lines(document_of(plan))).strip() + "\n"
    if parse_plan(text.encode(), "the plan") != plan:
        raise BadPlanFile("a plan file can't say all that this plan holds")
    return text


def inline(value: Any) -> str:  # noqa: ANN401 - whatever TOML can hold
    """Return a value as TOML writes it on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        # A JSON text is a TOML text, but for one character that TOML wants escaped.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")
    if isinstance(value, list):
        return f"[{', '.join(inline(one) for one in value)}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {inline(one)}' for key, one in value.items())} }}"
    return repr(value)


def _lines(table: dict[str, Any], name: str = "", indent: str = "") -> Iterator[str]:
    """Yield a table's own keys, then the tables below it."""
    below = {key: value for key, value in table.items() if _is_below(key, value)}
    for key, value in table.items():
        if key not in below:
            yield f"{indent}{key} = {inline(value)}"
    for key, value in below.items():
        full = f"{name}.{key}" if name else key
        further = f"{indent}  " if name else indent
        for one in value if isinstance(value, list) else [value]:
            header = f"[[{full}]]" if isinstance(value, list) else f"[{full}]"
            yield from ("", f"{further}{header}", *_lines(one, full, further))


def _is_below(key: str, value: Any) -> bool:  # noqa: ANN401 - whatever TOML can hold
    holds_tables = isinstance(value, list) and value and isinstance(value[0], dict)
    return key not in _INLINE and (isinstance(value, dict) or bool(holds_tables))
