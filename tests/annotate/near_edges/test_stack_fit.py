"""Edges fitted together, against SciPy's least squares of the whole design matrix."""

import numpy as np
from numpy.testing import assert_allclose
from scipy.optimize import least_squares as outside

from annotate.near_edges.stack_fit import Seen, least_squares
from annotate.pixels.polar import Array, harmonics

ANGLES = 60
SHAPE = harmonics(2 * np.pi * np.arange(ANGLES) / ANGLES, 2)  # five unknowns that both edges share
HOLD = np.array([1e-6] * 5 + [0.3, 0.1])
BAND = 0.5


def two_edges(seed: int, stacks: int = 3) -> tuple[list[Seen], Array]:
    rng = np.random.default_rng(seed)

    def some(low: float, high: float) -> Array:
        return rng.uniform(low, high, (stacks, ANGLES))

    values = [0.1 * rng.standard_normal((stacks, ANGLES)) + 0.2 * SHAPE[:, 1] for _ in range(2)]
    own = ((5, some(-1, 1)), (6, some(-1, 1)))
    edges = [Seen(values[0], some(0, 1)), Seen(values[1], some(0, 1), own)]
    return edges, rng.uniform(-0.1, 0.1, (stacks, 7)) * HOLD


def design_of(edges: list[Seen], stack: int) -> Array:
    parts = []
    for edge in edges:
        part = np.zeros((ANGLES, 7))
        part[:, :5] = SHAPE
        for place, term in edge.own:
            part[:, place] = term[stack]
        parts.append(part)
    return np.concatenate(parts)


def test_without_strays_it_is_the_weighted_least_squares_of_the_whole_matrix() -> None:
    edges, pull = two_edges(1)
    found = least_squares(SHAPE, edges, HOLD, pull, 1e6)
    for stack, one in enumerate(found):
        design = design_of(edges, stack)
        value = np.concatenate([edge.value[stack] for edge in edges])
        weight = np.concatenate([edge.weight[stack] for edge in edges])
        # A pull on an unknown that is held moves where it is held to.
        rows = np.concatenate([design * np.sqrt(weight)[:, None], np.diag(np.sqrt(HOLD))])
        right = np.concatenate([value * np.sqrt(weight), pull[stack] / np.sqrt(HOLD)])
        assert_allclose(one, np.linalg.lstsq(rows, right, rcond=None)[0], atol=1e-9)


def test_strays_are_left_out_as_tukeys_estimator_leaves_them_out() -> None:
    edges, pull = two_edges(2, stacks=1)
    edges[0].value[0, ::9] += 2.0  # beyond the band: of no weight at all
    found = least_squares(SHAPE, edges, HOLD, 0 * pull, BAND)[0]
    design = design_of(edges, 0)
    value = np.concatenate([edge.value[0] for edge in edges])
    weight = np.concatenate([edge.weight[0] for edge in edges])

    def left(q: Array) -> Array:
        part = np.clip(np.abs(value - design @ q) / BAND, 0, 1)
        # Tukey's rho: what its weights are the derivative of.
        rho = BAND**2 / 6 * (1 - (1 - part**2) ** 3)
        return np.concatenate([np.sqrt(2 * weight * rho), np.sqrt(HOLD) * q])

    assert_allclose(found, outside(left, found, xtol=1e-12).x, atol=2e-3)
    alone = least_squares(SHAPE, edges, HOLD, 0 * pull, 1e6)[0]
    assert np.abs(alone - found).max() > 0.02


def test_an_edge_of_no_weight_says_nothing() -> None:
    edges, pull = two_edges(3)
    silent = edges[1]._replace(weight=0 * edges[1].weight)
    with_it = least_squares(SHAPE, [edges[0], silent], HOLD, pull, BAND)
    without = least_squares(SHAPE, edges[:1], HOLD, pull, BAND)
    assert_allclose(with_it, without, atol=1e-12)
