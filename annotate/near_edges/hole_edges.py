"""Where the three edges of a near hole run, for many guesses at it at once.

A chamfer's top, the drilled edge and the hole's own far edge are the same circle in parallel
planes, wider by the chamfer's width above and no wider below: seen aslant they have one shape and
are moved along its minor axis by their depth times the tilt's tangent; deeper ones look smaller by
their depth per distance.
"""

from typing import Final, NamedTuple

import numpy as np

from annotate.near_edges.edge_field import EdgeField
from annotate.near_edges.many import Frames
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import Array, Image, Mask, circle, harmonics
from annotate.wall_hint import WallHint

_CHAMFERS: Final = (0.012, 0.025, 0.045, 0.075, 0.12, 0.17, 0.23)  # near radii, to start from
_NARROWEST_PX: Final = 3.0  # edges nearer to each other are one
_NARROWEST_STEPS: Final = 2.2  # of the field's samples
_CRESCENT: Final = 0.018  # near radii that a far edge must lie inside the near one to be seen
_ASSUMED_WALL: Final = (0.5, 0.3)  # near radii, where nothing is typed
_ORDINARY_FOCAL: Final = 45 / 43.27  # diagonals of the picture: 45 mm on 36 x 24 mm
_UNKNOWN_FOCAL, _KNOWN_FOCAL = 0.35, 0.04  # relative uncertainty


class Around(NamedTuple):
    """Where round an edge it is looked at: unit vectors (A, 2) and seven harmonics (A, 7)."""

    unit: Array
    shape: Array


def _around(angles: int) -> Around:
    return Around(circle(angles), harmonics(2 * np.pi * np.arange(angles) / angles, 3))


FINE: Final = _around(120)
COARSE: Final = _around(60)  # while there are many guesses


class Trials(NamedTuple):
    """Many guesses: drilled edges, bends (N, 2), widths of the chamfer (N,), leans (N,) of +-1.

    ``steep`` (N,) is how deep a chamfer goes per width of it.

    ``back`` (N, 2) says how far the far edge lies off what is foretold: in radius and in move,
    both in near radii, within ``slack`` (N, 2).
    """

    frames: Frames
    bend: Array
    chamfer: Array
    lean: Array
    steep: Array
    back: Array
    slack: Array

    def pick(self, which: "np.ndarray[tuple[int], np.dtype[np.intp]]") -> "Trials":
        """Return some of them, by their numbers."""
        return Trials(self.frames.pick(which), *(values[which] for values in self[1:]))


class HoleEdges(NamedTuple):
    """The drilled edge and a chamfer's top of many guesses, in pixels: x and y (2, N, A).

    ``along`` (N, 2) is the minor axis, ``tangent`` (N,) the tilt's.
    """

    near: Image
    top: Image
    along: Array
    tangent: Array


class FarEdge(NamedTuple):
    """The far edge of many guesses in pixels, x and y (2, N, A).

    ``shows`` (N, A): where it lies inside the drilled one.
    """

    back: Image
    shows: Mask


class Foretold:
    """Where the far edge lies below a drilled edge, from what is known of wall and lens.

    Edges are laid out ``around``.
    """

    def __init__(self, levels: Pyramid, hint: WallHint | None, around: Around = FINE) -> None:
        self.around = around
        height, width = levels.levels[0].shape
        known = hint.focal_px if hint is not None else None
        self._focal_px = known or _ORDINARY_FOCAL * float(np.hypot(height, width))
        self._u_focal = _KNOWN_FOCAL if known else _UNKNOWN_FOCAL
        self._wall, u_wall = (hint.radii, hint.u_radii) if hint else _ASSUMED_WALL
        self._u_wall = u_wall / self._wall

    def trials(self, frames: Frames, field: EdgeField) -> Trials:
        """Return each ring as a drilled edge, without and below a chamfer, and as its top."""
        found: list[tuple[int, float, float, float]] = []
        for which, least in enumerate(narrowest(field, frames).tolist()):
            widths = [w for w in _CHAMFERS if w >= least] or [least]
            for lean in (1.0, -1.0):
                found.append((which, lean, 0.0, 0.0))
                for width in widths:
                    found += [(which, lean, width, 0.0), (which, lean, width, width)]
        ring, leans, chamfer, below = np.array(found).T
        rings = frames.pick(ring.astype(int))
        tangent, along = tilts(rings)
        down = (leans * below * tangent / (1 + below))[:, None] * along
        centre = rings.centre + (down[:, None] @ rings.matrix)[:, 0]
        drilled = Frames(centre, rings.matrix / (1 + below)[:, None, None])
        zero, one = np.zeros((len(found), 2)), np.ones(len(found))
        return Trials(drilled, zero, chamfer, leans, one, zero, self._slack(drilled))

    def _slack(self, frames: Frames) -> Array:
        tangent, _ = tilts(frames)
        ratio = 1 / np.sqrt(1 + tangent**2)
        # A saddle-shaped rim and the fit blur the ratio of the axes by about this much.
        low, high = (np.sqrt(1 / np.minimum(ratio + s * 0.008, 1) ** 2 - 1) for s in (1, -1))
        move = self._wall * np.maximum(high - tangent, tangent - low)
        spread = 2 * np.hypot(self._u_wall, self._u_focal)
        radius = min(float(spread), 0.7) * self._smaller(frames) + 0.004
        return np.stack([radius, move + 2 * self._wall * self._u_wall * high + 0.012], axis=1)

    def _smaller(self, frames: Frames) -> Array:
        return np.clip(self._wall * frames.radius_px / self._focal_px, 0, 0.08)

    def edges(self, trials: Trials) -> HoleEdges:
        """Return where the drilled edges and the tops of chamfers of these guesses run."""
        tangent, along = tilts(trials.frames)
        nothing = np.zeros(len(tangent))
        move = -trials.lean * trials.steep * trials.chamfer * tangent
        return HoleEdges(
            _laid_out(self.around, trials, along, nothing + 1, nothing),
            _laid_out(self.around, trials, along, 1 + trials.chamfer, move),
            along,
            tangent,
        )

    def far(self, trials: Trials) -> FarEdge:
        """Return where the far edges of these guesses run."""
        tangent, along = tilts(trials.frames)
        cosine = 1 / np.sqrt(1 + tangent**2)
        radius = 1 - self._smaller(trials.frames) * cosine + trials.back[:, 0]
        move = trials.lean * np.maximum(self._wall * tangent + trials.back[:, 1], 0)
        unit = self.around.unit
        x, y = (radius[:, None] * unit[:, i] + (move * along[:, i])[:, None] for i in (0, 1))
        shows = np.hypot(x, y) < 1 - _CRESCENT
        return FarEdge(
            _laid_out(self.around, trials, along, np.minimum(radius, 0.995), move), shows
        )


def _laid_out(around: Around, trials: Trials, along: Array, radius: Array, move: Array) -> Image:
    """Return x and y (2, N, A) in pixels of edges of these radii (N,), moved by so much (N,).

    Radii and moves are in near radii, moves along the minor axis.
    """
    unit = around.unit.astype(np.float32)
    shape = (radius[:, None] * (1 + trials.bend @ around.shape[:, 5:].T)).astype(np.float32)
    shift = (move[:, None] * along).astype(np.float32)
    across, down = (shape * unit[:, i] + shift[:, i, None] for i in (0, 1))
    (a, b), (c, d) = trials.frames.matrix.astype(np.float32).transpose(1, 2, 0)[..., None]
    x, y = trials.frames.centre.astype(np.float32).T[..., None]
    # Written out: matmul is several times slower on stacks of 2 x 2.
    return np.stack([across * a + down * c + x, across * b + down * d + y])


def narrowest(field: EdgeField, frames: Frames) -> Array:
    """Return the narrowest chamfers (N,) whose two edges are told apart, in near radii."""
    return np.maximum(_NARROWEST_STEPS * field.step, _NARROWEST_PX / frames.radius_px)


def tilts(frames: Frames) -> tuple[Array, Array]:
    """Return the tilt's tangent (N,) and the minor axis (N, 2) of ellipses."""
    values, vectors = np.linalg.eigh(frames.matrix)
    ratio = np.clip(np.abs(values[:, 0] / values[:, 1]), 0.3, 1.0)
    return np.sqrt(1 - ratio**2) / ratio, vectors[:, :, 0]
