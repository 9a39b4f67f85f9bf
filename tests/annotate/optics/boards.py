"""Views of a chessboard through a camera with a known lens, by cv2.projectPoints."""

import cv2
import numpy as np

from annotate.marks import Chessboard
from annotate.quantity import Quantity

COLUMNS, ROWS, SQUARE_MM = 9, 6, 25.0


def boards(
    count: int = 12,
    *,
    focal_px: float = 4000.0,
    centre_px: tuple[float, float] = (799.5, 599.5),
    terms: tuple[float, ...] = (0.0, 0.0, 0.0, 0.0, 0.0),
    size: tuple[int, int] = (1600, 1200),
    noise_px: float = 0.1,
    tilt_deg: float = 35.0,
    seed: int = 1,
) -> list[Chessboard]:
    """Return ``count`` views of the board, each tilted another way and in another corner."""
    rng = np.random.default_rng(seed)
    matrix = np.array([[focal_px, 0, centre_px[0]], [0, focal_px, centre_px[1]], [0, 0, 1.0]])
    x, y = np.meshgrid(np.arange(COLUMNS), np.arange(ROWS))
    solid = SQUARE_MM * np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)]).astype(float)
    solid -= solid.mean(axis=0)
    far = focal_px * SQUARE_MM * (COLUMNS + 1) / (0.75 * size[0])
    found = []
    for k in range(count):
        towards = 2.4 * k
        turn = np.radians(tilt_deg) * np.array([np.cos(towards), np.sin(towards), 0.0])
        aside = 0.14 * np.array([size[0] * (-1) ** k, size[1] * (-1) ** (k // 2)]) / focal_px
        shift = far * np.array([aside[0], aside[1], 1.0])
        seen = cv2.projectPoints(solid, turn, shift, matrix, np.array(terms))[0].reshape(-1, 2)
        seen = seen + rng.normal(0, noise_px, seen.shape)
        found.append(
            Chessboard(tuple(map(tuple, seen.tolist())), COLUMNS, ROWS, Quantity(SQUARE_MM, "mm"))
        )
    return found
