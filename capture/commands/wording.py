"""Measured records -> lines for a person. Every number with its unit."""

from collections.abc import Iterator
from math import hypot

from annotate.quantity import UNITS, Quantity
from annotate.result import Coverage, Known, Result
from store.plan import Limit
from store.verdict import Verdict

SCREENING = (
    "caution: a photo estimate is a screening aid: where it matters, confirm with a pin or gauge"
)
_SQUARE_ON_DEG = 3.0
_SIDEWAYS = 0.38  # sine of 22.5 degrees: less than that of a direction is not worth saying


def quantity_text(quantity: Quantity) -> str:
    """Return "21.4 %" or "3.05 mm": a fraction in per cent, rounded by its uncertainty."""
    unit = "%" if quantity.unit == "1" else quantity.unit
    return f"{_figures(quantity)} {unit}"


def interval_text(quantity: Quantity) -> str:
    """Return the 95 % interval as "18.2 to 24.9 %"."""
    factor = 100 if quantity.unit == "1" else 1
    unit = "%" if quantity.unit == "1" else quantity.unit
    places = _places(quantity.u * factor)
    low, high = (value * factor for value in quantity.interval())
    return f"{low:.{places}f} to {high:.{places}f} {unit}"


def _figures(quantity: Quantity) -> str:
    factor = 100 if quantity.unit == "1" else 1
    return f"{quantity.value * factor:.{_places(quantity.u * factor)}f}"


def _places(u: float) -> int:
    """Return how many decimals show the first figure of the uncertainty, at most four."""
    places = 0
    while places < 4 and 0 < u * 10**places < 1:  # noqa: PLR2004 - as the line above says
        places += 1
    return places


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
    yield f"offset   {result_text(result.offset)}{_clock_text(result.offset_clock)}"
    yield f"pin      {result_text(result.largest_pin)}, the largest straight one that passes"
    as_round = ""
    if isinstance(result.open_area, Known):
        as_round = f" open, as a round hole of {_short(result.equivalent_diameter)}"
    yield f"area     {result_text(result.open_area)}{as_round}"
    yield from _sight_lines(result)
    if result.budget:
        most = ", ".join(f"{line.source} {line.points:.1f}" for line in result.budget[:4])
        yield f"doubt    in points: {most}"


def _short(result: Result) -> str:
    return quantity_text(result.quantity) if isinstance(result, Known) else "not known"


def _clock_text(clock: Result) -> str:
    if not isinstance(clock, Known):
        return ""
    halves = round(clock.quantity.value / 15) % 24  # half hours of a clock face
    return f", towards {halves // 2 or 12}:{'30' if halves % 2 else '00'} in the picture"


def _sight_lines(result: Coverage) -> Iterator[str]:
    """Yield how slantwise the camera looked, what that did, and where to move it."""
    sight = result.line_of_sight
    if not isinstance(sight, Known):
        return
    if _either_way(result):
        # The average of two opposite shifts says nothing of either.
        yield f"sight    {result_text(sight)} off the hole's axis, to which side is not settled"
        return
    yield f"sight    {result_text(sight)} off the hole's axis{_shift_text(result)}"
    move = _move(result)
    if move and sight.quantity.value > _SQUARE_ON_DEG:
        yield f"         to look straight in, move the camera {move} (as the picture shows it)"


def _either_way(result: Coverage) -> bool:
    """Return whether the shift may as well be the other way: both its intervals hold 0."""
    shifts = (result.parallax.dx, result.parallax.dy)
    known = [shift.quantity.interval() for shift in shifts if isinstance(shift, Known)]
    return bool(known) and all(low < 0 < high for low, high in known)


def _shift_text(result: Coverage) -> str:
    dx, dy = result.parallax.dx, result.parallax.dy
    if not (isinstance(dx, Known) and isinstance(dy, Known)):
        return ""
    shift_mm = hypot(dx.quantity.value, dy.quantity.value)
    text = f": it shifts the far hole by {shift_mm:.2f} mm"
    if isinstance(result.uncorrected, Known) and isinstance(result.covered, Known):
        points = 100 * (result.uncorrected.quantity.value - result.covered.quantity.value)
        text += f", {points:+.1f} points of coverage"
    return f"{text}; corrected"


def _move(result: Coverage) -> str:
    """Return the direction that undoes the parallax.

    The far hole seems shifted towards where the camera stands, so the camera goes the other way.
    """
    dx, dy = result.parallax.dx, result.parallax.dy
    if not (isinstance(dx, Known) and isinstance(dy, Known)):
        return ""
    x, y = -dx.quantity.value, -dy.quantity.value
    far = hypot(x, y)
    if far == 0:
        return ""
    across = ("right" if x > 0 else "left") if abs(x) > _SIDEWAYS * far else ""
    along = ("down" if y > 0 else "up") if abs(y) > _SIDEWAYS * far else ""
    return " and ".join(word for word in (across, along) if word)


def limit_text(limit: Limit | None) -> str:
    """Return a limit in words: "covered at most 40 %"."""
    if limit is None:
        return ""
    sides = [
        f"{words} {bound.value:g} {bound.unit}".removesuffix(" 1")
        for words, bound in (("at least", limit.at_least), ("at most", limit.at_most))
        if bound is not None
    ]
    # "of" is a word of coverages; a typed length's limit has it too, unused.
    subject = f"{limit.of} " if limit.of != "covered" or _of_fraction(limit) else ""
    return f"{subject}{' and '.join(sides)}"


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
