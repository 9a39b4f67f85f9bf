"""Look again, in the photo itself, for the marks of a layer that were found there."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from msgspec import UNSET, UnsetType

from annotate.marks import Chessboard, FarUnseen, Layer, Marker, PixelPair, Rim
from annotate.wall_hint import WallHint

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

# Decoders differ by a grey level here and there; nothing they do moves an edge this far.
ALLOWED_PX = 0.1
ALLOWED_RADII = 0.002  # of a chamfer's width


def found_marks(layer: Layer) -> list[Rim | FarUnseen | Marker | Chessboard]:
    """Return the marks of a layer that the program found in the photo."""
    return [
        mark
        for mark in layer.marks
        if isinstance(mark, Marker | Chessboard)
        or (isinstance(mark, Rim | FarUnseen) and mark.placed == "found")
    ]


def moved_marks(picture: "npt.NDArray[np.uint8]", layer: Layer) -> list[str]:
    """Return the names of found marks that are not where the upright picture shows them."""
    rims = [mark for mark in found_marks(layer) if isinstance(mark, Rim)]
    said = [mark for mark in found_marks(layer) if isinstance(mark, FarUnseen)]
    again, looks = _rims(picture, layer) if rims or said else ({}, "")
    moved = [f"{rim.which} rim" for rim in rims if not _is_again(rim, again.get(rim.which))]
    moved += ["far hole" for mark in said if mark.looks != looks]
    near = layer.rim("near")
    if near is not None and near.placed == "hand" and near.chamfer is not UNSET:
        moved += [] if _is_as_wide(near, _chamfer(picture, near)) else ["near rim's chamfer"]
    for mark in found_marks(layer):
        if isinstance(mark, Marker) and not _at(mark.corners_px, _marker(picture, mark)):
            moved.append("marker")
        if isinstance(mark, Chessboard) and not _at(mark.corners_px, _chessboard(picture, mark)):
            moved.append("chessboard")
    return moved


def _rims(picture: "npt.NDArray[np.uint8]", layer: Layer) -> tuple[dict[str, Rim], str]:
    """Return the rims that are found now, by name, and what the far hole looks like."""
    from annotate.by_hand import find_inner  # noqa: PLC0415 - slow to load, for pictures only
    from annotate.edges import Rims, find_rims  # noqa: PLC0415 - the same

    near = layer.rim("near")
    seeds = [m.seed for m in found_marks(layer) if isinstance(m, Rim | FarUnseen) and m.seed]
    seed = seeds[0] if seeds else None
    hint = _hint(layer)
    again: tuple[Rim | None, ...] = ()
    looks = ""
    if near is not None and near.placed == "hand":
        *again_inside, looks = find_inner(picture, near, seed, hint)
        again = tuple(rim for rim in again_inside if isinstance(rim, Rim))
    elif seed is not None:
        found = find_rims(picture, seed, hint)
        if isinstance(found, Rims):
            again, looks = (found.near, found.far, found.back), found.far_state
    return {rim.which: rim for rim in again if rim is not None}, looks


def _hint(layer: Layer) -> WallHint | None:
    """Return what was known of the wall when the marks were found, as they bear it."""
    sought = [m for m in found_marks(layer) if isinstance(m, Rim | FarUnseen)]
    known = [mark.wall_hint for mark in sought if mark.wall_hint is not UNSET]
    return known[-1] if known else None


def _is_again(rim: Rim, again: Rim | None) -> bool:
    """Return whether a rim is found again where it was, below a chamfer as wide."""
    if again is None or not _at(rim.points_px, again.points_px):
        return False
    return _is_as_wide(rim, again.chamfer)


def _is_as_wide(rim: Rim, chamfer: float | UnsetType) -> bool:
    before, now = (0.0 if width is UNSET else width for width in (rim.chamfer, chamfer))
    return abs(before - now) <= ALLOWED_RADII


def _chamfer(picture: "npt.NDArray[np.uint8]", near: Rim) -> float | UnsetType:
    """Return the chamfer that is found now above a near rim placed by hand."""
    from annotate.by_hand import chamfer_above  # noqa: PLC0415 - as above

    return chamfer_above(picture, near, None if near.wall_hint is UNSET else near.wall_hint)


def _marker(picture: "npt.NDArray[np.uint8]", mark: Marker) -> tuple[PixelPair, ...]:
    from annotate.target import find_markers  # noqa: PLC0415 - as above

    markers = find_markers(picture, mark.side, mark.dictionary)
    found = [m for m in markers if m.identifier == mark.identifier]
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
