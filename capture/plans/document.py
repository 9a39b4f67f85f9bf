"""A plan as the tables it would be read from: what the writers of TOML and CSV start with."""

from decimal import Decimal
from fractions import Fraction
from math import sqrt
from typing import Any

import msgspec
from msgspec import Struct

from annotate.quantity import Quantity
from capture.errors import BadPlanFile
from capture.numerals import LARGEST_DENOMINATOR, MOST_FIGURES
from capture.plans.keys import FORMAT, TABLES, Key
from capture.plans.values import WITHOUT_WORD
from capture.unit_words import INCH_MM
from store.plan import Plan

# What a file may say in several ways and a plan holds in one.
_NOT_KEPT = {"format", "about", "each", "for_each", "unit_us", "resolution_us", "ask"}
_MEMBERS = {
    "gauge": "gauges", "location": "locations", "hold_point": "hold_points", "part": "parts",
    "check": "characteristics", "expansion_per_kelvin": "expansion",
}  # fmt: skip
_UNIT_IS_PLAIN = {"yes-no": "1", "note": "1", "agreement": "1", "coverage": "%"}
_GIVEN = ("near_diameter", "far_diameter", "wall", "bore_diameter")


def document_of(plan: Plan) -> dict[str, Any]:
    """Return the tables of a plan file that reads as this plan.

    Raises BadPlanFile for a number that no text can say.
    """
    return {"format": FORMAT, **_table("plan", plan)}


def _table(kind: str, record: Struct) -> dict[str, Any]:
    usual = {field.name: field.default for field in msgspec.structs.fields(record)}
    table = {}
    for key in TABLES[kind]:
        member = _MEMBERS.get(key.name, key.name) if _is_renamed(kind, key) else key.name
        if key.name in _NOT_KEPT:
            continue
        value = getattr(record, member)
        if value != usual[member] or (key.needed and key.form != "tables"):
            table[key.name] = _plain(key, value)
    if kind == "check":
        _fit(table)
    return table


def _fit(check: dict[str, Any]) -> None:
    """Leave out the unit that is no choice, and name what the limit of a coverage speaks of."""
    if _UNIT_IS_PLAIN.get(check["kind"]) == check["unit"]:
        del check["unit"]
    for name in ("limit", "wear_limit"):
        if check["kind"] == "coverage" and name in check:
            check[name].setdefault("of", "covered")


def _is_renamed(kind: str, key: Key) -> bool:
    """Return whether the record calls it otherwise: a check's gauge is a gauge's id, no list."""
    return key.form == "tables" or (kind == "gauge" and key.form == "number")


def _plain(key: Key, value: Any) -> Any:  # noqa: ANN401 - whatever a record holds
    if isinstance(value, Quantity):
        return _given_text(value) if key.name in _GIVEN else _exact_text(value)
    if isinstance(value, Struct):
        return _table(key.table, value)
    if isinstance(value, tuple):
        return [_table(key.table, one) if isinstance(one, Struct) else one for one in value]
    return value


def _exact_text(quantity: Quantity) -> str:
    """Return "0.25 mm"; -0.25 mm where it is negative, which is PROUD for a depth."""
    unit = "" if quantity.unit in WITHOUT_WORD else quantity.unit
    return f"{_number_text(quantity.value)} {unit}".rstrip()


def _number_text(value: float) -> str:
    text = format(Decimal(repr(value)), "f")
    whole, _, part = text.partition(".")
    if len(part) <= MOST_FIGURES:
        return f"{whole}.{part}" if part.strip("0") else whole
    near = Fraction(value).limit_denominator(LARGEST_DENOMINATOR)
    if float(near) == value:
        return f"{near.numerator}/{near.denominator}"
    raise BadPlanFile(f"{value!r} has too many figures to be written in a plan: round it")


def _given_text(quantity: Quantity) -> str:
    """Return "7.05 mm +- 0.05 mm", in the unit in which the plan was written."""
    half_width = quantity.u * sqrt(3)
    for unit, scale in (("mm", Fraction(1)), ("in", Fraction(INCH_MM))):
        size = _shortest(quantity.value / float(scale), quantity.value, scale, root=1)
        margin = _shortest(half_width / float(scale), quantity.u, scale, root=sqrt(3))
        if size and margin:
            return f"{size} {unit} +- {margin} {unit}"
    raise BadPlanFile(f"{quantity.value!r} {quantity.unit} +- {half_width!r} can't be written")


def _shortest(number: float, wanted: float, scale: Fraction, *, root: float) -> str:
    """Return the shortest text of a number that is read as exactly what is wanted, else ""."""
    fraction = Fraction(number).limit_denominator(LARGEST_DENOMINATOR)
    texts = [f"{number:.{places}f}" for places in range(MOST_FIGURES + 1)]
    for text in (*texts, f"{fraction.numerator}/{fraction.denominator}"):
        read = Fraction(text)
        if wanted in {float(read * scale) / root, float(read) / root * float(scale)}:
            return text
    return ""
