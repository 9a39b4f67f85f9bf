"""The options of ``benchproof coverage``, read: lengths, limit, and the layer they ask for."""

import argparse
from typing import NamedTuple

from annotate.givens import Givens
from annotate.marks import Layer
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.result import Coverage
from capture import layers
from capture.commands.typed_limit import read_limit
from capture.commands.typed_options import typed_length
from capture.intake.photo import Photo
from capture.layers import Placed
from capture.lenses import read_profile
from store.characteristic import Limit

_LENGTHS = {
    "near_diameter": "near diameter",
    "far_diameter": "far diameter",
    "wall": "wall",
    "bore_diameter": "bore diameter",
}


class Asked(NamedTuple):
    """The command's typed text, read. ``noted`` is what was assumed of it."""

    lengths: dict[str, Quantity]
    marker: Quantity | None
    limit: Limit | None
    limit_text: str
    noted: tuple[str, ...]
    lens: LensProfile | None = None

    def givens(self, *, flat: bool) -> Givens:
        """Return what is known of the two holes."""
        return Givens(**self.lengths, flat=flat)


def read_options(given: argparse.Namespace) -> Asked:
    """Return the typed lengths, the limit and the lens; raises WrongUse, BadReading, BadProfile."""
    lengths: dict[str, Quantity] = {}
    noted: list[str] = []
    for option, words in _LENGTHS.items():
        text = getattr(given, option)
        if text is not None:
            lengths[option], assumed = typed_length(text, words)
            noted.extend(assumed)
    marker = None
    if given.marker is not None:
        marker, assumed = typed_length(given.marker, "marker")
        noted.extend(assumed)
    return Asked(
        lengths=lengths,
        marker=marker,
        limit=read_limit(given.limit) if given.limit else None,
        limit_text=(given.limit or "").strip(),
        noted=tuple(noted),
        lens=read_profile(given.lens) if given.lens else None,
    )


def lens_of(asked: Asked, layer: Layer) -> LensProfile | None:
    """Return the lens profile as it is used on a layer's photo; raises CannotMeasure."""
    return None if asked.lens is None else asked.lens.used_on(layer)


def tolerance_of(given: argparse.Namespace) -> float:
    """Return the numerical tolerance of covered, as a fraction."""
    return float(given.tolerance) / 100


def picture_of(
    given: argparse.Namespace,
    photo: Photo,
    layer: Layer,
    givens: Givens,
    *,
    found: Coverage,
    trials: int,
    lens: LensProfile | None,
    seed: int = 0,
) -> None:
    """Write the picture of how a coverage came about; raises CannotWrite."""
    from capture.commands.pictures import writing  # noqa: PLC0415 - only with a picture
    from capture.shown import write_workings  # noqa: PLC0415 - the same

    if photo.pixels is None:
        return
    with writing(given.picture):
        write_workings(
            given.picture,
            photo.pixels,
            layer,
            givens,
            found=found,
            seed=seed,
            trials=trials,
            lens=lens,
        )


def place(
    given: argparse.Namespace, photo: Photo, marker: Quantity | None, givens: Givens
) -> Placed:
    """Return the layer that the options ask for, on a photo that was read."""
    layer = layers.bare_layer(photo, focal_35mm=given.focal_35mm)
    if given.far_outline:
        placed = layers.with_outline(
            layer,
            photo,
            given.far_outline,
            click=given.click,
            near_points=given.near_points,
            givens=givens,
        )
    else:
        placed = layers.with_rims(
            layer,
            photo,
            click=given.click,
            near_points=given.near_points,
            far_points=given.far_points,
            givens=givens,
        )
    if marker is None:
        return placed
    return placed._replace(layer=layers.with_marker(placed.layer, photo, marker))
