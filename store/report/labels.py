"""Where on a picture to stamp numbers: labels that hide no hole, on leaders that never cross.

Plane geometry in points of the printed figure, y downwards. First the labels are tried on the
metal beside their holes; where a crowd leaves no room, all of them go to the margins, sorted so
that no two leaders cross.
"""

from collections.abc import Sequence
from math import cos, hypot, inf, pi, sin

from msgspec import Struct

CLEAR_PT = 8.0  # around a hole: no label comes nearer
_GAP_PT = 1.5
_EDGE_PT = 1.0
_LEADER_CLEAR_PT = 4.0  # of somebody else's hole
_REACHES_PT = (15.0, 22.0, 31.0, 42.0, 56.0, 74.0, 96.0)
_DIRECTIONS = 16
_TRIES = 6
_LINE_PT = 2.5  # between labels in a margin


class Hole(Struct, frozen=True):
    """A place to be labelled, and how large its label is."""

    x: float
    y: float
    width: float
    height: float


class Label(Struct, frozen=True):
    """A label: its box's corner and size, and its leader from the hole to the box."""

    left: float
    top: float
    width: float
    height: float
    from_x: float
    from_y: float
    to_x: float
    to_y: float


class Layout(Struct, frozen=True):
    """The labels in the order of the holes; ``margin`` and ``height`` are those of the figure.

    ``margin`` is left free on either side of the picture, 0 where the labels lie on it; then x
    may be negative. ``height`` is at least the picture's.
    """

    labels: tuple[Label, ...]
    margin: float
    height: float


def laid_out(holes: Sequence[Hole], width: float, height: float) -> Layout:
    """Return labels for the holes of a picture of this size, beside them or in the margins."""
    nearest = [_nearest(hole, holes) for hole in holes]
    order = sorted(range(len(holes)), key=lambda n: (nearest[n], n))
    for _ in range(_TRIES):
        found, failed = _beside(holes, order, width, height)
        if failed is None:
            return Layout(tuple(found[n] for n in range(len(holes))), 0.0, height)
        # The one that found no room chooses first the next time.
        order = [failed, *(n for n in order if n != failed)]
    return _in_the_margins(holes, width, height)


def _nearest(hole: Hole, holes: Sequence[Hole]) -> float:
    return min((hypot(o.x - hole.x, o.y - hole.y) for o in holes if o is not hole), default=inf)


def _beside(
    holes: Sequence[Hole], order: list[int], width: float, height: float
) -> tuple[dict[int, Label], int | None]:
    """Return labels beside their holes, and the first hole that there was no room for."""
    found: dict[int, Label] = {}
    for n in order:
        others = [hole for m, hole in enumerate(holes) if m != n]
        for label in _candidates(holes[n]):
            fits = _is_inside(label, width, height) and _is_clear(label, holes[n], others)
            if fits and not any(_is_in_the_way(label, there) for there in found.values()):
                found[n] = label
                break
        else:
            return found, n
    return found, None


def _candidates(hole: Hole) -> list[Label]:
    """Return the labels that a hole may have, the shortest leader first, upper right first."""
    made = []
    for reach in _REACHES_PT:
        for turn in range(_DIRECTIONS):
            angle = -pi / 4 + 2 * pi * turn / _DIRECTIONS
            dx, dy = cos(angle), sin(angle)
            # The box touches the end of the leader with the point of it that faces the hole.
            across = reach + abs(dx) * hole.width / 2 + abs(dy) * hole.height / 2
            left = hole.x + dx * across - hole.width / 2
            top = hole.y + dy * across - hole.height / 2
            made.append(_label(hole, left, top))
    return made


def _label(hole: Hole, left: float, top: float) -> Label:
    to_x = min(max(hole.x, left), left + hole.width)
    to_y = min(max(hole.y, top), top + hole.height)
    return Label(left, top, hole.width, hole.height, hole.x, hole.y, to_x, to_y)


def _is_inside(label: Label, width: float, height: float) -> bool:
    return (
        label.left >= _EDGE_PT
        and label.top >= _EDGE_PT
        and label.left + label.width <= width - _EDGE_PT
        and label.top + label.height <= height - _EDGE_PT
    )


def _is_clear(label: Label, own: Hole, others: list[Hole]) -> bool:
    """Return whether a label hides no hole and its leader runs through nobody else's."""
    if distance_to_box(own, label) < CLEAR_PT:
        return False
    return all(
        distance_to_box(hole, label) >= CLEAR_PT
        and (_together(hole, own) or _distance_to_leader(hole, label) >= _LEADER_CLEAR_PT)
        for hole in others
    )


def _together(a: Hole, b: Hole) -> bool:
    """Return whether two holes are one on the print: then each leader may start in the other."""
    return hypot(a.x - b.x, a.y - b.y) < _LEADER_CLEAR_PT


def distance_to_box(hole: Hole, label: Label) -> float:
    """Return how far a hole's centre is from a label's box, 0 inside it."""
    dx = max(label.left - hole.x, 0.0, hole.x - label.left - label.width)
    dy = max(label.top - hole.y, 0.0, hole.y - label.top - label.height)
    return hypot(dx, dy)


def _distance_to_leader(hole: Hole, label: Label) -> float:
    ax, ay = label.from_x, label.from_y
    bx, by = label.to_x - ax, label.to_y - ay
    length = bx * bx + by * by
    along = ((hole.x - ax) * bx + (hole.y - ay) * by) / length if length else 0.0
    along = min(1.0, max(0.0, along))
    return hypot(hole.x - ax - along * bx, hole.y - ay - along * by)


def _is_in_the_way(a: Label, b: Label) -> bool:
    return (
        boxes_overlap(a, b, _GAP_PT)
        or leaders_cross(a, b)
        or _leader_meets_box(a, b)
        or _leader_meets_box(b, a)
    )


def boxes_overlap(a: Label, b: Label, gap: float = 0.0) -> bool:
    """Return whether two labels lie over each other, or nearer than ``gap``."""
    return (
        a.left < b.left + b.width + gap
        and b.left < a.left + a.width + gap
        and a.top < b.top + b.height + gap
        and b.top < a.top + a.height + gap
    )


def leaders_cross(a: Label, b: Label) -> bool:
    """Return whether two leaders cross; those of one and the same hole may begin together."""
    if (a.from_x, a.from_y) == (b.from_x, b.from_y):
        return False
    ends = (a.from_x, a.from_y, a.to_x, a.to_y), (b.from_x, b.from_y, b.to_x, b.to_y)
    return _cross(*ends[0], *ends[1])


def _cross(
    ax: float, ay: float, bx: float, by: float, cx: float, cy: float, dx: float, dy: float
) -> bool:
    def side(px: float, py: float, qx: float, qy: float, rx: float, ry: float) -> float:
        return (qx - px) * (ry - py) - (qy - py) * (rx - px)

    one = side(ax, ay, bx, by, cx, cy) * side(ax, ay, bx, by, dx, dy)
    two = side(cx, cy, dx, dy, ax, ay) * side(cx, cy, dx, dy, bx, by)
    return one < 0 and two < 0


def _leader_meets_box(leader: Label, box: Label) -> bool:
    left, top = box.left - _GAP_PT, box.top - _GAP_PT
    right, bottom = box.left + box.width + _GAP_PT, box.top + box.height + _GAP_PT
    ends = (leader.from_x, leader.from_y, leader.to_x, leader.to_y)
    if left < ends[0] < right and top < ends[1] < bottom:
        return True
    corners = ((left, top), (right, top), (right, bottom), (left, bottom), (left, top))
    return any(_cross(*ends, *corners[n], *corners[n + 1]) for n in range(4))


def _in_the_margins(holes: Sequence[Hole], width: float, height: float) -> Layout:
    order = sorted(range(len(holes)), key=lambda n: (holes[n].x, holes[n].y))
    half = (len(order) + 1) // 2
    margin = max(hole.width for hole in holes) + CLEAR_PT
    tall = max(hole.height for hole in holes) + _LINE_PT
    full = max(height, half * tall)
    labels: dict[int, Label] = {}
    for side, members in (("left", order[:half]), ("right", order[half:])):
        edge = -CLEAR_PT if side == "left" else width + CLEAR_PT
        labels |= _column([(n, holes[n]) for n in members], edge, full, side=side)
    return Layout(tuple(labels[n] for n in range(len(holes))), margin, full)


def _column(
    members: list[tuple[int, Hole]], edge: float, full: float, *, side: str
) -> dict[int, Label]:
    """Return the labels of one margin: slots evenly spaced, leaders uncrossed."""
    step = full / max(1, len(members))
    members = sorted(members, key=lambda each: (each[1].y, each[0]))
    slots = list(range(len(members)))

    def made(at: int) -> Label:
        n, slot = at, slots[at]
        hole = members[n][1]
        top = step * (slot + 0.5) - hole.height / 2
        left = edge - hole.width if side == "left" else edge
        return Label(
            left, top, hole.width, hole.height, hole.x, hole.y, edge, top + hole.height / 2
        )

    # Two that cross change places: that shortens the two leaders together, so it comes to an end.
    crossed = True
    while crossed:
        crossed = False
        for a in range(len(members)):
            for b in range(a):
                if leaders_cross(made(a), made(b)):
                    slots[a], slots[b] = slots[b], slots[a]
                    crossed = True
    return {members[at][0]: made(at) for at in range(len(members))}
