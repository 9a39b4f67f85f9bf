"""Benchproof asked as its command asks it, by library calls, one picture at a time."""

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from annotate.coverage import measure
from annotate.errors import AnnotateError
from annotate.givens import Givens
from annotate.marks import Chessboard, Layer, Marker
from annotate.result import Coverage, Known, Result, Unknown
from capture.entry import parse_length
from capture.errors import CaptureError
from capture.faces import find_chessboard, measure_face
from capture.intake.photo import Photo, read_photo
from capture.layers import bare_layer, find_marker, with_marker, with_rims
from tests.bench.naive import naive_covered
from tests.bench.scenes import Scene
from tests.bench.score import LIMIT, Answer

PixelPair = tuple[float, float]
Answers = list[tuple[str, Answer]]

# What is scored, in which unit it is printed, and the factor to that unit.
UNITS = {
    "covered": "points (per cent of the smaller hole)",
    "open_area": "mm^2",
    "offset": "mm",
    "largest_pin": "mm",
    "parallax, right": "mm",
    "parallax, down": "mm",
    "hole diameter": "mm",
    "centre distance": "mm",
}
PARALLAX = ("parallax, right", "parallax, down")
# What the tool is told besides the near hole's diameter.
WALLED = "wall, bore"
GIVEN = ("diameter", "marker", WALLED)
WAYS = (
    "reading the photo",
    *(f"{placed}, {g}" for placed in ("hand points", "one click") for g in (*GIVEN, "flat ratio")),
    "measure",
)
FACTORS = {name: 100.0 if name == "covered" else 1.0 for name in UNITS}


class Asked(Struct, frozen=True):
    """One way of asking and its answers, as (quantity, answer)."""

    way: str
    answers: Answers


def oil_hole(scene: Scene, ways: Sequence[str] = WAYS) -> list[Asked]:
    """Return these ways of asking for one picture of two holes."""
    try:
        photo = read_photo(scene.picture)
    except Exception as error:  # noqa: BLE001 - a crash on a picture is a row of the table
        return [Asked("reading the photo", _refused(scene, error))]
    asked = []
    for placed, make in (("hand points", _by_hand), ("one click", _by_click)):
        wanted = [given for given in _givens(scene) if f"{placed}, {given}" in ways]
        flat = f"{placed}, flat ratio"
        if not wanted and flat not in ways:
            continue
        # What is typed of the wall helps to find the rims, so there is a layer for each.
        made: dict[bool, Layer | Exception] = {}
        for walled in {given == WALLED for given in wanted} | ({False} if flat in ways else set()):
            try:
                made[walled] = make(scene, photo, _typed(scene, WALLED) if walled else Givens())
            except Exception as error:  # noqa: BLE001 - a crash on a picture is a row of the table
                made[walled] = error
        asked += [
            Asked(f"{placed}, {given}", _answers(scene, photo, made[given == WALLED], given))
            for given in wanted
        ]
        if flat in ways:
            asked.append(Asked(flat, _flat_ratio(scene, made[False])))
    return asked


def _givens(scene: Scene) -> list[str]:
    return [given for given in GIVEN if given != "marker" or scene.known_target]


def _by_hand(scene: Scene, photo: Photo, givens: Givens) -> Layer:
    # None would mean "look for it": a far rim that nobody could mark stays unmarked.
    near, far = scene.near_points, scene.far_points or ()
    bare = bare_layer(photo)
    return with_rims(bare, photo, near_points=near, far_points=far, givens=givens).layer


def _by_click(scene: Scene, photo: Photo, givens: Givens) -> Layer:
    return with_rims(bare_layer(photo), photo, click=scene.click, givens=givens).layer


def _typed(scene: Scene, given: str) -> Givens:
    """Return what somebody typed; raises what typing it may raise."""
    near = parse_length(f"{scene.known_near_mm:.2f} mm")
    if given != WALLED:
        return Givens(near_diameter=near)
    wall, bore = parse_length(scene.typed_wall), parse_length(scene.typed_bore)
    return Givens(near_diameter=near, wall=wall, bore_diameter=bore)


def _answers(scene: Scene, photo: Photo, layer: Layer | Exception, given: str) -> Answers:
    if isinstance(layer, Exception):
        return _refused(scene, layer)
    try:
        givens = _typed(scene, given)
        if given == "marker" and scene.known_target:
            side = parse_length(f"{scene.known_target['side_mm']:.1f} mm")
            layer = with_marker(layer, photo, side)
        coverage = measure(layer, givens)
    except Exception as error:  # noqa: BLE001 - a crash on a picture is a row of the table
        return _refused(scene, error)
    return [
        (name, _answer(scene.name, truth, _result(coverage, name)))
        for name, truth in _truths(scene).items()
    ]


def _flat_ratio(scene: Scene, layer: Layer | Exception) -> Answers:
    near = far = None
    if isinstance(layer, Layer):
        near, far = layer.rim("near"), layer.rim("far")
    value = naive_covered(near.points_px if near else (), far.points_px if far else ())
    reason = "" if value is not None else "a drawing program has no two rims to draw"
    return [("covered", Answer(scene.name, scene.true_covered, value, reason=reason))]


def _truths(scene: Scene) -> dict[str, float]:
    truths = {
        "covered": scene.true_covered,
        "open_area": scene.true_open_area_mm2,
        "offset": scene.true_offset_mm,
        "largest_pin": scene.true_pin_mm,
    }
    if scene.true_parallax_mm is not None:
        truths |= zip(PARALLAX, scene.true_parallax_mm, strict=True)
    return truths


def _result(coverage: Coverage, name: str) -> Result:
    if name in PARALLAX:
        shift = coverage.parallax
        return shift.dx if name == PARALLAX[0] else shift.dy
    result: Result = getattr(coverage, name)
    return result


def _refused(scene: Scene, error: Exception) -> Answers:
    """Return a refusal for every quantity."""
    reason, crashed = _told(error)
    return [
        (name, Answer(scene.name, truth, reason=reason, crashed=crashed))
        for name, truth in _truths(scene).items()
    ]


def _told(error: Exception) -> tuple[str, bool]:
    """Return the reason and whether it is a crash: anything but our own errors."""
    if isinstance(error, (AnnotateError, CaptureError)):
        return str(error), False
    return f"CRASH {type(error).__name__}: {error}", True


def _answer(name: str, truth: float, result: Result) -> Answer:
    if not isinstance(result, Known):
        return Answer(name, truth, reason=result.reason)
    quantity = result.quantity
    low, high = quantity.interval()
    return Answer(
        name, truth, quantity.value, low, high, probability_within=quantity.probability_below(LIMIT)
    )


def flat_face(scene: Scene) -> Asked:
    """Return diameters and centre distances as ``benchproof measure`` gives them."""
    try:
        photo = read_photo(scene.picture)
        face = measure_face(
            photo, bare_layer(photo), _target(scene, photo), [h.click for h in scene.true_holes]
        )
    except Exception as error:  # noqa: BLE001 - a crash on a picture is a row of the table
        reason, crashed = _told(error)
        unknown = Unknown(reason)
        blank = _face_answers(scene, {}, {}, unknown)
        return Asked("measure", [(q, replace(a, crashed=crashed)) for q, a in blank])
    diameters = {n: hole.diameter for n, hole in enumerate(face.holes)}
    distances = {frozenset((p.start, p.end)): p.distance for p in face.pairs}
    return Asked("measure", _face_answers(scene, diameters, distances, Unknown("no such pair")))


def _face_answers(
    scene: Scene,
    diameters: dict[int, Result],
    distances: dict[frozenset[int], Result],
    otherwise: Result,
) -> Answers:
    return [
        *(
            ("hole diameter", _answer(scene.name, h.drill_diameter_mm, diameters.get(n, otherwise)))
            for n, h in enumerate(scene.true_holes)
        ),
        *(
            (
                "centre distance",
                _answer(scene.name, mm, distances.get(frozenset((a, b)), otherwise)),
            )
            for a, b, mm in scene.true_distances_mm
        ),
    ]


def _target(scene: Scene, photo: Photo) -> Marker | Chessboard:
    known = scene.known_target or {}
    if known["type"] == "aruco":
        return find_marker(photo, parse_length(f"{known['side_mm']:.1f} mm"))
    columns, rows = known["inner_corners"]
    return find_chessboard(photo, columns, rows, parse_length(f"{known['square_mm']:.1f} mm"))
