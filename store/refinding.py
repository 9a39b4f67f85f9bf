"""Look again, in the photo itself, for the marks of a layer that were found there."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from annotate.marks import Chessboard, Layer, Marker, PixelPair, Rim

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

# Decoders differ by a grey level here and there; nothing they do moves an edge this far.
ALLOWED_PX = 0.1


def found_marks(layer: Layer) -> list[Rim | Marker | Chessboard]:
    """Return the marks of a layer that the program found in the photo."""
    return [
        mark
        for mark in layer.marks
        if isinstance(mark, Marker | Chessboard)
        or (isinstance(mark, Rim) and mark.placed == "found")
    ]


def moved_marks(picture: "npt.NDArray[np.uint8]", layer: Layer) -> list[str]:
    """Return the names of found marks that are not where the upright picture shows them."""
    rims = [mark for mark in found_marks(layer) if isinstance(mark, Rim)]
    again = _rims(picture, layer) if rims else {}
    moved = [f"{rim.which} rim" for rim in rims if not _at(rim.points_px, again.get(rim.which, ()))]
    for mark in found_marks(layer):
        if isinstance(mark, Marker) and not _at(mark.corners_px, _marker(picture, mark)):
            moved.append("marker")
        if isinstance(mark, Chessboard) and not _at(mark.corners_px, _chessboard(picture, mark)):
            moved.append("chessboard")
    return moved


def _rims(picture: "npt.NDArray[np.uint8]", layer: Layer) -> dict[str, tuple[PixelPair, ...]]:
    from annotate.edges import (  # noqa: PLC0415 - slow to load, and only needed with a picture
        Rims,
        find_inner,
        find_rims,
    )

    near = layer.rim("near")
    seeds = [rim.seed for rim in found_marks(layer) if isinstance(rim, Rim) and rim.seed]
    seed = seeds[0] if seeds else None
    again: tuple[Rim | None, ...] = ()
    if near is not None and near.placed == "hand":
        again = find_inner(picture, near, seed)[:2]
    elif seed is not None:
        found = find_rims(picture, seed)
        again = (found.near, found.far, found.back) if isinstance(found, Rims) else ()
    return {rim.which: rim.points_px for rim in again if rim is not None}


def _marker(picture: "npt.NDArray[np.uint8]", mark: Marker) -> tuple[PixelPair, ...]:
    from annotate.target import find_markers  # noqa: PLC0415 - as above

    found = [m for m in find_markers(picture, mark.side) if m.identifier == mark.identifier]
    return found[0].corners_px if found else ()


def _chessboard(picture: "npt.NDArray[np.uint8]", mark: Chessboard) -> tuple[PixelPair, ...]:
    from annotate.target import find_chessboard  # noqa: PLC0415 - as above

    found = find_chessboard(picture, mark.inner_columns, mark.inner_rows, mark.square)
    return found.corners_px if isinstance(found, Chessboard) else ()


def _at(before: Iterable[PixelPair], now: Iterable[PixelPair]) -> bool:
    """Return whether two lists of points are the same places in the same order."""
    before, now = list(before), list(now)
    return len(before) == len(now) and all(
        abs(x - u) <= ALLOWED_PX and abs(y - v) <= ALLOWED_PX
        for (x, y), (u, v) in zip(before, now, strict=True)
    )
