"""The near hole's edges taken together: a chamfer's top, the drilled edge, the hole's own far edge.

All three are the same circle in parallel planes, wider by the chamfer's width above and no wider
below, so seen aslant they have one shape and are moved along its minor axis by their depth times
the tilt's tangent; deeper ones look smaller by their depth per distance. A ring alone may be any
of them, or piece two together; the stack whose edges show best is the hole. Which ring is which
edge may stay open where the hole is seen squarely: what the runners-up say is told as a doubt.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from msgspec import Struct

from annotate.edge_field import EdgeField
from annotate.follow import follow
from annotate.halvings import Pyramid
from annotate.many import moved, unlike
from annotate.polar import Array, Frame, Mask, circle, harmonics
from annotate.rings import Ring
from annotate.wall_hint import WallHint

_ANGLES: Final = 120
_UNKNOWNS: Final = 11
_UNIT: Final = circle(_ANGLES)
_SHAPE: Final = harmonics(2 * np.pi * np.arange(_ANGLES) / _ANGLES, 3)
_TRIED: Final = 12  # rings that are each tried as drilled edge and as a chamfer's top
_SEEN: Final = 0.35  # support below which a ring is not tried
_CHAMFERS: Final = (0.012, 0.025, 0.045, 0.075, 0.12, 0.17, 0.23)  # near radii, to start from
_WIDEST: Final = 0.35
_STEEP: Final = (0.5, 1.4)  # depth of a chamfer per width of it: 27 to 54 degrees
_NARROWEST_PX: Final = 3.0  # edges nearer to each other are one
_NARROWEST_STEPS: Final = 2.2  # of the field's samples
_KEPT: Final = 40
_CHANCE: Final = 0.42  # edge strength that a circle may meet without being an edge
_ONE_MORE: Final = 0.05  # edge strength asked of a chamfer's top beyond chance: the simpler wins
_OUTERMOST: Final = 0.7  # worth of a stack per its size: what lies outside it is unexplained
_STRAY: Final = 0.03  # worth lost by a far edge as far from where it is foretold as it may be
_NARROW: Final = 0.005  # near radii within which an edge is met by chance once in a while
_CRESCENT: Final = 0.018  # near radii that a far edge must lie inside the near one to be seen
_SHARE: Final = 0.3  # weight of the far edge's points: it may be another edge altogether
_MOVES: Final = 0.06  # near radii that an edge is moved at once
_BEND: Final = 0.03
_RIVAL: Final = 0.1  # worth below the best at which another stack is out of question
_SAME_PX: Final = 1.2  # radii that differ by less are of one edge, differently met
_BORNE_OUT: Final = 0.05  # worth of a far edge that no other outline would have there
_TOLD: Final = 0.15  # of a chamfer's width: a doubt below which it is plain that there is one
_PLACED: Final = 0.05  # of a chamfer's width: how well its lower edge is told from it
_ASSUMED_WALL: Final = (0.5, 0.3)  # near radii, where nothing is typed
_ORDINARY_FOCAL: Final = 45 / 43.27  # diagonals of the picture: 45 mm on 36 x 24 mm
_UNKNOWN_FOCAL, _KNOWN_FOCAL = 0.35, 0.04  # relative uncertainty


class Stack(Struct, frozen=True):
    """The drilled edge as a ring, with the doubt which edge it is, and the chamfer's width.

    ``chamfer`` is in radii of the drilled edge, 0 where none shows; ``strength`` how plainly the
    drilled edge shows, 0 to 1, and what the far edge adds to it where it is foretold.
    """

    ring: Ring
    chamfer: float
    strength: float


class _Trials(NamedTuple):
    """Many stacks: drilled edges, bends (N, 2), widths of the chamfer (N,), leans (N,) of +-1.

    ``steep`` (N,) is how deep a chamfer goes per width of it.

    ``back`` (N, 2) says how far the far edge lies off what is foretold: in radius and in move,
    both in near radii, within ``slack`` (N, 2).
    """

    frames: list[Frame]
    bend: Array
    chamfer: Array
    lean: Array
    steep: Array
    back: Array
    slack: Array

    def pick(self, which: "np.ndarray[tuple[int], np.dtype[np.intp]]") -> "_Trials":
        return _Trials(
            [self.frames[i] for i in which.tolist()],
            *(values[which] for values in self[1:]),
        )


class _Edges(NamedTuple):
    """The three edges of many stacks in pixels (N, angles, 2), and where the far one shows."""

    near: Array
    top: Array
    back: Array
    shows: Mask
    along: Array
    tangent: Array


def drilled_of(
    levels: Pyramid, rings: Sequence[Ring], outer: Ring, hint: WallHint | None
) -> Stack | None:
    """Return the stack that the rings found round a click make, or None if there are none.

    ``outer``: the one of them that all edges of the hole lie near, in size and place;
    ``hint`` tells the wall where it was typed, else an ordinary one is assumed.
    """
    ranked = sorted(rings, key=lambda r: -r.support)
    frames = [r.frame for r in ranked if r.support > _SEEN]
    if not frames:
        return None
    field = EdgeField(levels, outer.frame)
    foretold = _Foretold(levels, hint)
    trials = foretold.trials([frames[i] for i in unlike(frames, 0.015, _TRIED)], field)
    for band in (0.03, 0.02):
        trials = _settled(field, foretold, trials, band, back=0.0)
    worth = _worth(field, foretold, trials)
    trials = trials.pick(np.argsort(-worth, kind="stable")[:_KEPT])
    trials = _with_back(field, foretold, trials)
    for band in (0.015, 0.012, 0.012):
        trials = _settled(field, foretold, trials, band, back=_SHARE)
    worth = _worth(field, foretold, trials)
    order = np.argsort(-worth, kind="stable")
    trials, worth = trials.pick(order), worth[order]
    best, chamfer = trials.frames[0], float(trials.chamfer[0])
    apart = np.abs([f.radius_px - best.radius_px for f in trials.frames])
    apart[apart < _SAME_PX] = 0
    doubt = float(np.max(0.5 * apart * np.clip(1 - (worth[0] - worth) / _RIVAL, 0, 1)))
    wanted = min(best.radius_px, 200.0)
    ring = follow(levels, [best], (0.012, 0.008), wanted, calm_inside=chamfer > 0)[0]
    plain = chamfer if doubt < _TOLD * chamfer * best.radius_px else 0.0
    doubt = float(np.hypot(doubt, _PLACED * chamfer * best.radius_px))
    first = trials.pick(np.array([0]))
    edges = foretold.edges(first)
    far = float(_far_worth(field, edges, first)[0])
    strength = float(field.strength(edges.near).mean()) + far
    ring = Ring(ring.frame, ring.support, ring.bend, doubt, plain, far > _BORNE_OUT)
    return Stack(ring, chamfer, strength)


class _Foretold:
    """Where the far edge lies below a drilled edge, from what is known of wall and lens."""

    def __init__(self, levels: Pyramid, hint: WallHint | None) -> None:
        height, width = levels.levels[0].shape
        known = hint.focal_px if hint is not None else None
        self._focal_px = known or _ORDINARY_FOCAL * float(np.hypot(height, width))
        self._u_focal = _KNOWN_FOCAL if known else _UNKNOWN_FOCAL
        self._wall, u_wall = (hint.radii, hint.u_radii) if hint else _ASSUMED_WALL
        self._u_wall = u_wall / self._wall

    def trials(self, frames: Sequence[Frame], field: EdgeField) -> _Trials:
        """Return each ring as a drilled edge, without and below a chamfer, and as its top."""
        found: list[tuple[Frame, float, float]] = []
        for frame in frames:
            narrowest = _narrowest(field, frame)
            widths = [w for w in _CHAMFERS if w >= narrowest] or [narrowest]
            tangent, along = _tilts([frame])
            for lean in (1.0, -1.0):
                found.append((frame, 0.0, lean))
                for width in widths:
                    found.append((frame, width, lean))
                    down = lean * width * tangent[0] * along[0] / (1 + width)
                    found.append((frame.shifted(down).grown(1 / (1 + width)), width, lean))
        drilled = [f for f, _, _ in found]
        chamfer, lean_of = (np.array(v) for v in list(zip(*found, strict=True))[1:])
        zero = np.zeros((len(found), 2))
        return _Trials(
            drilled, zero, chamfer, lean_of, np.ones(len(found)), zero, self._slack(drilled)
        )

    def _slack(self, frames: Sequence[Frame]) -> Array:
        tangent, _ = _tilts(frames)
        ratio = 1 / np.sqrt(1 + tangent**2)
        # A saddle-shaped rim and the fit blur the ratio of the axes by about this much.
        low, high = (np.sqrt(1 / np.minimum(ratio + s * 0.008, 1) ** 2 - 1) for s in (1, -1))
        move = self._wall * np.maximum(high - tangent, tangent - low)
        spread = 2 * np.hypot(self._u_wall, self._u_focal)
        radius = min(float(spread), 0.7) * self._smaller(frames) + 0.004
        return np.stack([radius, move + 2 * self._wall * self._u_wall * high + 0.012], axis=1)

    def _smaller(self, frames: Sequence[Frame]) -> Array:
        size = np.array([f.radius_px for f in frames])
        return np.clip(self._wall * size / self._focal_px, 0, 0.08)

    def edges(self, trials: _Trials) -> _Edges:
        """Return where the edges of stacks run."""
        matrix = np.array([f.a for f in trials.frames]).reshape(-1, 2, 2)
        centre = np.array([(f.cx, f.cy) for f in trials.frames])[:, None]
        tangent, along = _tilts(trials.frames)
        shape = 1 + trials.bend @ _SHAPE[:, 5:].T

        def laid_out(radius: Array, move: Array) -> Array:
            unit = _UNIT * (shape * radius[:, None])[..., None] + (move[:, None] * along)[:, None]
            return np.asarray(unit @ matrix + centre)

        cosine = 1 / np.sqrt(1 + tangent**2)
        radius = 1 - self._smaller(trials.frames) * cosine + trials.back[:, 0]
        move = trials.lean * np.maximum(self._wall * tangent + trials.back[:, 1], 0)
        below = _UNIT * radius[:, None, None] + (move[:, None] * along)[:, None]
        shows = np.hypot(below[..., 0], below[..., 1]) < 1 - _CRESCENT
        return _Edges(
            laid_out(np.ones_like(move), np.zeros_like(move)),
            laid_out(1 + trials.chamfer, -trials.lean * trials.steep * trials.chamfer * tangent),
            laid_out(np.minimum(radius, 0.995), move),
            shows,
            along,
            tangent,
        )


def _narrowest(field: EdgeField, frame: Frame) -> float:
    """Return the narrowest chamfer whose two edges are told apart, in near radii."""
    return max(_NARROWEST_STEPS * field.step, _NARROWEST_PX / frame.radius_px)


def _tilts(frames: Sequence[Frame]) -> tuple[Array, Array]:
    """Return the tilt's tangent (N,) and the minor axis (N, 2) of ellipses."""
    values, vectors = np.linalg.eigh(np.array([f.a for f in frames]).reshape(-1, 2, 2))
    ratio = np.clip(np.abs(values[:, 0] / values[:, 1]), 0.3, 1.0)
    return np.sqrt(1 - ratio**2) / ratio, vectors[:, :, 0]


def _worth(field: EdgeField, foretold: _Foretold, trials: _Trials) -> Array:
    """Return how well each stack's edges show (N,)."""
    edges = foretold.edges(trials)
    near, top = (field.strength(p).mean(axis=1) for p in (edges.near, edges.top))
    with_top = trials.chamfer > 0
    size = np.log([f.radius_px for f in trials.frames]) + np.log1p(trials.chamfer)
    worth = near - _CHANCE + _OUTERMOST * (size - size.max()) + _far_worth(field, edges, trials)
    worth = worth + np.where(with_top, top - _CHANCE - _ONE_MORE, 0)
    # A top that is no edge would make any stack larger.
    return np.where(with_top & (top < _CHANCE), -np.inf, worth)


def _far_worth(field: EdgeField, edges: _Edges, trials: _Trials) -> Array:
    met = (field.strength(edges.back) * edges.shows).sum(axis=1)
    shown = np.maximum(edges.shows.sum(axis=1), 1)
    plain = np.maximum(met / shown - _CHANCE, 0) * edges.shows.mean(axis=1)
    stray = (trials.back / trials.slack) ** 2 @ np.array([1.0, 0.5])
    # The wider the places it may be in, the less it says that an edge is there.
    stray += np.log(np.maximum(trials.slack[:, 0] / _NARROW, 1))
    return np.asarray(np.maximum(plain - _STRAY * stray, 0))


def _with_back(field: EdgeField, foretold: _Foretold, trials: _Trials) -> _Trials:
    """Return stacks with the far edge where it shows best, within what is foretold."""
    best = np.full(len(trials.frames), -np.inf)
    back = trials.back.copy()
    for smaller in np.linspace(-1, 1, 9):
        for move in (-1.0, -0.5, 0.0, 0.5, 1.0):
            tried = trials._replace(back=trials.slack * (smaller, move))
            worth = _far_worth(field, foretold.edges(tried), tried)
            better = worth > best
            best[better], back[better] = worth[better], tried.back[better]
    return trials._replace(back=back)


def _settled(
    field: EdgeField, foretold: _Foretold, trials: _Trials, band: float, back: float
) -> _Trials:
    """Return stacks pulled onto the edges beside them, all edges of one together.

    Unknown are seven harmonics that all edges share, the chamfer's width and steepness, and the far
    edge's radius and move; ``back`` is the weight of the far edge's points.
    """
    edges = foretold.edges(trials)
    count = len(trials.frames)
    towards = np.einsum("ai,ni->na", _UNIT, edges.along) * trials.lean[:, None]
    terms = np.zeros((count, 3, _ANGLES, _UNKNOWNS))
    terms[..., :7] = _SHAPE
    sideways = towards * edges.tangent[:, None]
    terms[:, 1, :, 7] = 1 - trials.steep[:, None] * sideways
    terms[:, 1, :, 10] = -trials.chamfer[:, None] * sideways
    terms[:, 2, :, 8], terms[:, 2, :, 9] = 1, towards
    design = terms.reshape(count, -1, _UNKNOWNS)
    found = [field.nearest(points, band) for points in (edges.near, edges.top, edges.back)]
    value = np.concatenate([v for v, _ in found], axis=1)
    near, top, far = (strength**2 for _, strength in found)
    parts = [near, top * (trials.chamfer > 0)[:, None], far * back * edges.shows]
    weight = np.concatenate(parts, axis=1)
    hold = np.array([1e-6] * 5 + [0.02, 0.02, 1e-3, 0.006, 0.006, 1e-5]) * 0.2 * _ANGLES
    pull = np.zeros((count, _UNKNOWNS))
    pull[:, 8:10] = -hold[8:10] * trials.back
    pull[:, 10] = -hold[10] * (trials.steep - 1)
    use, step = weight, np.zeros((count, _UNKNOWNS))
    for _ in range(5):
        normal = (design * use[..., None]).transpose(0, 2, 1)
        right = (normal @ value[..., None])[..., 0] + pull
        step = np.linalg.solve(normal @ design + np.diag(hold), right[..., None])[..., 0]
        left = np.clip(np.abs(value - (design @ step[..., None])[..., 0]) / band, 0, 1)
        use = weight * (1 - left**2) ** 2
    steep = np.clip(trials.steep + step[:, 10], *_STEEP)
    step = np.clip(step, -_MOVES, _MOVES)
    narrowest = np.array(
        [max(2.2 * field.step, _NARROWEST_PX / f.radius_px) for f in trials.frames]
    )
    wider = np.clip(trials.chamfer + step[:, 7], narrowest, _WIDEST)
    return trials._replace(
        frames=moved(trials.frames, step[:, :5]),
        bend=np.clip(trials.bend + step[:, 5:7], -_BEND, _BEND),
        chamfer=np.where(trials.chamfer > 0, wider, 0),
        steep=steep,
        back=np.clip(trials.back + step[:, 8:10], -trials.slack, trials.slack),
    )
