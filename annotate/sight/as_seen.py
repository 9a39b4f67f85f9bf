"""Unknowns as they are seen: coordinates in which what a sighting leaves open is nearly straight.

A photo shows where the far hole appears, not where it is: with a thicker wall it lies elsewhere and
looks the same. In the unknowns of ``holes`` such states lie along a curve, and a sampler whose
proposals are straight loses its ends, so that intervals come out too narrow. Here the same states
are counted by what the photo fixes (theta: the line of sight to the hole's axis):

  centre   where the near rim's own plane is seen, not the face above it
  far      where the far centre is seen on the near rim's plane: far + (wall - depth) tan(theta)
  ln_far   as large as it looks there, where nobody gave it
  ln_wall  from the near rim's plane on, where nobody gave it

All but the last are only moved, each by what others say: that keeps volumes. ``log_volume`` tells
what the last one does to them. Derivation: written out here; no outside source.
"""

from typing import NamedTuple

import numpy as np

from annotate.holes import INDEX, NAMES, Array, column
from annotate.sight.sighting import Sighting

_DEEPEST = 0.8  # of the wall: how deep in it a near rim may lie
_WALL = INDEX["ln_wall"]


class AsSeen(NamedTuple):
    """The ways between one sighting's unknowns q (K, P or more) and the same as seen.

    Columns beyond a sighting's own are left alone.
    """

    sighting: Sighting
    wall_open: bool

    @classmethod
    def of(cls, sighting: Sighting, fits: Array) -> "AsSeen":
        """Return the ways that suit a sighting with these best fits (C, P).

        The wall stays as it is where a length contradicts the picture so much that a near edge
        below the whole wall explains it best.
        """
        state = sighting.state(fits)
        above = column(state, "ln_depth") < np.log(_DEEPEST) + state[:, _WALL]
        return cls(sighting, sighting.givens.wall is None and bool(np.all(above)))

    def seen(self, q: Array) -> Array:
        """Return unknowns as they are seen (K, P), in the same prior widths."""
        state, rest = self._parted(q)
        wall, depth = np.exp(state[:, _WALL]), np.exp(column(state, "ln_depth"))
        moved = state + self._move(state, wall - depth)
        if self.wall_open:
            moved[:, _WALL] = np.log(wall - depth)
        return self._joined(moved, rest)

    def true(self, p: Array) -> Array:
        """Return the unknowns q (K, P) of these as seen."""
        state, rest = self._parted(p)
        depth = column(state, "ln_depth")
        if self.wall_open:
            state[:, _WALL] = np.logaddexp(state[:, _WALL], depth)
        state -= self._move(state, np.exp(state[:, _WALL]) - np.exp(depth))
        return self._joined(state, rest)

    def log_volume(self, p: Array) -> Array:
        """Return the logarithm (K,) of how much larger a small volume is in q than as seen."""
        if not self.wall_open:
            return np.zeros(len(p))
        state, _ = self._parted(p)
        between = state[:, _WALL]
        return np.asarray(between - np.logaddexp(between, column(state, "ln_depth")))

    def _parted(self, q: Array) -> tuple[Array, Array]:
        own = len(NAMES)
        return self.sighting.state(q[:, :own]), q[:, own:]

    def _joined(self, state: Array, rest: Array) -> Array:
        own = (state - self.sighting.mean) / self.sighting.deviation
        return np.concatenate([own, rest], axis=1)

    def _move(self, state: Array, between_mm: Array) -> Array:
        """Return how far the moved unknowns are moved, by others that are the same both ways.

        ``between_mm`` (K,) lies between the planes of the near and the far rim. In the axes of
        ``holes.pose`` the camera stands over (-a t, b, n t) / n, with the tilt (a, b),
        n^2 = 1 - a^2 and t^2 = 1 - a^2 - b^2.
        """
        between = np.maximum(between_mm, 0.0)
        a, b = column(state, "tilt_x"), column(state, "tilt_y")
        across = np.sqrt(np.maximum(1 - a * a, 1e-12))
        towards = np.sqrt(np.maximum(1 - a * a - b * b, 1e-12))
        px_per_mm = np.exp(column(state, "ln_size") - column(state, "ln_near"))
        deep_px = np.exp(column(state, "ln_depth")) * px_per_mm
        move = np.zeros_like(state)
        move[:, INDEX["centre_u"]] = -deep_px * a
        move[:, INDEX["centre_v"]] = -deep_px * b
        move[:, INDEX["far_x"]] = -between * a / across
        move[:, INDEX["far_y"]] = between * b / (across * towards)
        if self.sighting.givens.far_diameter is None:
            distance = np.exp(column(state, "ln_focal")) / px_per_mm
            move[:, INDEX["ln_far"]] = -np.log1p(between / (distance * towards))
        return move
