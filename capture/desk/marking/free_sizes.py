"""Sizes measured freely on a photo, shown while one looks. Slow: in an errand."""

from typing import TYPE_CHECKING, NamedTuple

from annotate.errors import AnnotateError
from annotate.fit import FitFailed
from annotate.marks import (
    Angle,
    Area,
    Diameter,
    Distance,
    KnownCircle,
    KnownDistance,
    Layer,
    Marker,
)
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from capture.words.quantities import given_text, interval_text, printed, quantity_text
from store.plan import Job

if TYPE_CHECKING:
    from annotate.scale import Scale

NO_SCALE = "No scale yet: place two points or a circle of known size"
_IN_US = {"mm": "in", "mm^2": "in^2"}


class Sized(NamedTuple):
    """One mark's size: ``label`` for the photo, ``words`` with the interval or the reason.

    ``kind`` is "distance", "diameter", "angle" or "area"; ``size`` is None where it is not known.
    """

    mark_index: int
    name: str
    label: str
    words: str
    kind: str = ""
    size: Quantity | None = None


class FreeSizes(NamedTuple):
    """What the scale is, in words, and every size on its plane."""

    scale: str
    sizes: tuple[Sized, ...]


def free_sizes(layer: Layer, job: Job, lens: LensProfile | None = None) -> FreeSizes:
    """Return the size of every distance, diameter, angle and area on a layer.

    The scale placed last counts, before a printed target whose side is known.
    """
    mark = _scale_mark(layer)
    if mark is None:
        return FreeSizes(NO_SCALE, tuple(_each(layer, job, "no scale was placed yet")))
    scale = _scale(mark, layer, lens)
    if isinstance(scale, str):
        return FreeSizes(
            f"{_scale_words(mark)} gives no scale: {scale}", tuple(_each(layer, job, scale))
        )
    return FreeSizes(f"Scale: {_scale_words(mark)}", tuple(_each(layer, job, scale)))


def _scale_mark(layer: Layer) -> KnownDistance | KnownCircle | Marker | None:
    placed = [mark for mark in layer.marks if isinstance(mark, KnownDistance | KnownCircle)]
    printed = [mark for mark in layer.marks if isinstance(mark, Marker)]
    return (placed or printed or [None])[-1]


def _scale_words(mark: KnownDistance | KnownCircle | Marker) -> str:
    match mark:
        case KnownDistance():
            return f"two points, {given_text(mark.length)}"
        case KnownCircle():
            return f"circle, {given_text(mark.diameter)}"
        case Marker():
            return f"card marker {mark.identifier}, {given_text(mark.side)}"


def _scale(
    mark: KnownDistance | KnownCircle | Marker, layer: Layer, lens: LensProfile | None
) -> "Scale | str":
    from annotate.scale import scale_from  # noqa: PLC0415 - loads what only this needs

    try:
        made = scale_from(mark, layer, lens)
    except AnnotateError as refused:
        return str(refused)
    return made.reason if isinstance(made, FitFailed) else made


def _each(layer: Layer, job: Job, scale: "Scale | str") -> list[Sized]:
    from annotate.size import measure  # noqa: PLC0415 - loads what only this needs

    told: list[Sized] = []
    counts: dict[str, int] = {}
    for index, mark in enumerate(layer.marks):
        if not isinstance(mark, Distance | Diameter | Angle | Area):
            continue
        kind = type(mark).__name__.lower()
        counts[kind] = counts.get(kind, 0) + 1
        name = f"{kind} {counts[kind]}"
        if isinstance(scale, str):
            told.append(Sized(index, name, name, f"not known: {scale}"))
            continue
        try:
            size = _in_units(measure(mark, scale), job)
        except AnnotateError as refused:
            told.append(Sized(index, name, name, f"not known: {refused}"))
            continue
        value = printed(quantity_text(size))
        words = f"{value} (95 %: {printed(interval_text(size))})"
        told.append(Sized(index, name, value, words, kind, size))
    return told


def _in_units(size: Quantity, job: Job) -> Quantity:
    return size.to(_IN_US[size.unit]) if job.units == "US" and size.unit in _IN_US else size
