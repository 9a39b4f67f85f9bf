"""Tools: clicks in the picture -> a mark, one point after the other. No Qt."""

from typing import Literal

from msgspec import Struct

from annotate.errors import BadMark
from annotate.marks import (
    Angle,
    Area,
    Diameter,
    Distance,
    FarOutline,
    KnownCircle,
    KnownDistance,
    Mark,
    Note,
    PixelPair,
    Point,
    Rim,
)
from annotate.pane.handles import HAND_SIGMA_PX
from annotate.quantity import Quantity

Tool = Literal[
    "",
    "scale",
    "circle",
    "distance",
    "diameter",
    "angle",
    "area",
    "note",
    "near rim",
    "far rim",
    "far outline",
]

# An ellipse has five unknowns, a circle three; the far rim borrows its form from the near one.
FEWEST: dict[Tool, int] = {
    "scale": 2,
    "circle": 5,
    "distance": 2,
    "diameter": 3,
    "angle": 3,
    "area": 3,
    "note": 1,
    "near rim": 5,
    "far rim": 3,
    "far outline": 3,
}
# Those that are complete as soon as they have their points; the others go on until finished.
FIXED: frozenset[Tool] = frozenset({"scale", "distance", "angle", "note"})


class Unsized(Struct, frozen=True):
    """A scale that still lacks its true length: two points, or points round a circle."""

    of: Literal["scale", "circle"]
    points_px: tuple[PixelPair, ...]

    def sized(self, length: Quantity) -> KnownDistance | KnownCircle:
        """Return the scale with its length; raises BadMark for one that is nothing or less."""
        if not length.value > 0:
            raise BadMark("the scale's true length must be more than nothing")
        if self.of == "circle":
            return KnownCircle(self.points_px, length)
        a, b = self.points_px
        return KnownDistance(Point(*a), Point(*b), length)


class Wordless(Struct, frozen=True):
    """A note that still lacks its words."""

    at: Point


Made = Mark | Unsized | Wordless


class Draft(Struct, frozen=True):
    """A mark being made: its tool and the points so far."""

    tool: Tool
    points_px: tuple[PixelPair, ...] = ()

    @property
    def missing(self) -> int:
        """How many points the tool still needs."""
        return max(0, FEWEST[self.tool] - len(self.points_px))

    @property
    def complete(self) -> bool:
        """Whether no further point can be added."""
        return self.tool in FIXED and not self.missing

    def closes_at(self, at: PixelPair, within_px: float) -> bool:
        """Tell whether a click on the first point ends the mark."""
        if self.missing or self.tool in FIXED:
            return False
        x, y = self.points_px[0]
        return (at[0] - x) ** 2 + (at[1] - y) ** 2 <= within_px**2

    def with_point(self, at: PixelPair) -> "Draft":
        """Return the draft with one point more; the same point twice in a row counts once."""
        if self.points_px and self.points_px[-1] == at:
            return self
        return Draft(self.tool, (*self.points_px, at))

    def without_last(self) -> "Draft":
        """Return the draft with its last point taken back."""
        return Draft(self.tool, self.points_px[:-1])

    def made(self) -> Made:
        """Return the finished mark; raises BadMark if points are missing, saying how many."""
        if self.missing:
            more = "one more point" if self.missing == 1 else f"{self.missing} more points"
            raise BadMark(f"the {self.tool} needs {more}: place them along its edge")
        points = self.points_px
        match self.tool:
            case "scale" | "circle":
                if len(set(points)) < FEWEST[self.tool]:
                    raise BadMark("a scale needs different points")
                return Unsized(self.tool, points)
            case "note":
                return Wordless(Point(*points[0]))
            case "near rim":
                return Rim("near", points, HAND_SIGMA_PX)
            case "far rim":
                return Rim("far", points, HAND_SIGMA_PX)
            case "far outline":
                if len(set(points)) < FEWEST[self.tool]:
                    raise BadMark("the far outline needs three different corners")
                return FarOutline(points, HAND_SIGMA_PX)
            case _:
                return self._size()

    def _size(self) -> Mark:
        points = self.points_px
        match self.tool:
            case "distance":
                return Distance(Point(*points[0]), Point(*points[1]))
            case "angle":
                # Clicked along the corner: one arm, the vertex, the other arm.
                a, vertex, b = (Point(*p) for p in points)
                return Angle(vertex, a, b)
            case "diameter":
                return Diameter(points)
            case _:
                return Area(points)


def note_of(wordless: Wordless, words: str) -> Note:
    """Return the note with its words; raises BadMark if there are none."""
    if not words.strip():
        raise BadMark("a note needs words")
    return Note(wordless.at, words.strip())
