"""A photo and what was clicked on it -> the layer of marks that is measured."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

from annotate.errors import BadMark, CannotMeasure
from annotate.marks import Layer, Marker, PixelPair, Point, Rim
from annotate.quantity import Quantity
from capture.errors import BadPhoto
from capture.intake.photo import Photo

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

# A point set by hand lands about this far off the edge (common practice, no source).
HAND_SIGMA_PX = 1.0


def bare_layer(photo: Photo, *, focal_35mm: float | None = None) -> Layer:
    """Return the layer of a photo without marks; a typed focal length outranks the camera's.

    Raises BadPhoto for a photo that can't be shown.
    """
    if photo.width_px is None or photo.height_px is None:
        raise BadPhoto(f"{photo.file_name} {photo.unreadable}: nothing is measured on it")
    return Layer(
        width_px=photo.width_px,
        height_px=photo.height_px,
        focal_35mm=focal_35mm or photo.focal_35mm,
    )


def hand_rim(which: Literal["near", "far"], points_px: Sequence[PixelPair]) -> Rim:
    """Return a rim placed by hand."""
    return Rim(which=which, points_px=tuple(points_px), sigma_px=HAND_SIGMA_PX)


def with_rims(
    layer: Layer,
    photo: Photo,
    *,
    click: PixelPair | None = None,
    near_points: Sequence[PixelPair] | None = None,
    far_points: Sequence[PixelPair] | None = None,
) -> Layer:
    """Return the layer with its near and far rim: by hand where points are given, else found.

    A rim that is not given is looked for from ``click``, any point inside the hole as seen.
    Raises CannotMeasure if it is not found, BadMark if a point lies outside the picture.
    """
    rims: list[Rim] = []
    by_hand: tuple[tuple[Literal["near", "far"], Sequence[PixelPair] | None], ...] = (
        ("near", near_points),
        ("far", far_points),
    )
    missing = [which for which, points in by_hand if points is None]
    if missing:
        if click is None:
            raise CannotMeasure("no rim is given and no place to look for one", "give a click")
        _refuse_outside(layer, [click])
        rims += [rim for rim in _found(photo, click) if rim.which in missing]
    rims += [hand_rim(which, points) for which, points in by_hand if points]
    _refuse_outside(layer, [p for rim in rims if rim.placed == "hand" for p in rim.points_px])
    return _with(layer, *rims)


def with_marker(layer: Layer, photo: Photo, side: Quantity) -> Layer:
    """Return the layer with the printed marker that is in the picture; ``side`` is its edge.

    Raises CannotMeasure if there is no marker, or more than one.
    """
    from annotate.target import find_markers  # noqa: PLC0415 - loads what only this needs

    found = find_markers(_pixels(photo), side)
    if not found:
        raise CannotMeasure(
            "no printed marker is seen in the picture",
            "get the whole marker with its white border in, sharp and without glare",
        )
    if len(found) > 1:
        raise CannotMeasure(f"{len(found)} printed markers are in the picture", "leave only one in")
    return _with(layer, found[0])


def _found(photo: Photo, click: PixelPair) -> list[Rim]:
    from annotate.edges import NotFound, find_rims  # noqa: PLC0415 - loads what only this needs

    rims = find_rims(_pixels(photo), Point(*click))
    if isinstance(rims, NotFound):
        raise CannotMeasure(rims.reason, rims.advice)
    return [rim for rim in (rims.near, rims.far) if rim is not None]


def _pixels(photo: Photo) -> "npt.NDArray[np.uint8]":
    if photo.pixels is None:
        raise BadPhoto(f"{photo.file_name} {photo.unreadable}: nothing is measured on it")
    return photo.pixels


def _refuse_outside(layer: Layer, points: list[PixelPair]) -> None:
    # The first pixel's centre is 0, so the picture begins half a pixel before it.
    begin, right, below = -0.5, layer.width_px - 0.5, layer.height_px - 0.5
    for x, y in points:
        if not (begin <= x <= right and begin <= y <= below):
            raise BadMark(
                f"({x:g}, {y:g}) lies outside the upright picture of "
                f"{layer.width_px} x {layer.height_px} pixels"
            )


def _with(layer: Layer, *marks: Rim | Marker) -> Layer:
    return Layer(
        width_px=layer.width_px,
        height_px=layer.height_px,
        marks=(*layer.marks, *marks),
        focal_35mm=layer.focal_35mm,
    )
