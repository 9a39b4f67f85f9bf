"""Plane to plane through a camera: exact and least-squares homographies.

A homography is a 3 x 3 array H with [x', y', 1] ~ H [x, y, 1]. Both sides are centred and scaled
before solving (Hartley, In defence of the eight-point algorithm, PAMI 19 (1997) 580-593).
"""

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

_STEPS = 20
_LEAST = 4  # points


def mapped(H: Array, points: Array) -> Array:
    """Return points (..., N, 2) mapped by one homography (3, 3) or a stack (..., 3, 3)."""
    local = points @ np.swapaxes(H[..., :2, :2], -1, -2) + H[..., None, :2, 2]
    depth = np.sum(points * H[..., None, 2, :2], axis=-1, keepdims=True) + H[..., None, 2:, 2]
    result: Array = local / depth
    return result


def homography(source: Array, target: Array) -> Array:
    """Return the homography from source to target points, four or more, least squares in target.

    With more than four, the sum of squared distances in the target plane is minimised. H[2, 2] is
    1 in the frame where the source points are centred, so the source's middle stays finite.
    """
    T, U = normaliser(source), normaliser(target)
    p, q = mapped(T, source), mapped(U, target)
    h = np.linalg.lstsq(_design(p, q), q.ravel(), rcond=None)[0].astype(np.float64)
    for _ in range(_STEPS if len(source) > _LEAST else 0):
        off, slope = residuals_and_slopes(h, p, q)
        step = np.linalg.lstsq(slope, off, rcond=None)[0]
        h = h + step
        if float(np.abs(step).max()) < 1e-13:  # noqa: PLR2004 - rounding
            break
    result: Array = np.linalg.inv(U) @ full(h) @ T
    return result


def solved(source: Array, target: Array) -> Array:
    """Return the exact homographies (M, 3, 3) from M sets of four points to one set (4, 2)."""
    T, U = normaliser(source.reshape(-1, 2)), normaliser(target)
    p, q = mapped(T, source), mapped(U, target)
    right = np.broadcast_to(q.ravel()[:, None], (len(p), 2 * _LEAST, 1))
    entries = np.linalg.solve(_design(p, q), right)[..., 0].astype(np.float64)
    result: Array = np.linalg.inv(U) @ full(entries) @ T
    return result


def full(h: Array) -> Array:
    """Return 3 x 3 matrices (..., 3, 3) from their first eight entries (..., 8); the last is 1."""
    one = np.ones((*h.shape[:-1], 1))
    return np.concatenate([h, one], axis=-1).reshape(*h.shape[:-1], 3, 3)


def normaliser(points: Array) -> Array:
    """Return the homography that centres points and gives them a root mean square radius of 1."""
    middle = points.mean(axis=0)
    size = float(np.sqrt(np.mean(np.sum((points - middle) ** 2, axis=1))))
    return np.array(
        [[1 / size, 0, -middle[0] / size], [0, 1 / size, -middle[1] / size], [0, 0, 1.0]]
    )


def residuals_and_slopes(h: Array, p: Array, q: Array) -> tuple[Array, Array]:
    """Return q - H(p) as (2N,) and the derivatives (2N, 8) of H(p) by the eight entries."""
    H = full(h)
    depth = p @ H[2, :2] + 1
    now = mapped(H, p)
    slope = _design(p, now) / np.repeat(depth, 2)[:, None]
    return (q - now).ravel(), slope


def _design(p: Array, q: Array) -> Array:
    """Return the (..., 2N, 8) equations that the first eight entries meet, for q = H(p)."""
    x, y = p[..., 0], p[..., 1]
    u, v = np.broadcast_to(q, p.shape)[..., 0], np.broadcast_to(q, p.shape)[..., 1]
    one, none = np.ones_like(x), np.zeros_like(x)
    first = np.stack([x, y, one, none, none, none, -u * x, -u * y], axis=-1)
    second = np.stack([none, none, none, x, y, one, -v * x, -v * y], axis=-1)
    return np.stack([first, second], axis=-2).reshape(*p.shape[:-2], -1, 8)
