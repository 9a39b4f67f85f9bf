"""Photo of a flat face with a printed target, and clicks -> hole sizes and centre distances."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from annotate.errors import CannotMeasure, TwoEdges
from annotate.fit import FitFailed
from annotate.marks import Chessboard, Ellipse, Layer, Marker, PixelPair, Point
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.result import Known, Result, Unknown
from capture.errors import BadPhoto
from capture.intake.photo import Photo

if TYPE_CHECKING:
    from annotate.flat_face.face import Pair, Survey
    from annotate.flat_face.two_edges import Edges
    from annotate.scale import Scale

_PARTLY = (
    "its edge shows on a part of it only: the rest may be a lit wall, or a chamfer whose drilled "
    "edge lies in the dark; light it from all round, or say --plain if no hole has a chamfer"
)
_HARDLY_HALF = (
    "the drilled edge below its chamfer shows on hardly half of it; light it from all round or "
    "from above"
)
# What is told no better than this is no measurement: neighbouring drills, by sixty-fourths of an
# inch, are 0.4 mm apart, and large holes are bored, not drilled.
_VAGUE_MM, _VAGUE = 0.3, 0.02
# A distance that the photo shows no better than the general tolerance of lengths of 30 to 120 mm
# (ISO 2768-1, medium) could not decide even that one. Of 1475 distances between holes on pictures
# rendered by ourselves, 198 were shown so; 56 % of them were true to 0.1 mm, of the others 93 %.
_SEEN_MM = 0.3
CLEARER = (
    "lay a larger target between the two holes, take it squarer and nearer, or give the camera's "
    "profile (--lens)"
)
_FEW_TRIALS = 50  # enough to see whether a rim can be measured at all


class Hole(Struct, frozen=True):
    """One hole that was asked for: its drilled edge's diameter in mm and its rim in the picture."""

    click: PixelPair
    diameter: Result
    outline: Ellipse | None = None


class Apart(Struct, frozen=True):
    """The distance between the centres of two holes, counted from 0 in click order, in mm.

    ``vague``: to how much the photo shows it, in words, where that is too little to be told.
    """

    start: int
    end: int
    distance: Result
    vague: str = ""


class Face(Struct, frozen=True):
    """What was measured on one face: every hole in click order, and all pairs of them."""

    holes: tuple[Hole, ...]
    pairs: tuple[Apart, ...]


def find_chessboard(photo: Photo, columns: int, rows: int, square: Quantity) -> Chessboard:
    """Return the chessboard in a photo by its inner corners; raises CannotMeasure."""
    from annotate.target import find_chessboard as find  # noqa: PLC0415 - loads what only this needs

    if photo.pixels is None:
        raise BadPhoto(f"{photo.file_name} {photo.unreadable}: nothing is measured on it")
    found = find(photo.pixels, columns, rows, square)
    if isinstance(found, FitFailed):
        raise CannotMeasure(
            found.reason, "get the whole board in, sharp and without glare, and count its corners"
        )
    return found


def measure_face(
    photo: Photo,
    layer: Layer,
    target: Marker | Chessboard,
    clicks: Sequence[PixelPair],
    *,
    lens: LensProfile | None = None,
    plain: bool = False,
) -> Face:
    """Return the holes round the clicks and their distances, on the plane of a printed target.

    ``lens`` is the camera's profile as it is used on this photo; ``plain``: no hole has a chamfer.
    A hole that is not found or not round keeps its place, with the reason; one of whose drilled
    edge too little shows has distances only. Raises CannotMeasure if the target gives no scale.
    """
    from annotate.flat_face.printed_edges import with_printed_edges  # noqa: PLC0415 - as below
    from annotate.scale import scale_from  # noqa: PLC0415 - loads what only this needs

    scale = scale_from(target, layer, lens)
    if isinstance(scale, FitFailed):
        raise CannotMeasure(scale.reason, "take the photo squarer, with the target flat and sharp")
    if photo.pixels is not None:
        scale = with_printed_edges(scale, photo.pixels, target)
    found = [_edges(photo, scale, click, plain=plain) for click in clicks]
    reasons = [one if isinstance(one, str) else _why_not(scale, one) for one in found]
    good, survey = _surveyed(scale, found, reasons)
    # Both edges of a chamfer have one axis: the distances stand, whichever it is.
    unsure = {
        n: _HARDLY_HALF if one.outer else _PARTLY
        for n in good
        if not isinstance(one := found[n], str) and one.partly
    }
    return _face(clicks, reasons, good, survey, unsure)


def _surveyed(
    scale: "Scale", found: "list[Edges | str]", reasons: list[str]
) -> tuple[list[int], "Survey | None"]:
    """Return which holes could be measured, and the survey of them.

    Writes into ``reasons`` why others could not: some show only beside all others that they can't.
    """
    while True:
        good = [n for n, why in enumerate(reasons) if not why]
        edges = [one for n in good if not isinstance(one := found[n], str)]
        try:
            return good, _survey(scale, edges) if edges else None
        except TwoEdges as refused:
            reasons[good[refused.hole]] = str(refused)


def _edges(photo: Photo, scale: "Scale", click: PixelPair, *, plain: bool) -> "Edges | str":
    """Return the edges of the hole round a click, or why there are none."""
    from annotate.edges import NotFound, find_near  # noqa: PLC0415 - loads what only this needs
    from annotate.flat_face.two_edges import both_edges  # noqa: PLC0415 - as above

    if photo.pixels is None:
        raise BadPhoto(f"{photo.file_name} {photo.unreadable}: nothing is measured on it")
    rim = find_near(photo.pixels, Point(*click))
    if isinstance(rim, NotFound):
        return f"{rim.reason}; {rim.advice}"
    try:
        return both_edges(photo.pixels, scale, rim, plain=plain)
    except CannotMeasure as refused:
        return str(refused)


def _why_not(scale: "Scale", edges: "Edges") -> str:
    try:
        _survey(scale, [edges], trials=_FEW_TRIALS)
    except CannotMeasure as refused:
        return str(refused)
    return ""


def _survey(scale: "Scale", edges: "list[Edges]", *, trials: int | None = None) -> "Survey":
    from annotate.flat_face.face import TRIALS, measure_holes  # noqa: PLC0415 - loads what only this needs

    return measure_holes(scale, edges, trials=trials or TRIALS)


def _face(
    clicks: Sequence[PixelPair],
    reasons: list[str],
    good: list[int],
    survey: "Survey | None",
    unsure: dict[int, str],
) -> Face:
    """Return the survey with the holes that failed in their places.

    Those ``unsure`` get no diameter, for their reason.
    """
    measured = dict(zip(good, range(len(good)), strict=True)) if survey else {}
    apart = {(pair.start, pair.end): pair for pair in survey.pairs} if survey else {}

    def hole(n: int) -> Hole:
        if survey is None or n not in measured:
            return Hole(clicks[n], Unknown(reasons[n] or "nothing was measured"))
        at = measured[n]
        diameter = Unknown(unsure[n]) if n in unsure else _known(survey.diameters[at])
        return Hole(clicks[n], diameter, survey.outlines[at])

    def pair(a: int, b: int) -> Apart:
        if a in measured and b in measured:
            return _apart(a, b, apart[measured[a], measured[b]])
        missing = a if a not in measured else b
        return Apart(a, b, Unknown(f"hole {missing}: {reasons[missing]}"))

    many = range(len(clicks))
    return Face(
        holes=tuple(hole(n) for n in many),
        pairs=tuple(pair(a, b) for a in many for b in many if a < b),
    )


def _apart(start: int, end: int, pair: "Pair") -> Apart:
    """Return a distance, unless the photo shows it too vaguely.

    How well the target's own size is known does not count here: that goes into the interval, and
    another photo could not better it.
    """
    if pair.seen_mm <= _SEEN_MM:
        return Apart(start, end, _known(pair.distance))
    vague = f"this photo shows it to {_up(pair.seen_mm)} mm either way only"
    return Apart(start, end, Unknown(f"{vague}; {CLEARER}"), vague)


def _known(length: Quantity) -> Result:
    """Return a length in mm, unless its interval is so wide that it measures nothing."""
    low, high = length.interval()
    half = (high - low) / 2
    if half <= max(_VAGUE_MM, _VAGUE * abs(length.value)):
        return Known(length)
    return Unknown(
        f"it can be told to {_up(half)} mm either way only; take the photo nearer and squarer, "
        "with light from all round"
    )


def _up(mm: float) -> str:
    """Return a half width, rounded up: none that is refused reads like the widest that is told."""
    return f"{math.ceil(100 * mm) / 100:.2f}"
