"""Measured records -> lines for a person. Every number with its unit."""

import re
from collections.abc import Iterator
from math import ceil, hypot, isclose, log10

from msgspec import UNSET

from annotate.beside import Repeats
from annotate.quantity import UNITS, Quantity
from annotate.result import Coverage, Known, Result
from store.characteristic import Characteristic, Limit
from store.report.figures import decimals_of, unit_word
from store.verdict import Verdict

SCREENING = (
    "caution: a photo estimate is a screening aid: where it matters, confirm with a pin or gauge"
)
_UNSPOKEN = ("1", "count")
_SPELT = re.compile(r" (N\.m|lbf\.ft|lbf\.in|mm\^2|in\^2|um|deg)(?![\w^])")
_SQUARE_ON_DEG = 3.0
_SIDEWAYS = 0.38  # sine of 22.5 degrees: less than that of a direction is not worth saying


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


def coverage_lines(
    result: Coverage, near: str = "near hole", far: str = "far hole"
) -> Iterator[str]:
    """Yield what was measured, in the order in which it matters."""
    yield f"covered  {result_text(result.covered)} of the smaller hole"
    yield f"open     {result_text(result.open)}"
    yield (
        f"         covered {_short(result.covered_of_near)} of the {near}, "
        f"{_short(result.covered_of_far)} of the {far}"
    )
    yield f"offset   {result_text(result.offset)}{_clock_text(result)}"
    passes = ", the largest straight one that passes"
    yield f"pin      {result_text(result.largest_pin)}{_if_known(result.largest_pin, passes)}"
    as_round = f" open, as a round hole of {_short(result.equivalent_diameter)}"
    yield f"area     {result_text(result.open_area)}{_if_known(result.open_area, as_round)}"
    yield from _sight_lines(result)
    if result.budget:
        most = ", ".join(f"{line.source} {line.points:.1f}" for line in result.budget[:4])
        yield f"doubt    in points: {most}"


def budget_lines(result: Coverage) -> Iterator[str]:
    """Yield every source of doubt in points of coverage, and what they come to together."""
    for line in result.budget:
        dof = "" if line.dof is None else f", {line.dof:.0f} degrees of freedom"
        yield f"  {line.points:6.2f} points  {line.source}{dof}"
    if isinstance(result.covered, Known):
        points = 100 * result.covered.quantity.u
        # Lines of an older entry may come to more or less.
        sums = isclose(hypot(*(line.points for line in result.budget)), points, rel_tol=0.01)
        root = ", the root of the sum of their squares" if sums else ""
        yield f"  {points:6.2f} points  standard uncertainty of covered{root}"


def repeats_lines(repeats: Repeats, marks: int) -> Iterator[str]:
    """Yield what marks made more than once showed: of one person, and what several people add."""
    own = repeats.ratio if repeats.own is UNSET else repeats.own
    dof = repeats.dof if repeats.own_dof is UNSET else repeats.own_dof
    yield (
        f"marking  by {marks} earlier marks made more than once one person's scatter {own:.2f} "
        f"times as far as was taken, {dof:.0f} degrees of freedom"
    )
    if repeats.people is UNSET or repeats.people_dof is UNSET:
        yield "marking  nobody else marked those photos: what several people add is not known"
    else:
        yield (
            f"marking  several people add {repeats.people:.2f} times as far as was taken, "
            f"{repeats.people_dof:.0f} degrees of freedom"
        )
    yield (
        "marking  few marks are weighed with what is ordinary (as far as was taken, within a "
        "factor of 2.7); what is more than was taken is in"
    )


def trials_line(trials: int, reached: float, tolerance: float) -> str:
    """Return how many trials were made, and to how many points the numbers stand still by then.

    ``reached`` and ``tolerance`` are of covered, as fractions.
    """
    still, asked = _still_text(reached, tolerance)
    return f"trials   {trials}, by which {still}{asked} (JCGM 101:2008, 7.9)"


def unsettled_notes(trials: int, reached: float, tolerance: float) -> tuple[str, ...]:
    """Return a note if the trials ended before the interval stood still, as of ``trials_line``."""
    if reached <= tolerance:
        return ()
    told = (
        f"{''.join(_still_text(reached, tolerance))}: no more than {trials} trials are made, so "
        "take its ends to be as uncertain as that"
    )
    return (told,)


def _still_text(reached: float, tolerance: float) -> tuple[str, str]:
    """Return "the interval stands still to 0.31 points" and ", not to the 0.1 asked for" or ""."""
    places = min(4, max(2, ceil(-log10(100 * tolerance)) + 1))
    still = f"the interval stands still to {100 * reached:.{places}f} points"
    asked = f"{100 * tolerance:.12f}".rstrip("0").rstrip(".")
    return still, "" if reached <= tolerance else f", not to the {asked} asked for"


def _short(result: Result) -> str:
    return quantity_text(result.quantity) if isinstance(result, Known) else "not known"


def _if_known(result: Result, words: str) -> str:
    return words if isinstance(result, Known) else ""


def _clock_text(result: Coverage) -> str:
    clock = result.offset_clock
    if not isinstance(clock, Known):
        return ""
    halves = round(clock.quantity.value / 15) % 24  # half hours of a clock face
    towards = f"towards {halves // 2 or 12}:{'30' if halves % 2 else '00'} in the picture"
    # Which way is known without any length; it must not read as part of why the length is not.
    return f", {towards}" if isinstance(result.offset, Known) else f"; it points {towards}"


def _sight_lines(result: Coverage) -> Iterator[str]:
    """Yield how slantwise the camera looked, what that did, and where to move it."""
    sight = result.line_of_sight
    if not isinstance(sight, Known):
        return
    if _either_way(result):
        # The average of two opposite shifts says nothing of either.
        yield f"sight    {result_text(sight)} off the hole's axis, to which side is not settled"
        return
    shift = shift_text(result)
    because = f": it {shift}" if shift else ""
    yield f"sight    {result_text(sight)} off the hole's axis{because}"
    move = camera_move(result)
    if move:
        yield f"         to look straight in, move the camera {move} (as the picture shows it)"


def _either_way(result: Coverage) -> bool:
    """Return whether the shift may as well be the other way: both its intervals hold 0."""
    shifts = (result.parallax.dx, result.parallax.dy)
    known = [shift.quantity.interval() for shift in shifts if isinstance(shift, Known)]
    return bool(known) and all(low < 0 < high for low, high in known)


def shift_text(result: Coverage) -> str:
    """Return "shifts the far hole by 0.41 mm, +1.9 points of coverage; corrected".

    Empty where the shift is not known in mm, for no length is.
    """
    dx, dy = result.parallax.dx, result.parallax.dy
    if not (isinstance(dx, Known) and isinstance(dy, Known)):
        return ""
    shift_mm = hypot(dx.quantity.value, dy.quantity.value)
    text = f"shifts the far hole by {shift_mm:.2f} mm"
    if isinstance(result.uncorrected, Known) and isinstance(result.covered, Known):
        points = 100 * (result.uncorrected.quantity.value - result.covered.quantity.value)
        text += f", {points:+.1f} points of coverage"
    return f"{text}; corrected"


def camera_move(result: Coverage) -> str:
    """Return which way to move the camera to look straight in, "left and up" in the picture.

    Empty where it looks straight in already, or where the side is not settled. The far hole seems
    shifted towards where the camera stands, so the camera goes the other way.
    """
    sight, dx, dy = result.line_of_sight, result.parallax.dx, result.parallax.dy
    if not (isinstance(sight, Known) and isinstance(dx, Known) and isinstance(dy, Known)):
        return ""
    if sight.quantity.value <= _SQUARE_ON_DEG or _either_way(result):
        return ""
    x, y = -dx.quantity.value, -dy.quantity.value
    far = hypot(x, y)
    if far == 0:
        return ""
    across = ("right" if x > 0 else "left") if abs(x) > _SIDEWAYS * far else ""
    along = ("down" if y > 0 else "up") if abs(y) > _SIDEWAYS * far else ""
    return " and ".join(word for word in (across, along) if word)


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
