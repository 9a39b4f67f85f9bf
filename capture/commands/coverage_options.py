"""The options of ``benchproof coverage``, read: lengths, limit, and the layer they ask for."""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from annotate.errors import CannotMeasure
from annotate.givens import Givens, impossible
from annotate.marks import Layer, PixelPair, Point
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.result import Coverage
from capture import layers, noticed
from capture.commands.typed_limit import read_limit
from capture.commands.typed_options import typed_length
from capture.errors import WrongUse
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
        """Return what is known of the two holes; raises WrongUse for what no real part has."""
        return possible(Givens(**self.lengths, flat=flat))


def possible(givens: Givens) -> Givens:
    """Return what is known of the two holes as it is; raises WrongUse for what no real part has."""
    if cannot_be := impossible(givens):
        raise WrongUse(". And ".join(cannot_be.values()))
    return givens


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


def pictures_of(given: argparse.Namespace, many: int) -> tuple[Path, ...]:
    """Return the files that so many photos are drawn into; raises WrongUse for one that is taken.

    Empty where none is asked for.
    """
    if not given.picture:
        return ()
    from capture.commands.pictures import refuse_picture  # noqa: PLC0415 - only with a picture
    from capture.shown import numbered  # noqa: PLC0415 - the same

    paths = numbered(given.picture, many)
    for path in paths:
        refuse_picture(path)
    return paths


def picture_of(
    path: Path,
    photo: Photo | None,
    layer: Layer,
    givens: Givens,
    *,
    found: Coverage,
    trials: int,
    lens: LensProfile | None,
    seed: int = 0,
    beside: Sequence[str] = (),
) -> None:
    """Write the picture of how a coverage came about, over a photo; raises CannotWrite."""
    from capture.commands.pictures import writing  # noqa: PLC0415 - only with a picture
    from capture.shown import write_workings  # noqa: PLC0415 - the same

    if photo is None or photo.pixels is None:
        return
    with writing(path):
        write_workings(
            path, photo.pixels, layer, givens, found=found, seed=seed, trials=trials, lens=lens,
            beside=beside,
        )  # fmt: skip


def picture_of_refusal(
    path: Path, photo: Photo | None, layer: Layer | None, reason: str, click: PixelPair | None
) -> None:
    """Write the picture of what was found by a refusal, and say so; raises CannotWrite.

    There is none of a photo that could not be read.
    """
    from capture.commands.edge import warn  # noqa: PLC0415 - only with a picture
    from capture.commands.pictures import writing  # noqa: PLC0415 - the same
    from capture.shown import write_refused  # noqa: PLC0415 - the same

    if photo is None or photo.pixels is None:
        return
    layer = layers.bare_layer(photo) if layer is None else layer
    with writing(path):
        write_refused(path, photo.pixels, layer, reason, Point(*click) if click else None)
    warn(f"{path} shows what was found, and the reason")


def found_by(refused: Exception, placed: Placed | None) -> Layer | None:
    """Return the marks that were placed or found by a refusal, None for none."""
    if isinstance(refused, layers.FarUnfound):
        return refused.layer
    return placed.layer if placed else None


def place(
    given: argparse.Namespace, photo: Photo, marker: Quantity | None, givens: Givens
) -> Placed:
    """Return the layer that the options ask for, on a photo that was read.

    With what is noticed in the photo besides; a refusal says that it looks damaged, if it does.
    """
    damage = noticed.damage(photo)
    try:
        placed = _placed(given, photo, givens)
    except CannotMeasure as refused:
        if not damage:
            raise
        advice = "; ".join(filter(None, (refused.advice, *damage)))
        raise CannotMeasure(refused.reason, advice) from refused
    placed = placed._replace(warnings=(*damage, *placed.warnings))
    if marker is None:
        return placed._replace(warnings=(*placed.warnings, *noticed.unused_markers(photo)))
    return placed._replace(layer=layers.with_marker(placed.layer, photo, marker))


def _placed(given: argparse.Namespace, photo: Photo, givens: Givens) -> Placed:
    layer = layers.bare_layer(photo, focal_35mm=given.focal_35mm)
    if given.far_outline:
        return layers.with_outline(
            layer, photo, given.far_outline, click=given.click, near_points=given.near_points,
            givens=givens,
        )  # fmt: skip
    return layers.with_rims(
        layer, photo, click=given.click, near_points=given.near_points,
        far_points=given.far_points, givens=givens,
    )  # fmt: skip
