"""What was found by a refusal to measure a face or a lens, and why it was refused, as drawings.

Of a face the corners of its target, blue, and a numbered cross at each click; of a lens the corners
of every board that was found. Below stands the reason. Draws marks, measures nothing.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from annotate.drawings.details import Detail, Drawn, sheet
from annotate.drawings.pen import FAR, NEAR, Box, Pen
from annotate.marks import PixelPair, Points


class Clicked(NamedTuple):
    """A hole that was asked for: its number, its click, and why not measured ("": see all)."""

    number: int
    click: PixelPair
    reason: str


class Board(NamedTuple):
    """One photo of a board: its name, its size in px, where the corners (N, 2) lie, its image."""

    name: str
    size_px: tuple[int, int]
    corners_px: Points
    image: str


def face_svg(
    target_px: Points,
    clicked: Sequence[Clicked],
    reason: str,
    size_px: tuple[int, int],
    address: Callable[[Box], str],
) -> str:
    """Return the drawing of a face that was not measured.

    ``target_px`` (N, 2) are the corners of its target, none where it was not found; ``size_px`` and
    ``address`` as of ``faces``.
    """

    def drawn(pen: Pen) -> Iterator[str]:
        for corner in target_px:
            yield pen.cross(corner, FAR)
        for each in clicked:
            at = np.array(each.click)
            yield pen.plus(at, NEAR)
            yield pen.label(at, str(each.number))

    box = Box(0, 0, *size_px)
    target = f"{len(target_px)} corners (blue)" if len(target_px) else "not found"
    reasons = (f"hole {each.number} not measured: {each.reason}" for each in clicked if each.reason)
    words = (
        f"target: {target}; numbered: where it was clicked",
        *((f"not measured: {reason}",) if reason else ()),
        *reasons,
    )
    return sheet(Detail(box, drawn, words, address(box)), [])


def lens_svg(boards: Sequence[Board], reason: str) -> str:
    """Return the drawing of the boards (one at least) that a lens profile was not made of."""
    box = Box(0, 0, *boards[0].size_px)

    def every(pen: Pen) -> Iterator[str]:
        for board in boards:
            yield from _corners(board)(pen)

    words = (
        f"white: all corners of the {len(boards)} photos in which the board was found",
        f"no profile: {reason}",
    )
    details = [
        Detail(
            Box(0, 0, *b.size_px), _corners(b), (b.name, f"{len(b.corners_px)} corners"), b.image
        )
        for b in boards
    ]
    return sheet(Detail(box, every, words), details)


def _corners(board: Board) -> Drawn:
    def drawn(pen: Pen) -> Iterator[str]:
        for corner in board.corners_px:
            yield pen.cross(corner, NEAR)

    return drawn
