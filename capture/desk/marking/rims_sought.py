"""A press inside a hole -> the rims found from there. Slow: in an errand, never in the window."""

from typing import TYPE_CHECKING, NamedTuple

from annotate.givens import Givens
from annotate.marks import FarUnseen, Layer, Marker, Point, Rim
from annotate.pane.rim_fit import fit_rim
from annotate.quantity import Quantity
from annotate.routes.outlined import outline_of
from capture.desk.marking.acceptance import says_far
from capture.intake.kind import recognise
from capture.intake.photo import Photo
from capture.layers import with_outline, with_rims
from capture.noticed import damage
from store.evidence import PhotoTaken

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt


class Sought(NamedTuple):
    """What was found from one press, and what a person should look at."""

    marks: tuple[Rim | FarUnseen, ...]
    warnings: tuple[str, ...]


def photo_of(taken: PhotoTaken, pixels: "npt.NDArray[np.uint8]") -> Photo:
    """Return a filed photo whose picture is at hand already."""
    return Photo(
        file_name=taken.file_name,
        original=b"",
        kind=recognise(b""),
        pixels=pixels,
        camera=taken.camera,
        focal_35mm=taken.focal_35mm,
    )


def seek_rims(photo: Photo, layer: Layer, press: Point, givens: Givens | None = None) -> Sought:
    """Return the rims round a press, the outlines through them worked out beforehand.

    Where the far opening was drawn by its corners, only the near hole is looked for. A near rim
    that was set by hand, with no far rim yet, is kept: then only what shows through it is looked
    for, with what the ``givens`` foretell. Raises CannotMeasure with what to do.
    """
    near = layer.rim("near")
    kept = near if near is not None and near.placed == "hand" and not says_far(layer) else None
    bare = Layer(width_px=layer.width_px, height_px=layer.height_px, focal_35mm=layer.focal_35mm)
    click, drawn = (press.x_px, press.y_px), outline_of(layer)
    if drawn is not None:
        placed = with_outline(bare, photo, drawn.corners_px, click=click, givens=givens)
    else:
        near_points = kept.points_px if kept else None
        placed = with_rims(bare, photo, click=click, near_points=near_points, givens=givens)
    marks = tuple(mark for mark in placed.layer.marks if isinstance(mark, Rim | FarUnseen))
    fit_beforehand(placed.layer)
    return Sought(marks, (*damage(photo), *placed.warnings))


def fit_beforehand(layer: Layer) -> None:
    """Work out the outlines of a layer's rims: ``fit_rim`` keeps them for the window."""
    near = layer.rim("near")
    fitted = fit_rim(near) if near is not None else None
    form = fitted.outline if fitted is not None else None
    for which in ("far", "back"):
        rim = layer.rim(which)
        if rim is not None:
            fit_rim(rim, form)


def find_targets(photo: Photo) -> tuple[Marker, ...]:
    """Return the printed card markers in a picture, each of 1 mm until its side is known."""
    from annotate.own_targets import CARD_DICTIONARY  # noqa: PLC0415 - loads what only this needs
    from annotate.target import find_markers  # noqa: PLC0415 - the same

    if photo.pixels is None:
        return ()
    return find_markers(photo.pixels, Quantity(1.0, "mm"), CARD_DICTIONARY)
