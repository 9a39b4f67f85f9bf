"""Slots, drawn as ``holes_drawn`` draws round holes: straight sides and round ends."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tests.annotate.holes_drawn import Array, Drawn


@dataclass(frozen=True)
class Slotted(Drawn):
    """A drawing in which one hole, or both, is longer than broad.

    ``near_long`` and ``far_long`` are length over breadth, 1 for a round hole; a radius is half the
    breadth. ``along_deg`` is the direction of both in the near rim's frame.
    """

    near_long: float = 1.0
    far_long: float = 1.0
    along_deg: float = 0.0

    def _tone(self, unit: Array) -> Array:
        tone = np.full(unit.shape[:-1], self.face)
        near = self._inside(unit, (0.0, 0.0, 1.0), self.near_long)
        tone[near] = self.wall
        if self.back is not None:
            near &= self._inside(unit, self.back, self.near_long)
        tone[near] = self.behind
        if self.far is not None:
            tone[near & self._inside(unit, self.far, self.far_long)] = self.opening
        return tone

    def _inside(
        self, unit: Array, hole: tuple[float, float, float], long: float
    ) -> npt.NDArray[np.bool_]:
        x, y, radius = hole
        c, s = np.cos(np.radians(self.along_deg)), np.sin(np.radians(self.along_deg))
        off = unit - (x, y)
        along, across = off @ (c, s), off @ (-s, c)
        beyond = np.maximum(np.abs(along) - (long - 1) * radius, 0)
        return np.asarray(np.hypot(beyond, across) < radius)
