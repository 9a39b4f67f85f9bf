"""Facts -> everything that is drawn of a limit line, in pixels, for a block of some width.

A limit is a wall, hatched on the side that is not allowed; the reading is a stem, and a blade runs
from it to the one-sided bound that the rule compares with the wall, like a feeler in a gap. The
two-sided 95 % interval is a thin whisker: kept, but it does not decide. Texts give way to each
other; what finds no room is returned, and said elsewhere.
"""

from itertools import pairwise
from typing import Literal, NamedTuple

from capture.desk.limit.axis import Axis, axis_of
from capture.desk.limit.facts import Facts, past
from capture.desk.limit.figure_rows import put_figures
from capture.desk.limit.page import Box, Measure, Page, Text
from capture.desk.limit.places import (
    AXIS_Y,
    BAND_TOP,
    BLADE_HIGH,
    BLADE_TOP,
    CAP,
    CLEAR,
    FACE,
    LEFT,
    MIDDLE_Y,
    STEM,
)
from capture.desk.limit.plates import put_dimension, put_names, put_plates
from capture.desk.limit.value_row import put_value_row


class Blade(NamedTuple):
    """A piece of the blade; ``inside`` a wall it is only tinted. ``tip`` is the side that ends it.

    A pointed tip is that of a value that lies outside.
    """

    box: Box
    inside: bool
    tip: Literal["", "left", "right"] = ""
    pointed: bool = False


class Face(NamedTuple):
    """The face of a wall; dashed where its limit does not decide."""

    x: float
    dashed: bool


class Drawn(NamedTuple):
    """A limit line. ``arrows`` are (from, to), the point at ``to``; ``ticks`` (x, is it long)."""

    width: float
    axis: Axis
    ticks: tuple[tuple[float, bool], ...]
    hatches: tuple[Box, ...]
    faces: tuple[Face, ...]
    stem: float | None
    blades: tuple[Blade, ...]
    whisker: tuple[float, float] | None
    arrows: tuple[tuple[float, float], ...]
    leaders: tuple[tuple[tuple[float, float], ...], ...]
    texts: tuple[Text, ...]
    unplaced: tuple[str, ...]


def drawn(facts: Facts, width: float, measure: Measure) -> Drawn:
    """Return the limit line of some facts in a block of ``width`` pixels.

    ``measure`` tells the width of a text.
    """
    page = Page(width, measure)
    axis = axis_of(facts, LEFT, width - FACE / 2)
    hatches, faces = _walls(facts, axis)
    blades = _blades(facts, axis)
    whisker = _whisker(facts, axis)
    _take_band(page, facts, axis, faces, blades, whisker)
    arrows, told = put_dimension(page, facts, axis, whisker)
    unplaced = put_plates(page, facts, axis)
    leaders, unsaid = put_value_row(page, facts, axis, told=told)
    ticks = put_figures(page, facts, axis)
    unplaced += put_names(page, facts, axis)
    return Drawn(
        width, axis, ticks, hatches, faces, _stem(facts, axis), blades, whisker, arrows, leaders,
        tuple(page.texts), (*unsaid, *unplaced),
    )  # fmt: skip


def _stem(facts: Facts, axis: Axis) -> float | None:
    return None if facts.value is None else axis.at(facts.value)


def _walls(facts: Facts, axis: Axis) -> tuple[tuple[Box, ...], tuple[Face, ...]]:
    hatches, faces = [], []
    for wall in facts.walls:
        if not axis.shows(wall.value):
            continue
        x = axis.at(wall.value)
        faces.append(Face(x, dashed=bool(wall.name)))
        if not wall.name:
            left, right = (axis.left, x) if wall.least else (x, axis.right)
            hatches.append(Box(left, BAND_TOP, right - left, AXIS_Y - BAND_TOP))
    return tuple(hatches), tuple(faces)


def _blades(facts: Facts, axis: Axis) -> tuple[Blade, ...]:
    """Return the blade of each bound, cut at the walls."""
    value = facts.value
    if value is None or facts.simple:
        return ()
    found = []
    for wall, bound in facts.bounds:
        low, high = sorted((value, bound))
        cuts = sorted({low, high, *(w.value for w in facts.deciding if low < w.value < high)})
        for a, b in pairwise(cuts):
            inside = any(past(each, (a + b) / 2) > 0 for each in facts.deciding)
            ends = a == low if wall.least else b == high
            tip: Literal["", "left", "right"] = (
                "" if not ends else "left" if wall.least else "right"
            )
            box = Box(axis.at(a), BLADE_TOP, axis.at(b) - axis.at(a), BLADE_HIGH)
            pointed = bool(tip) and facts.state == "outside" and inside
            found.append(Blade(box, inside, tip, pointed))
    return tuple(found)


def _whisker(facts: Facts, axis: Axis) -> tuple[float, float] | None:
    if facts.interval is None:
        return None
    low, high = facts.interval
    return axis.at(low), axis.at(high)


def _take_band(
    page: Page,
    facts: Facts,
    axis: Axis,
    faces: tuple[Face, ...],
    blades: tuple[Blade, ...],
    whisker: tuple[float, float] | None,
) -> None:
    """Keep texts off everything that stands in the band."""
    upright = [(face.x, FACE) for face in faces]
    stem = _stem(facts, axis)
    if stem is not None:
        upright.append((stem, STEM))
    for x, wide in upright:
        page.take(Box(x - wide / 2 - CLEAR, BAND_TOP, wide + 2 * CLEAR, AXIS_Y - BAND_TOP))
    for blade in blades:
        # As high as the band: the leader rises from its end.
        box = blade.box
        page.take(Box(box.x - CLEAR, BAND_TOP, box.width + 2 * CLEAR, AXIS_Y - BAND_TOP))
    if whisker is not None:
        low, high = whisker
        page.take(Box(low - CLEAR, MIDDLE_Y - CAP, high - low + 2 * CLEAR, 2 * CAP))
