"""Measured records -> lines for a person. Every number with its unit."""

import re

from annotate.quantity import UNITS, Quantity
from annotate.result import Known, Result
from store.characteristic import Characteristic, Limit
from store.report.figures import decimals_of, unit_word
from store.verdict import Verdict

_UNSPOKEN = ("1", "count")
_SPELT = re.compile(r" (N\.m|lbf\.ft|lbf\.in|mm\^2|in\^2|um|deg)(?![\w^])")


def quantity_text(quantity: Quantity, *, depth: bool = False) -> str:
    """Return "21.4 %", "3.05 mm" or "3.0 mm BELOW": a fraction in per cent, a depth with its word.

    Rounded by its uncertainty, as the report rounds it (``store.report.figures``).
    """
    shown = _in_per_cent(quantity)
    return _worded(shown.value, decimals_of(shown), shown.unit, depth=depth)


def interval_text(quantity: Quantity, *, depth: bool = False) -> str:
    """Return the 95 % interval as "18.2 to 24.9 %", rounded as the value is."""
    shown = _in_per_cent(quantity)
    places = decimals_of(shown)
    low, high = shown.interval()
    if depth:
        return " to ".join(_worded(end, places, shown.unit, depth=True) for end in (low, high))
    return f"{_bare(low, places)} to {_worded(high, places, shown.unit)}"


def given_text(quantity: Quantity) -> str:
    """Return a value that was given, not measured: all of its figures, and its unit."""
    figures = f"{quantity.value or 0.0:.10f}".rstrip("0").rstrip(".")
    return figures if quantity.unit in _UNSPOKEN else f"{figures} {quantity.unit}"


def printed(text: str) -> str:
    """Return a text of this module with each unit as the report prints it: "3 N·m", "90°".

    For what is read only: where a text is typed again its units stay as they are spelt here.
    """
    return _SPELT.sub(_as_printed, text)


def _as_printed(found: re.Match[str]) -> str:
    word = unit_word(found[1])
    return word if word == "°" else f" {word}"


def is_told_as_depth(check: Characteristic) -> bool:
    """Return whether a check's value is a depth, and not how far several depths are apart."""
    return check.is_told_as_depth


def count_text(number: int, one: str, many: str = "") -> str:
    """Return "1 photo", "3 photos", "no photos"."""
    return f"{number or 'no'} {one if number == 1 else many or one + 's'}"


def _in_per_cent(quantity: Quantity) -> Quantity:
    if quantity.unit != "1":
        return quantity
    # Not Quantity.to: a factor of a hundred needs no table of units loaded.
    hundredfold = tuple(100 * each for each in quantity.quantiles)
    return Quantity(100 * quantity.value, "%", 100 * quantity.u, quantity.dof, hundredfold)


def _worded(value: float, places: int, unit: str, *, depth: bool = False) -> str:
    if not depth:
        return _bare(value, places) if unit in _UNSPOKEN else f"{_bare(value, places)} {unit}"
    size = _bare(abs(value), places)
    if not size.strip("0."):
        return "FLUSH"
    return f"{size} {unit} {'BELOW' if value > 0 else 'PROUD'}"


def _bare(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text if text.strip("-0.") else text.lstrip("-")  # no "-0.0"


def result_text(result: Result) -> str:
    """Return a result with its interval, or why it is not known."""
    if isinstance(result, Known):
        return f"{quantity_text(result.quantity)} (95 %: {interval_text(result.quantity)})"
    return f"not known: {result.reason}"


def limit_text(limit: Limit | None, *, depth: bool = False, kind: str = "coverage") -> str:
    """Return a limit in words: "covered at most 40 %", "at least 0.2 mm PROUD", "En at most 1".

    ``kind`` is that of its check: only what a coverage covers is called so.
    """
    if limit is None:
        return ""
    sides = [
        f"{words} {_bound_text(bound, depth=depth)}"
        for words, bound in (("at least", limit.at_least), ("at most", limit.at_most))
        if bound is not None
    ]
    return f"{_subject(limit, kind)}{' and '.join(sides)}"


def _subject(limit: Limit, kind: str) -> str:
    if kind == "agreement":
        return "En "
    # "of" is a word of coverages; a typed length's limit has it too, unused.
    covers = kind == "coverage" and (limit.of != "covered" or _of_fraction(limit))
    return f"{limit.of} " if covers else ""


def _bound_text(bound: Quantity, *, depth: bool) -> str:
    if not depth:
        return given_text(bound)
    if bound.value == 0:
        return "FLUSH"
    size = given_text(Quantity(abs(bound.value), bound.unit))
    return f"{size} {'BELOW' if bound.value > 0 else 'PROUD'}"


def _of_fraction(limit: Limit) -> bool:
    bound = limit.at_least or limit.at_most
    return bound is not None and UNITS[bound.unit][1] == "ratio"


def verdict_line(verdict: Verdict, limit: str) -> str:
    """Return the verdict in words, with its odds and its rule."""
    line = f"verdict  {verdict.state}: {limit}"
    if verdict.probability_within is not None:
        line += f", odds of being within {_odds(verdict.probability_within)}"
    if verdict.reason:
        line += f" ({verdict.reason})"
    rule = "95 % odds asked either way" if verdict.limit.rule == "guarded" else "the value alone"
    return f"{line} [{verdict.limit.rule} rule: {rule}; source: {verdict.limit.source}]"


def _odds(probability: float) -> str:
    if probability > 0.999:  # noqa: PLR2004 - no odds of 100 %
        return "above 99.9 %"
    if probability < 0.001:  # noqa: PLR2004 - nor of 0 %
        return "below 0.1 %"
    return f"{100 * probability:.1f} %"
