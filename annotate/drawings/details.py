"""A sheet of workings: a picture as a whole, and below it enlarged parts of it with their words.

Every part shows where points were found and, as whiskers many times enlarged, how far each lies
off: the factor is written beside.
"""

from collections.abc import Callable, Iterator, Sequence
from html import escape
from textwrap import wrap
from typing import NamedTuple

import numpy as np

from annotate.drawings.pen import LABEL, LABEL_PLATE, THIN, Box, Pen
from annotate.marks import Points, to_corner_px

Drawn = Callable[[Pen], Iterator[str]]

_WIDE, _HIGH = 1200.0, 900.0  # of a sheet and, at most, of the whole picture: line widths' units
_ACROSS = 3  # details in a row
_GAP = 12.0
SIDE = (_WIDE - _GAP * (_ACROSS + 1)) / _ACROSS  # of a detail
_TYPE = 15.0
_ROW = 1.4 * _TYPE
_LETTER = 0.46 * _TYPE  # of ordinary words, on the average
_ENLARGED = (1, 2, 5, 10, 20, 50, 100, 200, 500)
_WHISKER = 0.035  # of a detail's side: how long an ordinary whisker gets
_LEAST_PX = 0.03  # what is left over less than that is not drawn larger


class Detail(NamedTuple):
    """A part of a picture: its box, what is drawn in it by a pen, and the lines below it.

    ``image`` is the address of the box's image ("data:..."), "" for none.
    """

    box: Box
    drawn: Drawn
    words: tuple[str, ...]
    image: str = ""


def sheet(whole: Detail, details: Sequence[Detail]) -> str:
    """Return the drawing of a whole picture with its details, as one SVG document."""
    wide = min(_WIDE, _HIGH * whole.box.width / whole.box.height)
    high = wide * whole.box.height / whole.box.width
    parts = [_framed(whole, (0.0, 0.0), wide)]
    said = _lines(whole.words, _WIDE - 2 * _GAP)
    parts += [_words(line, _GAP, high + _ROW * row) for row, line in enumerate(said, 1)]
    below = high + _ROW * (len(said) + 1)
    for start in range(0, len(details), _ACROSS):
        row = details[start : start + _ACROSS]
        tall = max(SIDE * each.box.height / each.box.width for each in row)
        told = [_lines(each.words, SIDE) for each in row]
        for column, (detail, said) in enumerate(zip(row, told, strict=True)):
            x = _GAP + column * (SIDE + _GAP)
            parts.append(_framed(detail, (x, below), SIDE))
            for line, text in enumerate(said, 1):
                parts.append(_words(text, x, below + tall + _ROW * line))
        below += tall + _ROW * (1 + max(len(said) for said in told))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDE:.0f}" height="{below:.0f}" '
        f'viewBox="0 0 {_WIDE:.0f} {below:.0f}" fill="none" stroke-linejoin="round">'
        f'<rect width="100%" height="100%" fill="{LABEL_PLATE}"/>{"".join(parts)}</svg>'
    )


def enlarged(off_px: Points, px: float) -> int:
    """Return how many times what is left over (N, 2) is drawn enlarged: a round number.

    ``px`` picture pixels are one unit of the detail.
    """
    ordinary = float(np.median(np.linalg.norm(off_px, axis=1))) if len(off_px) else 0.0
    wanted = _WHISKER * SIDE * px / max(ordinary, _LEAST_PX)
    return max((each for each in _ENLARGED if each <= wanted), default=_ENLARGED[0])


def whiskers(feet: Points, off: Points, factor: int, pen: Pen, colour: str) -> Iterator[str]:
    """Yield a line from each foot (N, 2) as far as its point lies off (N, 2), enlarged."""
    for foot, away in zip(feet, off, strict=True):
        yield pen.line(np.stack([foot, foot + factor * away]), colour, width=THIN)


def box_round(
    points: Points, size_px: tuple[int, int], *, margin: float, square: bool = False
) -> Box:
    """Return the part of a picture (width, height) round points (N, 2), with a margin about it.

    ``margin`` is a part of the points' own extent on every side.
    """
    corner = points + to_corner_px(0.0)
    (left, top), (right, bottom) = corner.min(axis=0), corner.max(axis=0)
    wide, high = (1 + 2 * margin) * (right - left), (1 + 2 * margin) * (bottom - top)
    if square:
        wide = high = max(wide, high, 8.0)
    sizes = [
        int(min(np.ceil(each), most)) for each, most in zip((wide, high), size_px, strict=True)
    ]
    if square:
        sizes = [min(sizes)] * 2
    middles = ((left + right) / 2, (top + bottom) / 2)
    starts = [
        int(max(0, min(np.floor(middle - size / 2), most - size)))
        for middle, size, most in zip(middles, sizes, size_px, strict=True)
    ]
    return Box(*starts, *(max(1, size) for size in sizes))


def _framed(detail: Detail, at: tuple[float, float], width: float) -> str:
    """Return a part of the picture with what is drawn over it, as a document in the document."""
    box, image = detail.box, detail.image
    pen, high = Pen(box, box.width / width), width * box.height / box.width
    behind = f'<image href="{image}" width="{box.width}" height="{box.height}"/>' if image else ""
    return (
        f'<svg x="{at[0]:.2f}" y="{at[1]:.2f}" width="{width:.2f}" height="{high:.2f}" '
        f'viewBox="0 0 {box.width} {box.height}">{behind}{"".join(detail.drawn(pen))}</svg>'
    )


def _lines(words: Sequence[str], width: float) -> list[str]:
    """Return words broken into lines that are no longer than ``width``."""
    return [line for text in words for line in wrap(text, int(width / _LETTER))]


def _words(text: str, x: float, y: float) -> str:
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" fill="{LABEL}" font-family="sans-serif" '
        f'font-size="{_TYPE:.2f}">{escape(text)}</text>'
    )
