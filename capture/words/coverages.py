"""A measured coverage -> lines for a person: the numbers, their doubt, the trials behind them."""

from collections.abc import Iterator
from math import ceil, hypot, isclose, log10

from msgspec import UNSET

from annotate.beside import Repeats
from annotate.result import Coverage, Known, Result
from capture.words.quantities import count_text, quantity_text, result_text

SCREENING = (
    "caution: a photo estimate is a screening aid: where it matters, confirm with a pin or gauge"
)
_LEAST_POINTS = 0.005  # of coverage: less is no figure of what is printed
_SQUARE_ON_DEG = 3.0
_SIDEWAYS = 0.38  # sine of 22.5 degrees: less than that of a direction is not worth saying


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
    told = [line for line in result.budget if line.points >= _LEAST_POINTS]
    for line in told:
        dof = "" if line.dof is None else f", {line.dof:.0f} degrees of freedom"
        yield f"  {line.points:6.2f} points  {line.source}{dof}"
    rest = [line.source for line in result.budget if line.points < _LEAST_POINTS]
    if rest:
        yield f"  less than {_LEAST_POINTS} points each: {', '.join(rest)}"
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
        f"marking  {count_text(marks, 'earlier mark')} made more than once: one person's lie "
        f"{own:.2f} times as far apart as is usual (as sure as {dof:.0f} repeats make it)"
    )
    if repeats.people is UNSET or repeats.people_dof is UNSET:
        yield "marking  nobody else marked those photos: how far people differ they do not tell"
    else:
        yield (
            f"marking  people differ {repeats.people:.2f} times as much as is usual (as sure as "
            f"{repeats.people_dof:.0f} repeats make it)"
        )
    yield (
        "marking  usual is what is taken without them; it still counts while marks are few. "
        "What is above 1.00 makes this interval wider"
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
