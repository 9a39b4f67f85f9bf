"""A picture's edges round one ellipse, by angle and radius: how plainly a place lies on one."""

from typing import Final

import numpy as np
import numpy.typing as npt

from annotate.near_edges.follow import peak_offsets, peaks
from annotate.near_edges.many import Frames, edge_strength, laid
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import Array, Frame, Image

Whole = npt.NDArray[np.intp]

ANGLES: Final = 240
_SPAN: Final = (0.5, 1.6)  # radii of the ellipse that are looked at
_FINEST_PX: Final = 110.0  # radius at which a large ellipse is looked at
_PER_PX: Final = 1.5  # samples across an edge
_FEWEST: Final = 8  # samples: of an ellipse that is hardly there too
_NEAR_BY: Final = 0.008  # radii that an edge is spread by


class EdgeField:
    """Edges round one ellipse by angle and radius, looked up at places of the picture.

    ``step``: radii between samples. Places are x and y (2, ...) in pixels.
    """

    def __init__(self, levels: Pyramid, frame: Frame) -> None:
        self._centre = np.float32(frame.cx), np.float32(frame.cy)
        self._inverse = np.linalg.inv(frame.matrix).astype(np.float32)
        size = min(frame.radius_px, _FINEST_PX)
        count = max(_FEWEST, int((_SPAN[1] - _SPAN[0]) * size * _PER_PX))
        self._radii = np.linspace(*_SPAN, count)
        self.step = float(self._radii[1] - self._radii[0])
        grid = laid(levels, Frames.of([frame]), self._radii[None], ANGLES, size)
        strength = np.abs(edge_strength(grid))[0]
        self._peak = peaks(strength)
        self._shift = peak_offsets(strength) * np.float32(self.step)
        self._spread = self._spread_out(max(_NEAR_BY, self.step))

    def _spread_out(self, by: float) -> Image:
        reach = int(np.ceil(2.5 * by / self.step))
        spread = np.zeros_like(self._peak)
        for move in range(-reach, reach + 1):
            loss = np.float32(np.exp(-0.5 * (move * self.step / by) ** 2))
            np.maximum(spread, loss * np.roll(self._peak, move, axis=1), out=spread)
        return spread

    def _place(self, points_px: Image) -> tuple[Whole, Image]:
        (a, b), (c, d) = self._inverse
        across, down = points_px[0] - self._centre[0], points_px[1] - self._centre[1]
        x, y = across * a + down * c, across * b + down * d
        turn = np.rint(np.arctan2(y, x) * np.float32(ANGLES / 2 / np.pi)).astype(np.intp)
        away = (np.sqrt(x * x + y * y) - np.float32(self._radii[0])) / np.float32(self.step)
        return turn + ANGLES * (turn < 0), away

    def strength(self, points_px: Image) -> Image:
        """Return how plainly each place (...) lies on an edge, 0 to 1."""
        turn, away = self._place(points_px)
        column = np.rint(away).astype(np.intp)
        inside = (column >= 0) & (column < len(self._radii))
        place = turn * len(self._radii) + np.clip(column, 0, len(self._radii) - 1)
        return np.take(self._spread, place) * inside

    def nearest(self, points_px: Image, band: float) -> tuple[Array, Array]:
        """Return how far outside each place the best edge within ``band`` lies, and how plain.

        Lengths in radii.
        """
        turn, away = self._place(points_px)
        reach = int(np.ceil(1.6 * band / self.step))
        # Nothing is met beyond either end.
        peak = np.pad(self._peak, ((0, 0), (2 * reach, 2 * reach)))
        middle = np.clip(np.rint(away), -reach, len(self._radii) - 1 + reach)
        place = turn * peak.shape[1] + (middle.astype(np.intp) + reach)
        off = middle - away
        peak, narrow = peak.ravel(), np.float32(self.step / (0.7 * band))
        best, at = np.zeros(off.shape, np.float32), np.zeros(off.shape, np.int16)
        # One sample across after the other: what is worked on stays in the processor's own memory.
        # Maxima and products throughout: what depends on a mask is many times slower.
        for count, move in enumerate(range(-reach, reach + 1)):
            far = (off + np.float32(move)) * narrow
            bell = np.float32(-0.5) * far
            bell *= far
            gain = np.exp(bell, out=bell)
            gain *= np.take(peak[count:], place)
            np.maximum(at, (gain > best) * np.int16(count), out=at)
            np.maximum(best, gain, out=best)
        at = at.astype(np.int32) - np.int32(reach)
        column = np.clip(middle.astype(np.intp) + at, 0, len(self._radii) - 1)
        value = (off + at) * self.step + self._shift[turn, column]
        return value, best.astype(np.float64)
