"""Two photos of one hole: how often intervals hold the truth, and how wide they are.

Rims projected by an independent camera (``tests.annotate.drilled``) with 0.8 px of jitter, ten
near points and seven far ones, focal length unknown; diameter, wall and bore typed, off by as much
as they say. Printed for each photo alone, for both as one (``routes.together``), and for what a
careless hand would do: the weighted mean of the two, as if all their errors were independent. In
the second table the wall is typed 0.3 mm vague and the camera only turned on its own axis, so that
nearly all the two photos do not know is shared.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from scipy import stats

from annotate.beside import Sight
from annotate.errors import CannotMeasure
from annotate.givens import Givens
from annotate.quantity import Quantity
from annotate.result import Known, Result
from annotate.routes.together import Together, measure_together
from tests.annotate.drilled import Drilled
from tests.annotate.test_coverage import layer_of, mm, random_scene

SEED, NEAR, FAR, JITTER_PX = 20261126, 10, 7, 0.8
Rng = np.random.Generator
Turned = Callable[[Drilled, Rng], Drilled]


def print_pairs(count: int) -> None:
    """Print both tables, each over ``count`` pairs."""
    _print_table("from two sides; wall known to 0.05 mm", count, _from_another_side, 0.05)
    _print_table("from one side, turned; wall known to 0.3 mm", count, _turned, 0.3)


def _print_table(words: str, count: int, other: Turned, u_wall: float) -> None:
    rng = np.random.default_rng(SEED)
    rows: dict[str, list[tuple[bool, float]]] = {}
    refused = 0
    for run in range(count):
        one = random_scene(rng)
        two = other(one, rng)
        while not (len(one.longest_arc(FAR)) and len(two.longest_arc(FAR))):
            one = random_scene(rng)
            two = other(one, rng)
        try:
            found = measure_together(_sights(one, two, run), _typed(one, rng, u_wall))
        except CannotMeasure as error:
            print(f"  pair {run}: {error}")
            refused += 1
            continue
        for name, (low, high) in _answers(found).items():
            rows.setdefault(name, []).append((low <= one.covered() <= high, high - low))
    print(f"{words}: {count} pairs, {refused} refused")
    for name, told in rows.items():
        hits = sum(hit for hit, _ in told)
        chance = stats.binomtest(hits, len(told), 0.95).pvalue
        width = float(np.median([wide for _, wide in told]))
        print(f"  {name:36}{hits:>4} of {len(told)} hold the truth (p {chance:.2g}), "
              f"median width {100 * width:.1f} points")  # fmt: skip


def _answers(found: Together) -> dict[str, tuple[float, float]]:
    first, second = (_quantity(each.covered) for each in found.alone)
    weights = np.array([1 / first.u**2, 1 / second.u**2])
    mean = float(np.average([first.value, second.value], weights=weights))
    u = float(weights.sum() ** -0.5)
    return {
        "the first alone": first.interval(),
        "the second alone": second.interval(),
        "both as one": _quantity(found.coverage.covered).interval(),
        "averaged as if independent": (mean - 1.96 * u, mean + 1.96 * u),
    }


def _quantity(result: Result) -> Quantity:
    if not isinstance(result, Known):
        raise CannotMeasure(result.reason)
    return result.quantity


def _from_another_side(one: Drilled, rng: Rng) -> Drilled:
    return replace(
        one, tilt_deg=rng.uniform(0, 22), tilt_towards_deg=rng.uniform(0, 360),
        spin_deg=rng.uniform(0, 360), aim_px=tuple(rng.uniform(-300, 300, 2)),
    )  # fmt: skip


def _turned(one: Drilled, rng: Rng) -> Drilled:
    return replace(one, spin_deg=one.spin_deg + rng.uniform(60, 300))


def _sights(one: Drilled, two: Drilled, run: int) -> list[Sight]:
    return [
        Sight(layer_of(scene, sigma=JITTER_PX, seed=2 * run + n, near=NEAR, far=FAR, focal=False))
        for n, scene in enumerate((one, two))
    ]


def _typed(hole: Drilled, rng: Rng, u_wall: float) -> Givens:
    """Return the lengths as typed: off by their own standard uncertainty, on the whole."""

    def off(true: float, u: float) -> Quantity:
        return mm(true + u * rng.normal(), u)

    bore = None if hole.bore_radius is None else off(2 * hole.bore_radius, 0.1)
    return Givens(off(2 * hole.r_near, 0.02), None, off(hole.wall, u_wall), bore, bore is None)
