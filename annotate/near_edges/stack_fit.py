"""Robust least squares of several edges at once: harmonics that all share, and terms of each.

For many stacks of edges together. A design matrix of all that would be large and mostly nothing:
here normal matrices are put together from their parts.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from annotate.pixels.polar import Array

_ROUNDS = 5


class Seen(NamedTuple):
    """How far off its edge each place of N stacks is seen (N, A), with prior weights (N, A).

    ``own`` are the terms (N, A) that this edge alone has, each with its place among the unknowns.
    """

    value: Array
    weight: Array
    own: tuple[tuple[int, Array], ...] = ()


def least_squares(
    shape: Array, edges: Sequence[Seen], hold: Array, pull: Array, band: float
) -> Array:
    """Return the unknowns (N, P) by reweighted least squares (Tukey, c = ``band``).

    The first of them belong to ``shape`` (A, S), which all edges share. ``hold`` (P,) is how firmly
    each unknown is held, ``pull`` (N, P) the force on it.
    """
    products = (shape[:, :, None] * shape[:, None]).reshape(len(shape), -1)
    use = [edge.weight for edge in edges]
    found: Array = np.zeros_like(pull)
    for _ in range(_ROUNDS):
        normal, right = _normal(shape, products, edges, use, pull)
        found = np.asarray(
            np.linalg.solve(normal + np.diag(hold), right[..., None])[..., 0], np.float64
        )
        use = [edge.weight * _trust(edge, shape, found, band) for edge in edges]
    return np.asarray(found)


def _normal(
    shape: Array, products: Array, edges: Sequence[Seen], use: Sequence[Array], pull: Array
) -> tuple[Array, Array]:
    """Return the normal matrices (N, P, P) and right sides (N, P)."""
    shared = shape.shape[1]
    normal = np.zeros((*pull.shape, pull.shape[1]))
    together, moments = sum(use), sum(w * e.value for w, e in zip(use, edges, strict=True))
    normal[:, :shared, :shared] = (together @ products).reshape(-1, shared, shared)
    right = pull.copy()
    right[:, :shared] += moments @ shape
    for edge, weight in zip(edges, use, strict=True):
        for place, term in edge.own:
            weighted = weight * term
            right[:, place] += np.einsum("na,na->n", weighted, edge.value)
            normal[:, :shared, place] = normal[:, place, :shared] = weighted @ shape
            for other, its in edge.own:
                normal[:, place, other] = np.einsum("na,na->n", weighted, its)
    return normal, right


def _trust(edge: Seen, shape: Array, found: Array, band: float) -> Array:
    """Return Tukey's weights (N, A) of what unknowns leave over of an edge."""
    left = edge.value - found[:, : shape.shape[1]] @ shape.T
    for place, term in edge.own:
        left -= found[:, place, None] * term
    return np.asarray((1 - np.minimum((left / band) ** 2, 1)) ** 2)
