"""The rows below the scale: its heads, its figures, and where its ticks stand."""

from capture.desk.limit.axis import Axis, Tick, ticks_of
from capture.desk.limit.facts import Facts
from capture.desk.limit.page import HIGH, Box, Page, Text
from capture.desk.limit.places import FIGURES_Y, SECOND_Y
from store.report.figures import Saying

_MOST_FIGURES = 10
_APART = 5.0  # of a figure from its neighbour, and from the row's head


def put_figures(page: Page, facts: Facts, axis: Axis) -> tuple[tuple[float, bool], ...]:
    """Put the figures and the row heads down; return the ticks."""
    for head, y in zip(facts.heads, (FIGURES_Y, SECOND_Y), strict=True):
        if head:
            _put(page, head, 0.0, y)
    widest = max(
        page.measure(_figure(facts, Tick(end, _decimals(facts, axis))), "caption", False)
        for end in (axis.first, axis.last)
    )
    most = min(_MOST_FIGURES, int((axis.right - axis.left) / (widest + 32)))
    ticks = ticks_of(axis, most, whole=facts.say.unit == "count")
    for tick in ticks:
        if tick.decimals is None:
            continue
        _put_figure(page, _figure(facts, tick), axis.at(tick.value), FIGURES_Y)
        if facts.heads[1] == "open":
            rest = Tick(100.0 - tick.value, tick.decimals)
            _put_figure(page, _figure(facts, rest), axis.at(tick.value), SECOND_Y)
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
    _put(page, figure, min(max(0.0, x - wide / 2), page.width - wide), y)


def _put(page: Page, text: str, x: float, y: float) -> None:
    """Put a text into a row and keep its neighbours off it."""
    box = Box(x, y, page.measure(text, "caption", False), HIGH["caption"])
    if page.put(Text(box, text, "caption", soft=y > FIGURES_Y)):
        page.take(Box(x - _APART, y, box.width + 2 * _APART, box.height))
