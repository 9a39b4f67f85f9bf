"""Photo of a flat face with a printed target, and clicks -> hole sizes and centre distances."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from annotate.errors import CannotMeasure, TwoEdges
from annotate.fit import FitFailed
from annotate.marks import Chessboard, Layer, Marker, PixelPair, Point
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from capture.errors import BadPhoto
from capture.intake.photo import Photo
from capture.told_of_faces import Face, Looked, told

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from annotate.flat_face.face import Survey
    from annotate.flat_face.two_edges import Edges
    from annotate.scale import Scale

    Array = npt.NDArray[np.float64]

_PARTLY = (
    "its edge shows on a part of it only: the rest may be a lit wall, or a chamfer whose drilled "
    "edge lies in the dark; light it from all round, or say --plain if no hole has a chamfer"
)
_HARDLY_HALF = (
    "the drilled edge below its chamfer shows on hardly half of it; light it from all round or "
    "from above"
)
# Of the smaller radius, and of the larger: a counterbore about the same axis is another hole.
_WITHIN, _ALIKE = 0.5, 0.8
_FEW_TRIALS = 50  # enough to see whether a rim can be measured at all


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


class Surveyed(NamedTuple):
    """What is told of a face, and what it came of: the edges of each hole measured, in order."""

    face: Face
    looked: Looked
    scale: "Scale"
    edges: "list[Edges]"


def measure_face(
    photo: Photo,
    layer: Layer,
    target: Marker | Chessboard,
    clicks: Sequence[PixelPair],
    *,
    lens: LensProfile | None = None,
    plain: bool = False,
    behind: Quantity | None = None,
) -> Face:
    """Return what is told of a face, as ``survey_face``."""
    return survey_face(photo, layer, target, clicks, lens=lens, plain=plain, behind=behind).face


def survey_face(
    photo: Photo,
    layer: Layer,
    target: Marker | Chessboard,
    clicks: Sequence[PixelPair],
    *,
    lens: LensProfile | None = None,
    plain: bool = False,
    behind: Quantity | None = None,
) -> Surveyed:
    """Return the holes round the clicks and their distances, on the plane of a printed target.

    ``lens`` is the camera's profile as it is used on this photo; ``plain``: no hole has a chamfer;
    ``behind``: how far behind the target's plane the holes' edges lie, parallel to it.
    A hole that is not found or not round keeps its place, with the reason; one of whose drilled
    edge too little shows has distances only. Raises CannotMeasure if the target gives no scale, or
    lies farther from the holes than a camera at this place can see them from.
    """
    from annotate.flat_face.behind import refuse_nonsense  # noqa: PLC0415 - as below
    from annotate.flat_face.printed_edges import with_printed_edges  # noqa: PLC0415 - as below
    from annotate.scale import scale_from  # noqa: PLC0415 - loads what only this needs

    scale = scale_from(target, layer, lens)
    if isinstance(scale, FitFailed):
        raise CannotMeasure(scale.reason, "take the photo squarer, with the target flat and sharp")
    if behind is not None:
        refuse_nonsense(behind, scale.camera_over()[1])
    if photo.pixels is not None:
        scale = with_printed_edges(scale, photo.pixels, target)
    found = [_edges(photo, scale, click, plain=plain) for click in clicks]
    reasons = [one if isinstance(one, str) else _why_not(scale, one) for one in found]
    same = _same(found, reasons)
    # Both edges of a chamfer have one axis: the distances stand, whichever it is.
    unsure = {
        n: _HARDLY_HALF if one.outer else _PARTLY
        for n, one in enumerate(found)
        if not isinstance(one, str) and one.partly
    }
    looked = Looked(clicks, reasons, unsure, same)
    survey = _surveyed(scale, found, looked, behind)
    edges = [one for n in looked.surveyed() if not isinstance(one := found[n], str)]
    return Surveyed(told(looked, survey, behind), looked, scale, edges)


def _surveyed(
    scale: "Scale", found: "list[Edges | str]", looked: Looked, behind: Quantity | None
) -> "Survey | None":
    """Return the survey of all holes that can be measured, each once; None if there are none.

    Writes into the reasons why others can't: some show only beside all others that they can't.
    """
    while True:
        good = looked.surveyed()
        edges = [one for n in good if not isinstance(one := found[n], str)]
        try:
            return _survey(scale, edges, behind=behind) if edges else None
        except TwoEdges as refused:
            hole = good[refused.hole]
            for n in (hole, *(n for n, first in looked.same.items() if first == hole)):
                looked.reasons[n] = str(refused)


def _same(found: "list[Edges | str]", reasons: Sequence[str]) -> dict[int, int]:
    """Return which holes are one that was clicked before, and its number.

    Two holes do not overlap: where a rim's middle lies well within another of about its size it is
    the same rim, found once more.
    """
    import numpy as np  # noqa: PLC0415 - slow to load, and refusing needs none

    rims: dict[int, tuple[Array, float]] = {}
    same: dict[int, int] = {}
    for n, one in enumerate(found):
        if isinstance(one, str) or reasons[n]:
            continue
        points = one.drilled.array_px()
        middle = (points.min(axis=0) + points.max(axis=0)) / 2
        radius = float(np.median(np.linalg.norm(points - middle, axis=1)))
        for first, (there, size) in rims.items():
            less, more = sorted((radius, size))
            if np.linalg.norm(middle - there) < _WITHIN * less and less > _ALIKE * more:
                same[n] = first
                break
        else:
            rims[n] = (middle, radius)
    return same


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


def _survey(
    scale: "Scale",
    edges: "list[Edges]",
    *,
    trials: int | None = None,
    behind: Quantity | None = None,
) -> "Survey":
    from annotate.flat_face.face import TRIALS, measure_holes  # noqa: PLC0415 - loads what only this needs

    return measure_holes(scale, edges, trials=trials or TRIALS, behind=behind)
