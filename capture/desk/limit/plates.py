"""The band's texts: how far it is to the wall, each limit on its plate, the names of the others."""

from capture.desk.limit.axis import Axis
from capture.desk.limit.facts import Facts, Wall, past
from capture.desk.limit.page import HIGH, Box, Page, Text
from capture.desk.limit.places import CAP, CLEAR, FACE, MIDDLE_Y, SECOND_Y
from store.report.figures import Saying

_ARROW = 12.0  # the least length of a dimension's arrow
_PLATE_HIGH, _PLATE_MARGIN = 32.0, 10.0
_APART = 10.0  # of two names in the second row
_SMALL_PLATE_HIGH, _SMALL_MARGIN = 24.0, 6.0


def put_dimension(
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
    left, right = left + CLEAR, right - CLEAR
    wide = page.measure(text, "body", False)
    at = (left + right - wide) / 2
    room = right - left >= wide + 2 * (_ARROW + CLEAR)
    box = Box(at, MIDDLE_Y - HIGH["body"] / 2, wide, HIGH["body"])
    if not room or not page.put(Text(box, text, plate=outside)):
        return (), text
    page.take(Box(left, MIDDLE_Y - CAP, right - left, 2 * CAP))
    return ((at - CLEAR, left), (at + wide + CLEAR, right)), ""


def put_plates(page: Page, facts: Facts, axis: Axis) -> tuple[str, ...]:
    """Put each deciding limit's words on a plate in its hatch, or beside it; return the rest."""
    return tuple(
        wall.words[0]
        for wall in facts.deciding
        if not (
            _in_hatch(page, wall, axis)
            or _beside_hatch(page, wall, axis)
            or (not facts.ends and any(_put_below(page, words, wall, axis) for words in wall.words))
        )
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


def put_names(page: Page, facts: Facts, axis: Axis) -> tuple[str, ...]:
    """Name the limits that do not decide beside their dashed faces; return those without room."""
    return tuple(
        wall.words[0]
        for wall in facts.walls
        if wall.name and not any(_put_name(page, words, wall, axis) for words in wall.words)
    )


def _put_name(page: Page, words: str, wall: Wall, axis: Axis) -> bool:
    if not axis.shows(wall.value):
        return False
    if _put_below(page, words, wall, axis):
        return True
    x = axis.at(wall.value)
    wide = page.measure(words, "caption", False) + 2 * _SMALL_MARGIN
    top = MIDDLE_Y - _SMALL_PLATE_HIGH / 2
    beside = (x + FACE + CLEAR, x - FACE - CLEAR - wide)
    boxes = (Box(at, top, wide, _SMALL_PLATE_HIGH) for at in beside)
    return any(page.put(Text(box, words, "caption", plate=True)) for box in boxes)


def _put_below(page: Page, words: str, wall: Wall, axis: Axis) -> bool:
    """Put words in the second row below the scale, under their wall."""
    if not axis.shows(wall.value):
        return False
    wide = page.measure(words, "caption", False)
    x = min(max(axis.left, axis.at(wall.value) - wide / 2), axis.right - wide)
    if not page.put(Text(Box(x, SECOND_Y, wide, HIGH["caption"]), words, "caption")):
        return False
    page.take(Box(x - _APART, SECOND_Y, wide + 2 * _APART, HIGH["caption"]))
    return True
