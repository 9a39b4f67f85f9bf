"""The near hole's edges taken together: a chamfer's top, the drilled edge, the hole's own far edge.

A ring alone may be any of them, or piece two together; where one runs the others must run too
(``hole_edges``), and the stack of three whose edges show best is the hole. Which ring is which edge
may stay open where the hole is seen squarely: what the runners-up say is told as a doubt.
"""

from collections.abc import Sequence
from itertools import product
from typing import Final

import numpy as np
from msgspec import Struct

from annotate.near_edges.edge_field import EdgeField
from annotate.near_edges.follow import follow
from annotate.near_edges.hole_edges import COARSE, FarEdge, Foretold, Trials, narrowest
from annotate.near_edges.many import Frames, unlike
from annotate.near_edges.rings import Ring
from annotate.near_edges.stack_fit import Seen, least_squares
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import Array
from annotate.wall_hint import WallHint

_UNKNOWNS: Final = 11
_TRIED: Final = 12  # rings that are each tried as drilled edge and as a chamfer's top
_SEEN: Final = 0.35  # support below which a ring is not tried
_WIDEST: Final = 0.35
_STEEP: Final = (0.5, 1.4)  # depth of a chamfer per width of it: 27 to 54 degrees
_ROUGHLY_KEPT, _KEPT = 120, 40  # stacks that are looked at again
_CHANCE: Final = 0.42  # edge strength that a circle may meet without being an edge
_ONE_MORE: Final = 0.05  # edge strength asked of a chamfer's top beyond chance: the simpler wins
_OUTERMOST: Final = 0.7  # worth of a stack per its size: what lies outside it is unexplained
_STRAY: Final = 0.03  # worth lost by a far edge as far from where it is foretold as it may be
_NARROW: Final = 0.005  # near radii within which an edge is met by chance once in a while
_SHARE: Final = 0.3  # weight of the far edge's points: it may be another edge altogether
_MOVES: Final = 0.06  # near radii that an edge is moved at once
_BEND: Final = 0.03
_RIVAL: Final = 0.1  # worth below the best at which another stack is out of question
_SAME_PX: Final = 1.2  # radii that differ by less are of one edge, differently met
_BORNE_OUT: Final = 0.05  # worth of a far edge that no other outline would have there
_TOLD: Final = 0.15  # of a chamfer's width: a doubt below which it is plain that there is one
_PLACED: Final = 0.05  # of a chamfer's width: how well its lower edge is told from it


class Stack(Struct, frozen=True):
    """The drilled edge as a ring, with the doubt which edge it is, and the chamfer's width.

    ``chamfer`` is in radii of the drilled edge, 0 where none shows; ``strength`` how plainly the
    drilled edge shows, 0 to 1, and what the far edge adds to it where it is foretold.
    """

    ring: Ring
    chamfer: float
    strength: float


def drilled_of(
    levels: Pyramid, rings: Sequence[Ring], outer: Ring, hint: WallHint | None
) -> Stack | None:
    """Return the stack that the rings found round a click make, or None if there are none.

    ``outer``: the one of them that all edges of the hole lie near, in size and place;
    ``hint`` tells the wall where it was typed, else an ordinary one is assumed.
    """
    ranked = sorted(rings, key=lambda r: -r.support)
    frames = Frames.of([r.frame for r in ranked if r.support > _SEEN])
    if not frames.count:
        return None
    field = EdgeField(levels, outer.frame)
    foretold, roughly = Foretold(levels, hint), Foretold(levels, hint, COARSE)
    trials = roughly.trials(frames.pick(unlike(frames, 0.015, _TRIED)), field)
    for looked, band, kept in ((roughly, 0.03, _ROUGHLY_KEPT), (foretold, 0.02, _KEPT)):
        trials = _settled(field, looked, trials, band, back=0.0)
        worth = _worth(field, roughly, trials)
        trials = trials.pick(np.argsort(-worth, kind="stable")[:kept])
    trials = _with_back(field, roughly, trials)
    for band in (0.015, 0.012, 0.012):
        trials = _settled(field, foretold, trials, band, back=_SHARE)
    worth = _worth(field, foretold, trials)
    order = np.argsort(-worth, kind="stable")
    trials, worth = trials.pick(order), worth[order]
    first = trials.pick(np.array([0]))
    best, chamfer = first.frames.each()[0], float(trials.chamfer[0])
    apart = np.abs(trials.frames.radius_px - best.radius_px)
    apart[apart < _SAME_PX] = 0
    doubt = float(np.max(0.5 * apart * np.clip(1 - (worth[0] - worth) / _RIVAL, 0, 1)))
    wanted = min(best.radius_px, 200.0)
    ring = follow(levels, [best], (0.012, 0.008), wanted, calm_inside=chamfer > 0)[0]
    plain = chamfer if doubt < _TOLD * chamfer * best.radius_px else 0.0
    doubt = float(np.hypot(doubt, _PLACED * chamfer * best.radius_px))
    far = float(_far_worth(field, foretold.far(first), first)[0])
    strength = float(field.strength(foretold.edges(first).near).mean()) + far
    ring = Ring(ring.frame, ring.support, ring.bend, doubt, plain, far > _BORNE_OUT)
    return Stack(ring, chamfer, strength)


def _worth(field: EdgeField, foretold: Foretold, trials: Trials) -> Array:
    """Return how well each stack's edges show (N,)."""
    edges = foretold.edges(trials)
    near, top = (field.strength(p).mean(axis=1) for p in (edges.near, edges.top))
    with_top = trials.chamfer > 0
    size = np.log(trials.frames.radius_px) + np.log1p(trials.chamfer)
    worth = near - _CHANCE + _OUTERMOST * (size - size.max())
    worth += _far_worth(field, foretold.far(trials), trials)
    worth = worth + np.where(with_top, top - _CHANCE - _ONE_MORE, 0)
    # A top that is no edge would make any stack larger.
    return np.where(with_top & (top < _CHANCE), -np.inf, worth)


def _far_worth(field: EdgeField, far: FarEdge, trials: Trials) -> Array:
    met = (field.strength(far.back) * far.shows).sum(axis=1)
    shown = np.maximum(far.shows.sum(axis=1), 1)
    plain = np.maximum(met / shown - _CHANCE, 0) * far.shows.mean(axis=1)
    stray = (trials.back / trials.slack) ** 2 @ np.array([1.0, 0.5])
    # The wider the places it may be in, the less it says that an edge is there.
    stray += np.log(np.maximum(trials.slack[:, 0] / _NARROW, 1))
    return np.asarray(np.maximum(plain - _STRAY * stray, 0))


def _with_back(field: EdgeField, foretold: Foretold, trials: Trials) -> Trials:
    """Return stacks with the far edge where it shows best, within what is foretold."""
    tried = np.array(list(product(np.linspace(-1, 1, 9), np.linspace(-1, 1, 5))))
    count = trials.frames.count
    every = trials.pick(np.tile(np.arange(count), len(tried)))
    every = every._replace(back=every.slack * np.repeat(tried, count, axis=0))
    worth = _far_worth(field, foretold.far(every), every).reshape(len(tried), count)
    return trials._replace(back=trials.slack * tried[worth.argmax(axis=0)])


def _settled(
    field: EdgeField, foretold: Foretold, trials: Trials, band: float, back: float
) -> Trials:
    """Return stacks pulled onto the edges beside them, all edges of one together.

    Unknown are seven harmonics that all edges share, the chamfer's width and steepness, and the far
    edge's radius and move; ``back`` is the weight of the far edge's points.
    """
    edges, (unit, shape) = foretold.edges(trials), foretold.around
    towards = np.einsum("ai,ni->na", unit, edges.along) * trials.lean[:, None]
    sideways = towards * edges.tangent[:, None]
    value, strength = field.nearest(edges.near, band)
    seen = [Seen(value, strength**2)]
    value, strength = field.nearest(edges.top, band)
    wider, steeper = 1 - trials.steep[:, None] * sideways, -trials.chamfer[:, None] * sideways
    there = (trials.chamfer > 0)[:, None]
    seen.append(Seen(value, strength**2 * there, ((7, wider), (10, steeper))))
    if back > 0:
        far = foretold.far(trials)
        value, strength = field.nearest(far.back, band)
        own = (8, np.ones_like(towards)), (9, towards)
        seen.append(Seen(value, strength**2 * back * far.shows, own))
    hold = np.array([1e-6] * 5 + [0.02, 0.02, 1e-3, 0.006, 0.006, 1e-5]) * 0.2 * len(unit)
    pull = np.zeros((trials.frames.count, _UNKNOWNS))
    pull[:, 8:10] = -hold[8:10] * trials.back
    pull[:, 10] = -hold[10] * (trials.steep - 1)
    step = least_squares(shape, seen, hold, pull, band)
    steep = np.clip(trials.steep + step[:, 10], *_STEEP)
    step = np.clip(step, -_MOVES, _MOVES)
    least = narrowest(field, trials.frames)
    chamfer = np.clip(trials.chamfer + step[:, 7], least, _WIDEST)
    return trials._replace(
        frames=trials.frames.moved(step[:, :5]),
        bend=np.clip(trials.bend + step[:, 5:7], -_BEND, _BEND),
        chamfer=np.where(trials.chamfer > 0, chamfer, 0),
        steep=steep,
        back=np.clip(trials.back + step[:, 8:10], -trials.slack, trials.slack),
    )
