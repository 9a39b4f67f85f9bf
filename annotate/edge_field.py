"""A picture's edges round one ellipse, by angle and radius: how plainly a place lies on one."""

from typing import Final

import numpy as np

from annotate.follow import peaks
from annotate.halvings import Pyramid
from annotate.many import edge_strength, laid
from annotate.polar import Array, Frame, Image

ANGLES: Final = 240
_SPAN: Final = (0.5, 1.6)  # radii of the ellipse that are looked at
_FINEST_PX: Final = 110.0  # radius at which a large ellipse is looked at
_PER_PX: Final = 1.5  # samples across an edge
_NEAR_BY: Final = 0.008  # radii that an edge is spread by


class EdgeField:
    """Edges round one ellipse by angle and radius, looked up at places of the picture.

    ``step``: radii between samples.
    """

    def __init__(self, levels: Pyramid, frame: Frame) -> None:
        self._frame = frame
        size = min(frame.radius_px, _FINEST_PX)
        self._radii = np.linspace(*_SPAN, int((_SPAN[1] - _SPAN[0]) * size * _PER_PX))
        self.step = float(self._radii[1] - self._radii[0])
        grid = laid(levels, [frame], self._radii[None], ANGLES, size)
        self._peak, shift = peaks(np.abs(edge_strength(grid))[0])
        self._shift = shift * np.float32(self.step)
        self._spread = self._spread_out(max(_NEAR_BY, self.step))

    def _spread_out(self, by: float) -> Image:
        reach = int(np.ceil(2.5 * by / self.step))
        spread = np.zeros_like(self._peak)
        for move in range(-reach, reach + 1):
            loss = np.float32(np.exp(-0.5 * (move * self.step / by) ** 2))
            np.maximum(spread, loss * np.roll(self._peak, move, axis=1), out=spread)
        return spread

    def _place(self, points_px: Array) -> tuple[Array, Array]:
        unit = self._frame.to_unit(points_px)
        turn = np.arctan2(unit[..., 1], unit[..., 0]) * (ANGLES / 2 / np.pi)
        away = (np.hypot(unit[..., 0], unit[..., 1]) - self._radii[0]) / self.step
        return np.rint(turn).astype(int) % (ANGLES), away

    def strength(self, points_px: Array) -> Array:
        """Return how plainly each place (...) lies on an edge, 0 to 1."""
        turn, away = self._place(points_px)
        column = np.rint(away).astype(int)
        inside = (column >= 0) & (column < len(self._radii))
        return np.where(inside, self._spread[turn, np.clip(column, 0, len(self._radii) - 1)], 0)

    def nearest(self, points_px: Array, band: float) -> tuple[Array, Array]:
        """Return how far outside each place the best edge within ``band`` lies, and how plain.

        Lengths in radii.
        """
        turn, away = self._place(points_px)
        reach = int(np.ceil(1.6 * band / self.step))
        column = np.rint(away).astype(int)[..., None] + np.arange(-reach, reach + 1)
        inside = (column >= 0) & (column < len(self._radii))
        column = np.clip(column, 0, len(self._radii) - 1)
        off = (column - away[..., None]) * self.step
        gain = np.where(inside, self._peak[turn[..., None], column], 0)
        gain = gain * np.exp(-0.5 * (off / (0.7 * band)) ** 2)
        best = gain.argmax(axis=-1)[..., None]
        value = np.take_along_axis(off + self._shift[turn[..., None], column], best, -1)
        return value[..., 0], np.take_along_axis(gain, best, -1)[..., 0]
