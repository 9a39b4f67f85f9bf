"""The row above the band: the value at its stem, and what it could be at the end of its blade."""

from collections.abc import Iterator
from typing import NamedTuple

from capture.desk.limit.axis import Axis
from capture.desk.limit.facts import Facts, bounded
from capture.desk.limit.page import HIGH, Box, Page, Text
from capture.desk.limit.places import BLADE_TOP, LANE_Y, STEM, VALUE_TOP

_GAP, _APART = 12.0, 24.0  # between a value and its aside, and between two things said
_ELBOW = 8.0
_READ_Y = VALUE_TOP + 20  # where a leader turns into the line of text
_BESIDE_PX = 8.0  # a blade shorter than that needs no leader: its words stand beside the value

Leaders = tuple[tuple[tuple[float, float], ...], ...]


class _Row(NamedTuple):
    texts: tuple[Text, ...]
    leaders: Leaders


def put_value_row(
    page: Page, facts: Facts, axis: Axis, *, told: str
) -> tuple[Leaders, tuple[str, ...]]:
    """Put the value and the bound's words down; return the leaders and what found no room.

    ``told`` is what the band had no room for ("clear by 2.1 points"); it stands here instead.
    """
    if facts.value is None:
        return (), ()
    # Of what lies outside it matters how far, not how much farther it could be.
    could_be = "" if facts.state == "outside" else bounded(facts)
    words = tuple(filter(None, (could_be, told)))
    for row, unsaid in _rows(page, facts, axis, words):
        if all(text.box.x >= 0 and text.box.right <= page.width for text in row.texts):
            for text in row.texts:
                page.put(text)
            return row.leaders, unsaid
    wide = page.measure(facts.said, "head", True)
    x = min(max(0.0, axis.at(facts.value) - wide / 2), max(0.0, page.width - wide))
    page.put(Text(Box(x, VALUE_TOP, wide, HIGH["head"]), facts.said, "head", bold=True))
    return (), words


def _rows(
    page: Page, facts: Facts, axis: Axis, words: tuple[str, ...]
) -> Iterator[tuple[_Row, tuple[str, ...]]]:
    """Yield every way to lay the row out, the best first, with what it leaves unsaid."""
    worst = facts.worst
    to_left = worst is None or not worst[0].least  # away from the blade
    for count in range(len(words), -1, -1):
        said, unsaid = ", ".join(words[:count]), words[count:]
        for aside in (facts.aside, "") if facts.aside else ("",):
            for ends in (to_left, not to_left):
                value = _value(page, facts, axis, aside, ends=ends)
                if not said:
                    yield _Row(value, ()), unsaid
                    continue
                for leaves in (not to_left, to_left):
                    row = _with_words(page, facts, axis, value, said, leftwards=leaves)
                    if row is not None:
                        yield row, unsaid


def _value(page: Page, facts: Facts, axis: Axis, aside: str, *, ends: bool) -> tuple[Text, ...]:
    """Return the value, ending at its stem or starting there, with its aside on the far side."""
    stem = axis.at(facts.value or 0.0)
    wide = page.measure(facts.said, "head", True)
    x = stem + STEM / 2 - wide if ends else stem - STEM / 2
    value = Text(Box(x, VALUE_TOP, wide, HIGH["head"]), facts.said, "head", bold=True)
    if not aside:
        return (value,)
    small = page.measure(aside, "body", False)
    at = x - _GAP - small if ends else value.box.right + _GAP
    # On the value's own baseline.
    return value, Text(Box(at, VALUE_TOP + 9, small, HIGH["body"]), aside, soft=True)


def _with_words(
    page: Page,
    facts: Facts,
    axis: Axis,
    value: tuple[Text, ...],
    said: str,
    *,
    leftwards: bool,
) -> _Row | None:
    """Return the row with the bound's words left or right of the value, None if in its way."""
    left = min(text.box.x for text in value)
    right = max(text.box.right for text in value)
    wide = page.measure(said, "body", False)
    stem = axis.at(facts.value or 0.0)
    bound = axis.at(facts.worst[1]) if facts.worst else stem
    needs = abs(bound - stem) >= _BESIDE_PX and facts.state != "outside"
    beyond = left - _APART if leftwards else right + _APART
    # Straight up from the blade's end where the value leaves room, else by the lane below it.
    free = bound < left - _ELBOW if leftwards else bound > right + _ELBOW
    way = -1 if leftwards else 1
    start = bound + way * (_ELBOW + 4) if free and needs else beyond
    box = Box(start - wide if leftwards else start, VALUE_TOP + 9, wide, HIGH["body"])
    turn = bound if free else start - way * (_ELBOW + 4)
    up = ((turn, _READ_Y), (turn + way * _ELBOW, _READ_Y))
    path = ((bound, BLADE_TOP), *up) if free else (
        (bound, BLADE_TOP), (bound, LANE_Y), (turn, LANE_Y), *up
    )  # fmt: skip
    return _Row((*value, Text(box, said)), (path,) if needs else ())
