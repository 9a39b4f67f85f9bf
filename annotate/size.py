"""Distance, diameter, angle and area marks -> Quantity, on the plane of a scale.

JCGM 101 Monte Carlo over the marks' own points and the scale: the same mark, scale, seed and
trials give the same numbers.
"""

from math import atan2

import numpy as np
import numpy.typing as npt

from annotate.errors import BadMark, CannotMeasure
from annotate.fit import FitFailed, fit_circle
from annotate.marks import Angle, Area, Diameter, Distance, Point, Points
from annotate.quantity import Quantity
from annotate.scale import Scale

Array = npt.NDArray[np.float64]
SizeMark = Distance | Diameter | Angle | Area

TRIALS = 4000
_LEAST = 3  # points of a circle


def measure(mark: SizeMark, scale: Scale, *, seed: int = 0, trials: int = TRIALS) -> Quantity:
    """Return what a mark measures on the scale's plane: mm, degrees or mm^2.

    A known distance as scale assumes a photo taken square-on; its lean is in the uncertainty.
    Raises CannotMeasure for points without extent or not on a circle, BadMark for a polygon that
    crosses itself.
    """
    rng = np.random.default_rng(seed)
    points = _points(mark)
    noise = mark.sigma_px * rng.standard_normal((trials, *points.shape))
    places = scale.sample(rng, trials).to_mm(points + noise)
    match mark:
        case Distance():
            samples, unit = np.linalg.norm(places[:, 1] - places[:, 0], axis=1), "mm"
        case Angle():
            samples, unit = _angles_deg(places), "deg"
        case Area():
            samples, unit = _areas(mark, places), "mm^2"
        case Diameter():
            samples, unit = _diameters(mark, scale, places), "mm"
    return Quantity.from_samples(samples.astype(np.float64), unit)


def _points(mark: SizeMark) -> Points:
    match mark:
        case Distance():
            return _array(mark.a, mark.b)
        case Angle():
            if mark.vertex in (mark.a, mark.b):
                raise CannotMeasure("an angle needs two directions", "move its points apart")
            return _array(mark.vertex, mark.a, mark.b)
        case Area():
            return np.asarray(mark.corners_px, dtype=np.float64)
        case Diameter():
            if len(mark.points_px) < _LEAST:
                raise CannotMeasure("a circle needs three points", "mark points all round the edge")
            return np.asarray(mark.points_px, dtype=np.float64)


def _array(*points: Point) -> Points:
    return np.array([[p.x_px, p.y_px] for p in points])


def _angles_deg(places: Array) -> Array:
    """Return the angles (M,) at the first of three points, 0 to 180 degrees.

    Both sides of 0 and 180 are unfolded about the middle draw first: folding would turn the
    scatter about a straight angle into a bias.
    """
    one, other = places[:, 1] - places[:, 0], places[:, 2] - places[:, 0]
    turn = np.arctan2(
        one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0], np.sum(one * other, axis=1)
    )
    middle = atan2(float(np.mean(np.sin(turn))), float(np.mean(np.cos(turn))))
    about = middle + (turn - middle + np.pi) % (2 * np.pi) - np.pi
    result: Array = np.degrees(about if middle >= 0 else -about)
    return result


def _areas(mark: Area, places: Array) -> Array:
    if crosses_itself(np.asarray(mark.corners_px, dtype=np.float64)):
        raise BadMark("the border of an area must not cross itself")
    x, y = places[..., 0], places[..., 1]
    doubled = np.sum(x * np.roll(y, -1, axis=1) - y * np.roll(x, -1, axis=1), axis=1)
    result: Array = np.abs(doubled) / 2
    return result


def crosses_itself(corners: Points) -> bool:
    """Tell whether two sides without a common corner meet."""
    count = len(corners)
    starts, ends = corners, np.roll(corners, -1, axis=0)
    for i in range(count):
        for j in range(i + 2, count - (i == 0)):
            sides = [
                _side(starts[i], ends[i], starts[j]) * _side(starts[i], ends[i], ends[j]),
                _side(starts[j], ends[j], starts[i]) * _side(starts[j], ends[j], ends[i]),
            ]
            if max(sides) < 0:
                return True
    return False


def _side(start: Array, end: Array, point: Array) -> float:
    along, to = end - start, point - start
    return float(along[0] * to[1] - along[1] * to[0])


def _diameters(mark: Diameter, scale: Scale, places: Array) -> Array:
    """Return the diameters (M,) of the circles that fit each draw's points.

    The fit is made once; each draw moves it by what the points' moves tell to first order.
    """
    nominal = scale.to_mm(_points(mark))
    fitted = fit_circle(nominal, mark.sigma_px * scale.mm_per_px(_points(mark).mean(axis=0)))
    if isinstance(fitted, FitFailed):
        raise CannotMeasure(f"no circle: {fitted.reason}", "mark points all round the edge")
    centre = np.array([fitted.shape.cx, fitted.shape.cy])
    out = (nominal - centre) / np.linalg.norm(nominal - centre, axis=1, keepdims=True)
    carry = np.linalg.pinv(np.column_stack([out, np.ones(len(out))]))
    moved = np.mean(places, axis=1, keepdims=True) - nominal.mean(axis=0)
    # Draws far off (a scale's lean) are solved about their own first guess, twice.
    middle, radius = centre + moved[:, 0], np.full(len(places), fitted.shape.radius)
    for _ in range(2):
        reach = np.linalg.norm(places - middle[:, None], axis=2)
        step = (reach - radius[:, None]) @ carry.T
        middle, radius = middle + step[:, :2], radius + step[:, 2]
    return 2 * radius
