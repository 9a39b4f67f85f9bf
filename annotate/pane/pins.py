"""Where the plates of many pins stand: near their places, clear of one another. No Qt.

Greedy, the most crowded pin first: of eight directions and three lengths each pin takes the first
whose plate lies on no other plate and no pin's place, and whose leader crosses no other leader.
Where there is none it takes the one that does least harm.
"""

from collections.abc import Sequence
from math import hypot, sqrt

from annotate.marks import PixelPair
from annotate.pane.plates import Rect

LEADERS_PX = (24.0, 48.0, 84.0)
_NEIGHBOUR_PX = 260.0  # farther apart, two pins cannot be in each other's way
_D = 1 / sqrt(2)
# Up and to the right first: a right hand that points hides what lies below.
_DIRECTIONS = ((_D, -_D), (-_D, -_D), (_D, _D), (-_D, _D), (0, -1), (1, 0), (-1, 0), (0, 1))


class _Placed:
    """A plate and its leader, relative to nothing: in the coordinates of the places given."""

    def __init__(self, foot: PixelPair, box: Rect, end: PixelPair) -> None:
        self.foot, self.box, self.end = foot, box, end

    def harms(self, other: "_Placed") -> int:
        """Count what of the two lies on one another."""
        return (
            2 * self.box.meets(other.box)
            + _cross(self.foot, self.end, other.foot, other.end)
            + _runs_under(self.foot, self.end, other.box)
            + _runs_under(other.foot, other.end, self.box)
        )


def laid_out(places: Sequence[PixelPair], sizes: Sequence[tuple[float, float]]) -> list[Rect]:
    """Return the plate (width, height as given) of each place, in the places' coordinates."""
    near = [
        [j for j, q in enumerate(places) if j != i and _apart(p, q) < _NEIGHBOUR_PX]
        for i, p in enumerate(places)
    ]
    placed: dict[int, _Placed] = {}
    for i in sorted(range(len(places)), key=lambda k: (-len(near[k]), k)):
        around = [places[j] for j in near[i]]
        others = [placed[j] for j in near[i] if j in placed]
        placed[i] = _least_harmful(_candidates(places[i], sizes[i]), others, around)
    return [placed[i].box for i in range(len(places))]


def _candidates(foot: PixelPair, size: tuple[float, float]) -> list[_Placed]:
    width, height = size
    found = []
    for leader in LEADERS_PX:
        for x, y in _DIRECTIONS:
            end = foot[0] + leader * x, foot[1] + leader * y
            left = end[0] - width * (x < 0) - width / 2 * (x == 0)
            top = end[1] - height * (y < 0) - height / 2 * (y == 0)
            found.append(_Placed(foot, Rect(left, top, width, height), end))
    return found


def _least_harmful(
    candidates: list[_Placed], others: list[_Placed], around: list[PixelPair]
) -> _Placed:
    best, least = candidates[0], _harm(candidates[0], others, around)
    for candidate in candidates[1:]:
        if least == 0:
            break
        harm = _harm(candidate, others, around)
        if harm < least:
            best, least = candidate, harm
    return best


def _harm(candidate: _Placed, others: list[_Placed], around: list[PixelPair]) -> int:
    hidden = sum(candidate.box.holds(at) for at in around)
    return 3 * hidden + sum(candidate.harms(other) for other in others)


def _apart(p: PixelPair, q: PixelPair) -> float:
    return hypot(p[0] - q[0], p[1] - q[1])


def _cross(a: PixelPair, b: PixelPair, c: PixelPair, d: PixelPair) -> bool:
    """Tell whether the segments a b and c d cross."""
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _runs_under(a: PixelPair, b: PixelPair, box: Rect) -> bool:
    """Tell whether the segment a b crosses a plate: one of its diagonals, that is."""
    right, below = box.left + box.width, box.top + box.height
    return _cross(a, b, (box.left, box.top), (right, below)) or _cross(
        a, b, (right, box.top), (box.left, below)
    )


def _side(a: PixelPair, b: PixelPair, p: PixelPair) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
