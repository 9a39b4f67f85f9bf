"""Where the plates of many locations stand: on short leaders that never cross. No Qt in here.

Coordinates are pixels of the screen, y down. A plate hides no place and no other plate; a leader
crosses no other leader, runs under no plate and through nobody else's place. The most crowded
place chooses first; one that finds no room gets no plate, and chooses first in the next round.
"""

from collections.abc import Sequence
from math import hypot, inf
from typing import NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

CLEAR_PX = 18.0  # round a place: no plate comes nearer, unless more is asked for
LEADER_CLEAR_PX = 9.0  # of somebody else's place
GAP_PX = 4.0  # between plates, from the edge, and of a leader from somebody else's plate
_REACHES_PX = (4.0, 18.0, 36.0, 62.0, 98.0, 146.0)  # and as much as is kept clear
_DIRECTIONS = 16
_TRIES = 3
_AT_A_TIME = 16
_MANY = 40  # so many are laid out once: what finds no room is on a list beside

Pair = tuple[float, float]
_Reals: TypeAlias = npt.NDArray[np.float64]
_Flags: TypeAlias = npt.NDArray[np.bool_]


class Box(NamedTuple):
    """An upright rectangle."""

    left: float
    top: float
    width: float
    height: float


class Plate(NamedTuple):
    """A plate and its leader, from the place to the plate's nearest point."""

    box: Box
    foot: Pair
    end: Pair


class _Plates(NamedTuple):
    """Plates as columns: left, top, right, bottom, foot x, foot y, end x, end y; a row each."""

    left: _Reals
    top: _Reals
    right: _Reals
    bottom: _Reals
    foot_x: _Reals
    foot_y: _Reals
    end_x: _Reals
    end_y: _Reals

    def rows(self, which: npt.NDArray[np.bool_] | npt.NDArray[np.int64]) -> "_Plates":
        """Return some of the rows."""
        return _Plates(*(column[which] for column in self))


def laid_out(
    places: Sequence[Pair],
    sizes: Sequence[Pair],
    room: Box,
    *,
    whole: bool = False,
    clear: float = CLEAR_PX,
) -> tuple[Plate | None, ...]:
    """Return the plate of each place (width, height as given), None where there is no room.

    Each of three rounds begins with those that found none; the fullest one is returned.
    ``whole``: all or none, for a caller that has another way to show what is crowded. ``clear`` is
    how much of the metal round each place stays in sight.
    """
    if not places:
        return ()
    choices = [_choices(n, places, sizes[n], room, clear) for n in range(len(places))]
    order = sorted(range(len(places)), key=lambda n: (_nearest(places[n], places), n))
    best: dict[int, _Plates] = {}
    for _ in range(_TRIES if len(places) <= _MANY else 1):
        found, failed = _round(choices, order, whole=whole)
        best = max(best, found, key=len)
        if not failed:
            break
        order = [*failed, *(n for n in order if n not in failed)]
    if whole and len(best) < len(places):
        best = {}
    return tuple(_plate(best[n]) if n in best else None for n in range(len(places)))


def _round(
    choices: list[_Plates], order: list[int], *, whole: bool
) -> tuple[dict[int, _Plates], list[int]]:
    found: dict[int, _Plates] = {}
    failed: list[int] = []
    for n in order:
        plate = _first_free(choices[n], list(found.values()))
        if plate is not None:
            found[n] = plate
            continue
        failed.append(n)
        if whole:
            break
    return found, failed


def _first_free(choices: _Plates, placed: list[_Plates]) -> _Plates | None:
    """Return the first choice that is in nobody's way, as one row; None if there is none."""
    if not placed:
        return choices.rows(np.arange(min(1, len(choices.left)))) if len(choices.left) else None
    there = _Plates(*(np.concatenate(column) for column in zip(*placed, strict=True)))
    # A few at a time: mostly one of the shortest leaders will do.
    for start in range(0, len(choices.left), _AT_A_TIME):
        some = choices.rows(np.arange(start, min(start + _AT_A_TIME, len(choices.left))))
        free = np.flatnonzero(~_meet(some, there))
        if len(free):
            return some.rows(free[:1])
    return None


def _nearest(place: Pair, places: Sequence[Pair]) -> float:
    apart = (hypot(x - place[0], y - place[1]) for x, y in places)
    return min((each for each in apart if each > 0), default=inf)


def _choices(n: int, places: Sequence[Pair], size: Pair, room: Box, clear: float) -> _Plates:
    """Return the plates a place may have, the shortest leader first, that hide nobody's place."""
    (x, y), (width, height) = places[n], size
    # The plate touches the end of the leader with the side that faces the place.
    left = x + _TURNS_X * (_REACHES + clear + np.abs(_TURNS_X) * width / 2) - width / 2
    top = y + _TURNS_Y * (_REACHES + clear + np.abs(_TURNS_Y) * height / 2) - height / 2
    right, bottom = left + width, top + height
    end_x, end_y = np.clip(x, left, right), np.clip(y, top, bottom)
    foot_x, foot_y = np.full_like(left, x), np.full_like(left, y)
    made = _Plates(left, top, right, bottom, foot_x, foot_y, end_x, end_y)
    fits = (
        (left >= room.left + GAP_PX)
        & (top >= room.top + GAP_PX)
        & (right <= room.left + room.width - GAP_PX)
        & (bottom <= room.top + room.height - GAP_PX)
        & (np.hypot(end_x - x, end_y - y) >= clear)
    )
    others = np.array([place for m, place in enumerate(places) if m != n]).reshape(-1, 2)
    return made.rows(fits & ~_hides(made, others, clear))


# Up and to the right first: a right hand that points hides what lies below.
_ANGLES = -np.pi / 4 + 2 * np.pi * np.arange(_DIRECTIONS) / _DIRECTIONS
_TURNS_X = np.tile(np.cos(_ANGLES), len(_REACHES_PX))
_TURNS_Y = np.tile(np.sin(_ANGLES), len(_REACHES_PX))
_REACHES = np.repeat(np.array(_REACHES_PX), _DIRECTIONS)


def _hides(plates: _Plates, others: _Reals, clear: float) -> _Flags:
    """Return which plates, or their leaders, lie on somebody else's place."""
    p = _Plates(*(column[:, None] for column in plates))
    x, y = others[:, 0][None, :], others[:, 1][None, :]
    under = (
        (p.left - clear < x) & (x < p.right + clear) & (p.top - clear < y) & (y < p.bottom + clear)
    )
    bx, by = p.end_x - p.foot_x, p.end_y - p.foot_y
    along = ((x - p.foot_x) * bx + (y - p.foot_y) * by) / (bx * bx + by * by)
    along = np.clip(along, 0.0, 1.0)
    near = np.hypot(x - p.foot_x - along * bx, y - p.foot_y - along * by) < LEADER_CLEAR_PX
    # Two that are one on the screen: each leader may start in the other.
    together = np.hypot(x - p.foot_x, y - p.foot_y) < LEADER_CLEAR_PX
    return np.asarray((under | (near & ~together)).any(axis=1), bool)


def _meet(plates: _Plates, placed: _Plates) -> _Flags:
    """Return which plates are in the way of one that is placed, they or their leaders."""
    a = _Plates(*(column[:, None] for column in plates))
    b = _Plates(*(column[None, :] for column in placed))
    overlap = (
        (a.left < b.right + GAP_PX)
        & (b.left < a.right + GAP_PX)
        & (a.top < b.bottom + GAP_PX)
        & (b.top < a.bottom + GAP_PX)
    )
    one_foot = (a.foot_x == b.foot_x) & (a.foot_y == b.foot_y)
    ends_a = (a.foot_x, a.foot_y, a.end_x, a.end_y)
    ends_b = (b.foot_x, b.foot_y, b.end_x, b.end_y)
    cross = ~one_foot & _cross(ends_a, ends_b)
    meets = overlap | cross | _runs_under(ends_a, b) | _runs_under(ends_b, a)
    return np.asarray(meets.any(axis=1), bool)


_Ends: TypeAlias = tuple[_Reals, _Reals, _Reals, _Reals]


def _runs_under(ends: _Ends, box: _Plates) -> _Flags:
    """Return whether leaders run under plates, or close by them."""
    left, top = box.left - GAP_PX, box.top - GAP_PX
    right, bottom = box.right + GAP_PX, box.bottom + GAP_PX
    ax, ay, bx, by = ends
    inside = ((left < ax) & (ax < right) & (top < ay) & (ay < bottom)) | (
        (left < bx) & (bx < right) & (top < by) & (by < bottom)
    )
    return (
        inside | _cross(ends, (left, top, right, bottom)) | _cross(ends, (right, top, left, bottom))
    )


def _cross(one: _Ends, other: _Ends) -> _Flags:
    """Return whether segments cross or touch."""
    ax, ay, bx, by = one
    cx, cy, dx, dy = other

    def side(px: _Reals, py: _Reals, qx: _Reals, qy: _Reals, rx: _Reals, ry: _Reals) -> _Reals:
        return (qx - px) * (ry - py) - (qy - py) * (rx - px)

    apart = side(ax, ay, bx, by, cx, cy) * side(ax, ay, bx, by, dx, dy) > 0
    return ~(apart | (side(cx, cy, dx, dy, ax, ay) * side(cx, cy, dx, dy, bx, by) > 0))


def _plate(row: _Plates) -> Plate:
    left, top, right, bottom, foot_x, foot_y, end_x, end_y = (float(c[0]) for c in row)
    return Plate(Box(left, top, right - left, bottom - top), (foot_x, foot_y), (end_x, end_y))
