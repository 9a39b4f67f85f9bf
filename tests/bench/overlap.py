"""100,000 trials of the overlap of two circles, against shapely and against bare numpy.

The same samples for all three, one process, one thread; processor time, medians of some runs.
Shapely gets circles of 4 x 16 sides, for finer ones are slower still; what that costs in accuracy
is printed.
The bare numpy is the closed form of two circular segments (MathWorld, Circle-Circle Intersection,
equation 14) with what keeps acos and sqrt inside their ranges and nothing else.
"""

import time
from collections.abc import Callable
from statistics import median

import numpy as np
import numpy.typing as npt
import shapely

from annotate.overlap import lens_area

Array = npt.NDArray[np.float64]
TRIALS, SIDES, RUNS, SHAPELY_RUNS = 100_000, 16, 9, 1


def print_overlap() -> None:
    """Print times, ratios, and how far each is off the closed form worked in long doubles."""
    near, far, apart = _samples()
    truth = _bare(*(np.asarray(x, dtype=np.longdouble) for x in (near, far, apart)))
    small = np.pi * np.minimum(near, far) ** 2
    ours, own_s = _timed(lambda: lens_area(near, far, apart), RUNS)
    bare, bare_s = _timed(lambda: _bare(near, far, apart), RUNS)
    theirs, shapely_s = _timed(lambda: _shapely(near, far, apart), SHAPELY_RUNS)
    print(f"{TRIALS} overlaps of two circles, one thread; medians of {RUNS} ({SHAPELY_RUNS}) runs")
    print(f"{'':26}{'time':>12}{'to ours':>12}{'largest error, of the smaller circle':>40}")
    for name, found, seconds in (
        ("annotate.overlap", ours, own_s),
        ("bare numpy, closed form", bare, bare_s),
        (f"shapely, {4 * SIDES} sides", theirs, shapely_s),
    ):
        off = float(np.max(np.abs(found - truth) / small))
        print(f"{name:26}{seconds * 1e3:>9.1f} ms{seconds / own_s:>10.2f} x{off:>40.1e}")
    print(f"ours against bare numpy: {own_s / bare_s:.2f} x (asked: at most 2)")
    print(f"ours against shapely: {shapely_s / own_s:.0f} times faster (asked: at least 100)")


def _samples() -> tuple[Array, Array, Array]:
    rng = np.random.default_rng(20261126)
    near, far = rng.normal(4.0, 0.05, TRIALS), rng.normal(4.6, 0.2, TRIALS)
    return near, far, np.abs(rng.normal(2.4, 0.8, TRIALS))


def _bare(r1: Array, r2: Array, s: Array) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        one = r1**2 * np.arccos(np.clip((s**2 + r1**2 - r2**2) / (2 * s * r1), -1, 1))
        two = r2**2 * np.arccos(np.clip((s**2 + r2**2 - r1**2) / (2 * s * r2), -1, 1))
    kite = (-s + r1 + r2) * (s + r1 - r2) * (s - r1 + r2) * (s + r1 + r2)
    return np.asarray(one + two - 0.5 * np.sqrt(np.maximum(kite, 0)))


def _shapely(near: Array, far: Array, apart: Array) -> Array:
    zero = np.zeros(len(near))
    first = shapely.buffer(shapely.points(zero, zero), near, quad_segs=SIDES)
    second = shapely.buffer(shapely.points(apart, zero), far, quad_segs=SIDES)
    return np.asarray(shapely.area(shapely.intersection(first, second)))


def _timed(work: Callable[[], Array], runs: int) -> tuple[Array, float]:
    found, times = np.empty(0), []
    for _ in range(runs):
        begin = time.process_time()
        found = work()
        times.append(time.process_time() - begin)
    return found, median(times)
