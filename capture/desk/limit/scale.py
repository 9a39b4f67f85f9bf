"""Facts -> everything that is drawn of a limit line, in pixels, for a block of some width.

A limit is a wall, hatched on the side that is not allowed; the reading is a stem, and a blade runs
from it to the one-sided bound that the rule compares with the wall, like a feeler in a gap. The
two-sided 95 % interval is a thin whisker: kept, but it does not decide. Texts give way to each
other; what finds no room is returned, and said elsewhere.
"""

from itertools import pairwise
from typing import Literal, NamedTuple

from capture.desk.limit.axis import Axis, Tick, axis_of, ticks_of
from capture.desk.limit.facts import Facts, Wall, past
from capture.desk.limit.page import HIGH, Box, Measure, Page, Text
from capture.desk.limit.value_row import put_value_row
from store.report.figures import Saying

LEFT = 72.0  # of the scale: the row heads stand before it
BAND_TOP, AXIS_Y = 80.0, 128.0
BLADE_TOP, BLADE_HIGH = 92.0, 24.0
MIDDLE_Y = BLADE_TOP + BLADE_HIGH / 2
STEM, FACE = 5.0, 5.0
_FIGURES_Y, _SECOND_Y = 136.0, 154.0
_CAP = 7.0  # half the height of a whisker's end
_CLEAR = 7.0  # of texts from what they must not lie on
_ARROW = 12.0  # the least length of a dimension's arrow
_PLATE_HIGH, _PLATE_MARGIN = 32.0, 10.0
_SMALL_PLATE_HIGH, _SMALL_MARGIN = 24.0, 6.0
_MOST_FIGURES = 10


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
    arrows, told = _dimension(page, facts, axis, whisker)
    unplaced = _plates(page, facts, axis)
    leaders, unsaid = put_value_row(page, facts, axis, told=told)
    ticks = _figures(page, facts, axis)
    unplaced += _names(page, facts, axis)
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
        page.take(Box(x - wide / 2 - _CLEAR, BAND_TOP, wide + 2 * _CLEAR, AXIS_Y - BAND_TOP))
    for blade in blades:
        # As high as the band: the leader rises from its end.
        box = blade.box
        page.take(Box(box.x - _CLEAR, BAND_TOP, box.width + 2 * _CLEAR, AXIS_Y - BAND_TOP))
    if whisker is not None:
        low, high = whisker
        page.take(Box(low - _CLEAR, MIDDLE_Y - _CAP, high - low + 2 * _CLEAR, 2 * _CAP))


def _dimension(
    page: Page, facts: Facts, axis: Axis, whisker: tuple[float, float] | None
) -> tuple[tuple[tuple[float, float], ...], str]:
    """Put "clear by" or "past it by" between two arrows; return them and what found no room."""
    worst = facts.worst
    if worst is None or facts.value is None:
        return (), ""
    wall, bound = worst
    outside = facts.state == "outside" and facts.beyond > 0
    gap = facts.beyond if outside else -past(wall, bound)
    if gap <= 0 or (facts.state != "outside" and facts.beyond > 0):
        return (), ""
    figure = Saying(facts.say.unit, facts.say.decimals).value(gap).replace("%", "points")
    text = f"{'past it by' if outside else 'clear by'} {figure}"
    if not axis.shows(wall.value):
        return (), text
    near = [axis.at(facts.value if outside else bound), *(whisker or ())]
    # At an "at most" wall, what is clear lies left of it and what is past it right.
    to_left = wall.least == outside
    x = axis.at(wall.value)
    left, right = (max(near), x) if to_left else (x, min(near))
    left, right = left + _CLEAR, right - _CLEAR
    wide = page.measure(text, "body", False)
    at = (left + right - wide) / 2
    room = right - left >= wide + 2 * (_ARROW + _CLEAR)
    box = Box(at, MIDDLE_Y - HIGH["body"] / 2, wide, HIGH["body"])
    if not room or not page.put(Text(box, text, plate=outside)):
        return (), text
    page.take(Box(left, MIDDLE_Y - _CAP, right - left, 2 * _CAP))
    return ((at - _CLEAR, left), (at + wide + _CLEAR, right)), ""


def _plates(page: Page, facts: Facts, axis: Axis) -> tuple[str, ...]:
    """Put each deciding limit's words on a plate in its hatch, or beside it; return the rest."""
    return tuple(
        wall.words[0]
        for wall in facts.deciding
        if not (_in_hatch(page, wall, axis) or _beside_hatch(page, wall, axis))
    )


def _in_hatch(page: Page, wall: Wall, axis: Axis) -> bool:
    """Put the longest words that fit in the middle of the room that the hatch has left."""
    left, right = _sides(wall, axis)[0]
    for words in _variants(wall, axis):
        wide = page.measure(words, "body", False) + 2 * _PLATE_MARGIN
        for start, end in _plate_gaps(page, wall, axis, (left, right), wide):
            if _put_plate(page, words, (start + end - wide) / 2, wide):
                return True
    return False


def _beside_hatch(page: Page, wall: Wall, axis: Axis) -> bool:
    """Put the words on the free side of the wall, close to it."""
    for words in _variants(wall, axis)[:-1]:
        wide = page.measure(words, "body", False) + 2 * _PLATE_MARGIN
        for start, end in _plate_gaps(page, wall, axis, _sides(wall, axis)[1], wide):
            if _put_plate(page, words, start if wall.least else end - wide, wide):
                return True
    return False


def _variants(wall: Wall, axis: Axis) -> tuple[str, ...]:
    if axis.shows(wall.value):
        return wall.words
    where = "farther left" if wall.value < axis.first else "farther right"
    # Off the scale its hatch does not tell the side: the words must.
    return tuple(f"{words}, {where}" for words in wall.words[:-1])


def _sides(wall: Wall, axis: Axis) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the side of a wall that is not allowed, and the free one."""
    x = axis.at(wall.value)
    left, right = (axis.left, x), (x, axis.right)
    return (left, right) if wall.least else (right, left)


def _plate_gaps(
    page: Page, wall: Wall, axis: Axis, side: tuple[float, float], wide: float
) -> list[tuple[float, float]]:
    """Return the gaps on a side that a plate fits in, the one nearest to the wall first."""
    x = axis.at(wall.value)
    gaps = page.gaps(*side, MIDDLE_Y - _PLATE_HIGH / 2, _PLATE_HIGH)
    wide_enough = [gap for gap in gaps if gap[1] - gap[0] >= wide]
    return sorted(wide_enough, key=lambda gap: min(abs(gap[0] - x), abs(gap[1] - x)))


def _put_plate(page: Page, words: str, x: float, wide: float) -> bool:
    box = Box(x, MIDDLE_Y - _PLATE_HIGH / 2, wide, _PLATE_HIGH)
    return page.put(Text(box, words, plate=True))


def _names(page: Page, facts: Facts, axis: Axis) -> tuple[str, ...]:
    """Name the limits that do not decide beside their dashed faces; return those without room."""
    return tuple(
        wall.words[0]
        for wall in facts.walls
        if wall.name and not any(_put_name(page, words, wall, axis) for words in wall.words)
    )


def _put_name(page: Page, words: str, wall: Wall, axis: Axis) -> bool:
    if not axis.shows(wall.value):
        return False
    x = axis.at(wall.value)
    wide = page.measure(words, "caption", False)
    below = Box(min(max(axis.left, x - wide / 2), axis.right - wide), _SECOND_Y, wide, 18.0)
    if page.put(Text(below, words, "caption")):
        return True
    wide += 2 * _SMALL_MARGIN
    top = MIDDLE_Y - _SMALL_PLATE_HIGH / 2
    beside = (x + FACE + _CLEAR, x - FACE - _CLEAR - wide)
    boxes = (Box(at, top, wide, _SMALL_PLATE_HIGH) for at in beside)
    return any(page.put(Text(box, words, "caption", plate=True)) for box in boxes)


def _figures(page: Page, facts: Facts, axis: Axis) -> tuple[tuple[float, bool], ...]:
    """Put the figures and the row heads down; return the ticks."""
    for head, y in zip(facts.heads, (_FIGURES_Y, _SECOND_Y), strict=True):
        if head:
            wide = page.measure(head, "caption", False)
            page.put(Text(Box(0.0, y, wide, HIGH["caption"]), head, "caption", soft=y > _FIGURES_Y))
    widest = max(
        page.measure(_figure(facts, Tick(end, _decimals(facts, axis))), "caption", False)
        for end in (axis.first, axis.last)
    )
    most = min(_MOST_FIGURES, int((axis.right - axis.left) / (widest + 32)))
    ticks = ticks_of(axis, most, whole=facts.say.unit == "count")
    for tick in ticks:
        if tick.decimals is None:
            continue
        _put_figure(page, _figure(facts, tick), axis.at(tick.value), _FIGURES_Y)
        if facts.heads[1] == "open":
            rest = Tick(100.0 - tick.value, tick.decimals)
            _put_figure(page, _figure(facts, rest), axis.at(tick.value), _SECOND_Y)
    return tuple((axis.at(tick.value), tick.decimals is not None) for tick in ticks)


def _decimals(facts: Facts, axis: Axis) -> int:
    ticks = ticks_of(axis, _MOST_FIGURES, whole=facts.say.unit == "count")
    return max((tick.decimals for tick in ticks if tick.decimals is not None), default=0)


def _figure(facts: Facts, tick: Tick) -> str:
    say, value, decimals = facts.say, tick.value, tick.decimals or 0
    if facts.ends is not None:
        return say.tick(value, decimals)
    figure = Saying("1", decimals).value(abs(value) if say.depth else value)
    if not say.depth or value > 0:
        return figure
    return f"{figure} PROUD" if figure.strip("0.") else "FLUSH"


def _put_figure(page: Page, figure: str, x: float, y: float) -> None:
    wide = page.measure(figure, "caption", False)
    at = min(max(0.0, x - wide / 2), page.width - wide)
    page.put(Text(Box(at, y, wide, HIGH["caption"]), figure, "caption", soft=y > _FIGURES_Y))
