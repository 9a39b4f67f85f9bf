"""Where words go on a picture: beside their rim, on the screen, over nothing else. No Qt."""

from collections.abc import Iterable, Sequence
from math import cos, radians, sin

from msgspec import Struct

from annotate.marks import PixelPair

_LEADER_PX = 40.0
_CLEAR_PX = 4.0


class Rect(Struct, frozen=True):
    """An upright rectangle of the screen."""

    left: float
    top: float
    width: float
    height: float

    def holds(self, at: PixelPair) -> bool:
        """Tell whether a place lies in it."""
        across, down = at[0] - self.left, at[1] - self.top
        return 0 <= across <= self.width and 0 <= down <= self.height

    def meets(self, other: "Rect", clear: float = _CLEAR_PX) -> bool:
        """Tell whether two rectangles come nearer to one another than ``clear``."""
        return not (
            self.left > other.left + other.width + clear
            or other.left > self.left + self.width + clear
            or self.top > other.top + other.height + clear
            or other.top > self.top + self.height + clear
        )

    def within(self, room: "Rect") -> bool:
        """Tell whether it lies wholly in a room."""
        return (
            self.left >= room.left
            and self.top >= room.top
            and self.left + self.width <= room.left + room.width
            and self.top + self.height <= room.top + room.height
        )


class Plate(Struct, frozen=True):
    """Where words stand and the place on the rim that their leader starts from."""

    box: Rect
    foot: PixelPair
    elbow: PixelPair


def beside(
    rim: Sequence[PixelPair],
    size: tuple[float, float],
    room: Rect,
    *,
    hours: Iterable[float],
    taken: Sequence[Rect] = (),
    lines: Sequence[PixelPair] = (),
) -> Plate | None:
    """Return a plate of a size outside a rim, at the first hour where it covers nothing.

    ``rim`` are places evenly round it, clockwise from 12; ``lines`` places that had better stay
    free. Where no hour is free of lines, they are ignored; None where there is no room at all.
    """
    plates = [_plate(rim, size, hour) for hour in hours]
    fitting = [p for p in plates if p.box.within(room) and not any(p.box.meets(t) for t in taken)]
    free = (p for p in fitting if not any(p.box.holds(at) for at in lines))
    return next(free, fitting[0] if fitting else None)


def _plate(rim: Sequence[PixelPair], size: tuple[float, float], hour: float) -> Plate:
    x, y = rim[round(hour / 12 * len(rim)) % len(rim)]
    out = sin(radians(30 * hour)), -cos(radians(30 * hour))
    end = x + _LEADER_PX * out[0], y + _LEADER_PX * out[1]
    width, height = size
    left = end[0] if out[0] > 0.1 else end[0] - width if out[0] < -0.1 else end[0] - width / 2  # noqa: PLR2004 - about straight up or down
    top = end[1] - height if out[1] < 0 else end[1]
    return Plate(Rect(left, top, width, height), (x, y), end)
