"""Benchproof asked as its command asks it, by library calls, one picture at a time."""

from collections.abc import Callable, Sequence

from annotate.coverage import Known, Result, measure
from annotate.errors import AnnotateError
from annotate.givens import Givens
from annotate.marks import Layer, Rim
from capture.entry import parse_length
from capture.intake.photo import Photo, read_photo
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
    "hole diameter": "mm",
    "centre distance": "mm",
}
FACTORS = {name: 100.0 if name == "covered" else 1.0 for name in UNITS}


def oil_hole(
    scene: Scene,
) -> list[tuple[str, Answers, Sequence[PixelPair] | None, Sequence[PixelPair] | None]]:
    """Return (way, answers, near points, far points) for each way of asking.

    The points are given once for each way of placing rims: a drawing program's answer needs them.
    """
    photo = read_photo(scene.picture)
    ways = []
    for placed, make in (("hand points", _by_hand),):
        layer, reason = _attempt(make, scene, photo)
        for given, typed in (("nothing more", False), ("wall, bore", True)):
            answers = _answers(scene, layer, reason, _givens(scene, typed=typed))
            points: tuple[Sequence[PixelPair] | None, Sequence[PixelPair] | None] = (None, None)
            if not typed:
                points = _drawn(layer)
            ways.append((f"{placed}, {given}", answers, *points))
    return ways


def _by_hand(scene: Scene, photo: Photo) -> Layer:
    marks = [Rim("near", scene.near_points, scene.point_sigma_px)]
    if scene.far_points:
        marks.append(Rim("far", scene.far_points, scene.point_sigma_px))
    return _layer(photo, tuple(marks))


def _layer(photo: Photo, marks: tuple[Rim, ...]) -> Layer:
    if photo.width_px is None or photo.height_px is None:
        raise AnnotateError(photo.unreadable)
    return Layer(photo.width_px, photo.height_px, marks, photo.focal_35mm)


def _givens(scene: Scene, *, typed: bool) -> Givens:
    near = None if scene.known_near_mm is None else parse_length(f"{scene.known_near_mm:.2f} mm")
    if not typed:
        return Givens(near_diameter=near)
    return Givens(
        near_diameter=near,
        wall=parse_length(scene.typed_wall),
        bore_diameter=parse_length(scene.typed_bore),
    )


def _attempt(
    make: Callable[[Scene, Photo], Layer], scene: Scene, photo: Photo
) -> tuple[Layer | None, Answer]:
    """Return the layer, or why there is none; a crash is told as such."""
    blank = Answer(name="", truth=0.0)
    try:
        return make(scene, photo), blank
    except AnnotateError as error:
        return None, Answer("", 0.0, reason=str(error))
    except Exception as error:  # noqa: BLE001 - a crash on a picture is a row of the table
        return None, Answer("", 0.0, reason=f"CRASH {type(error).__name__}", crashed=True)


def _answers(scene: Scene, layer: Layer | None, why: Answer, givens: Givens) -> Answers:
    truths = _truths(scene)
    if layer is None:
        return [(q, _refused(scene, truth, why)) for q, truth in truths.items()]
    try:
        coverage = measure(layer, givens)
    except AnnotateError as error:
        why = Answer("", 0.0, reason=str(error))
    except Exception as error:  # noqa: BLE001 - a crash on a picture is a row of the table
        why = Answer("", 0.0, reason=f"CRASH {type(error).__name__}", crashed=True)
    else:
        return [
            (q, _answer(scene.name, truth, getattr(coverage, q))) for q, truth in truths.items()
        ]
    return [(q, _refused(scene, truth, why)) for q, truth in truths.items()]


def _truths(scene: Scene) -> dict[str, float]:
    return {
        "covered": scene.true_covered,
        "open_area": scene.true_open_area_mm2,
        "offset": scene.true_offset_mm,
        "largest_pin": scene.true_pin_mm,
    }


def _refused(scene: Scene, truth: float, why: Answer) -> Answer:
    return Answer(scene.name, truth, reason=why.reason, crashed=why.crashed)


def _answer(name: str, truth: float, result: Result) -> Answer:
    if not isinstance(result, Known):
        return Answer(name, truth, reason=result.reason)
    quantity = result.quantity
    low, high = quantity.interval()
    return Answer(
        name, truth, quantity.value, low, high, probability_within=quantity.probability_below(LIMIT)
    )


def _drawn(layer: Layer | None) -> tuple[Sequence[PixelPair], Sequence[PixelPair]]:
    near = layer.rim("near") if layer else None
    far = layer.rim("far") if layer else None
    return (near.points_px if near else ()), (far.points_px if far else ())


def flat_face(scene: Scene) -> Answers:
    """Return diameters and centre distances as ``benchproof measure`` gives them."""
    why = "measuring faces is not there yet"
    holes = [Answer(scene.name, h.drill_diameter_mm, reason=why) for h in scene.true_holes]
    apart = [Answer(scene.name, mm, reason=why) for _, _, mm in scene.true_distances_mm]
    return [("hole diameter", a) for a in holes] + [("centre distance", a) for a in apart]
