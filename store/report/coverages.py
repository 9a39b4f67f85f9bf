"""A measured coverage -> the rows that only an expert needs, and its uncertainty budget."""

from typing import Any

from msgspec import UNSET

from annotate.coverage import Coverage, Givens, Known, Result
from annotate.quantity import Quantity
from store.evidence import Marked
from store.plan import Location
from store.report.figures import given, saying

_UP_PER_HOUR = 30
_LEAST_POINTS = 0.05  # printed as 0.1
_MIDDLE_HALF_SINCE = [0, 4, 0]  # version; before, the mean of all trials was told


def expert_table(marked: Marked, location: Location, name: str) -> dict[str, Any]:
    """Return every number found on the way, each with its interval or why it is not known."""
    result = marked.result
    named: list[tuple[str, Result]] = [
        ("covered, smaller hole", result.covered),
        (f"covered, {location.near}", result.covered_of_near),
        (f"covered, {location.far}", result.covered_of_far),
        ("covered, slant left in", result.uncorrected),
        ("open area", result.open_area),
        ("as one round hole", result.equivalent_diameter),
        ("distance of the two centres", result.offset),
        ("largest pin, computed", result.largest_pin),
        ("line of sight to the axis", result.line_of_sight),
        ("shift it causes, right", result.parallax.dx),
        ("shift it causes, down", result.parallax.dy),
    ]
    rows = [[name, *_said(found)] for name, found in named]
    rows.append(["direction, near to far hole", *_clock(result)])
    return {
        "heads": [f"{name}, photo {marked.photo[:8]}", "value", "95 % interval"],
        "widths": [1.9, 0.9, 1.35],
        "rows": rows,
        "right": [1],
        "fine": False,
    }


def budget(result: Coverage) -> list[dict[str, Any]]:
    """Return the sources of uncertainty in points of coverage, largest first."""
    lines = sorted(result.budget, key=lambda line: -line.points)
    rows = [
        {"source": line.source, "points": f"{line.points:.1f}", "share": line.points}
        for line in lines
        if line.points >= _LEAST_POINTS
    ]
    if rows and len(rows) < len(lines):
        rows.append({"source": "others, each", "points": "below 0.1", "share": 0.0})
    return rows


def method(marked: Marked, location: Location) -> str:
    """Return what the measurement was told, and how it can be done again."""
    return (
        f"Told: {_told(marked.givens, location)}. Monte Carlo (JCGM 101:2008), "
        f"{marked.trials} trials, seed {marked.seed}, version {marked.version}; "
        f"{_number_told(marked.version)}the same marks "
        f"give the same numbers.{_together(marked)}{_repeats(marked)}"
    )


def _number_told(version: str) -> str:
    """Return what of its trials a version tells as the number; "" where that is not known."""
    digits = version.split(".")
    if not all(part.isdecimal() for part in digits):
        return ""
    middle = [int(part) for part in digits] >= _MIDDLE_HALF_SINCE
    return f"the number is the mean of {'their middle half' if middle else 'all of them'}, "


def _together(marked: Marked) -> str:
    """Return a sentence on the other photos that were measured as one with this, if any."""
    if not marked.together:
        return ""
    entries = ", ".join(digest[:8] for digest in marked.together)
    photos = "another photo" if len(marked.together) == 1 else "other photos"
    return (
        f" Measured as one with the marks on {photos} of this hole (entry {entries}); what the "
        "photos share, the lengths told among it, counts once."
    )


def _repeats(marked: Marked) -> str:
    """Return a sentence on what photos that were marked again showed, if any were."""
    if marked.repeats is None:
        return ""
    told = marked.repeats
    own = told.ratio if told.own is UNSET else told.own
    dof = told.dof if told.own_dof is UNSET else told.own_dof
    several = (
        ""
        if told.people is UNSET or told.people_dof is UNSET
        else f", and people differ {told.people:.2f} times as much as is usual (as sure as "
        f"{told.people_dof:.0f} repeats make it)"
    )
    return (
        f" {len(marked.repeats_from)} earlier marks, of photos that were marked more than once: "
        f"one person's lie {own:.2f} times as far apart as is usual (as sure as {dof:.0f} repeats "
        f"make it){several}. What is above 1.00 makes the interval wider."
    )


def _told(givens: Givens, location: Location) -> str:
    known = [
        (name, value)
        for name, value in (
            (f"{location.near}, diameter", givens.near_diameter),
            (f"{location.far}, diameter", givens.far_diameter),
            ("wall", givens.wall),
            ("bore", givens.bore_diameter),
        )
        if value is not None
    ]
    parts = [f"{name} {given(value)}{_give(value)}" for name, value in known]
    parts += ["face flat"] if givens.flat else []
    return "; ".join(parts) or "no length"


def _give(quantity: Quantity) -> str:
    low, high = quantity.interval()
    return f" (95 % {saying(quantity).interval(low, high)})" if quantity.u > 0 else ""


def _said(found: Result) -> list[str]:
    if not isinstance(found, Known):
        return ["not known", found.reason]
    quantity = found.quantity.to("%") if found.quantity.unit == "1" else found.quantity
    say = saying(quantity)
    return [say.value(quantity.value), say.interval(*quantity.interval())]


def _clock(result: Coverage) -> list[str]:
    found = result.offset_clock
    if not isinstance(found, Known):
        return ["not known", found.reason]
    degrees = round(found.quantity.to("deg").value) % 360
    hours, rest = divmod(degrees, _UP_PER_HOUR)
    return [f"{hours or 12}:{rest * 2:02d}", "o'clock"]
