"""Checks of many jobs in words: a value, and its uncertainty in the same measure."""

from capture.words.jobs import value_text
from store.ways_out.listing import Row


def row(kind: str, value: float | None, unit: str, u: float | None) -> Row:
    return {"kind": kind, "value": value, "unit": unit, "u": u, "side": "", "why": "not yet"}


def test_a_fraction_and_its_uncertainty_are_both_told_in_hundredths() -> None:
    assert value_text(row("coverage", 0.4231, "1", 0.022)) == "42 % (u 2.2 points)"


def test_a_length_keeps_its_unit() -> None:
    assert value_text(row("length", 0.077, "mm", 0.0012)) == "0.077 mm (u 0.0012)"


def test_an_en_number_is_not_told_in_per_cent() -> None:
    assert value_text(row("agreement", 0.51988906, "1", 0.0)) == "En 0.52"


def test_without_a_value_the_reason_stands() -> None:
    assert value_text(row("length", None, "mm", None)) == "not yet"
