"""Marks on one photo, in the pixels of that photo.

THE pixel convention, everywhere in Benchproof: pixels of the upright picture (after the EXIF
turn); (0, 0) is the CENTRE of the top-left pixel; x right, y down. The picture therefore reaches
from -0.5 to width - 0.5. SVG and Qt scenes put (0, 0) on the CORNER of that pixel: convert only
with ``to_corner_px`` and ``from_corner_px``.
"""

from math import isfinite
from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import UNSET, Struct, UnsetType

from annotate.errors import BadMark
from annotate.quantity import Quantity
from annotate.wall_hint import WallHint

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

Points: TypeAlias = "npt.NDArray[np.float64]"  # (N, 2) of x, y in pixels
PixelPair = tuple[float, float]
# Standard uncertainty, in near radii, of a near hole's far edge that shows in pieces: no more is
# told of it than the side it is on.
ONLY_A_SIDE = 0.1
# The same of a far rim of which next to nothing shows where it could. What does show may be the
# border of a highlight or a shadow along it. One of two edges of which one is the rim may lie
# farther off.
IN_PART = 0.09
# The same of a far rim that may be the other end of its drilling.
MAY_BE_END = 0.25
Dictionary = Literal["4x4_50", "5x5_50", "5x5_250", "6x6_50", "6x6_250", "7x7_50"]


def to_corner_px(centre_px: float) -> float:
    """Return a coordinate counted from the picture's corner (SVG, Qt) instead of a pixel centre."""
    return centre_px + 0.5


def from_corner_px(corner_px: float) -> float:
    """Return a coordinate counted from the first pixel's centre instead of the picture's corner."""
    return corner_px - 0.5


def rescaled_px(centre_px: float, factor: float) -> float:
    """Return where a pixel coordinate falls in a copy of the picture scaled by ``factor``."""
    return from_corner_px(to_corner_px(centre_px) * factor)


class Point(Struct, frozen=True):
    """A place in the upright picture, in pixels (see the module's convention)."""

    x_px: float
    y_px: float

    def __post_init__(self) -> None:
        if not (isfinite(self.x_px) and isfinite(self.y_px)):
            raise BadMark("a point needs two finite coordinates")


class Ellipse(Struct, frozen=True):
    """An ellipse in the picture: centre and half axes in pixels.

    ``angle_deg`` is the major axis's direction from +x towards +y, in [0, 180).
    """

    cx: float
    cy: float
    semi_major: float
    semi_minor: float
    angle_deg: float

    def __post_init__(self) -> None:
        sizes_ok = 0 < self.semi_minor <= self.semi_major < float("inf")
        if not (sizes_ok and isfinite(self.cx) and isfinite(self.cy) and isfinite(self.angle_deg)):
            raise BadMark("an ellipse needs finite values and semi_major >= semi_minor > 0")


class Rim(Struct, frozen=True, tag="rim"):
    """Points on one drilled edge of a hole.

    ``near`` is the edge in the face towards the camera (the drilled edge, below any chamfer),
    ``far`` the edge of the hole behind, ``back`` the near hole's own edge at the far end of its
    wall (seen as the border of a crescent; the same plane as the far rim).
    ``sigma_px`` is the standard uncertainty of one point across the rim; of a found ``back`` edge
    that tells no more than its side it is ``ONLY_A_SIDE`` near radii, of a far one that may be its
    drilling's other end ``MAY_BE_END``.
    ``seed`` is the click a found rim came from, None for points placed by hand; ``wall_hint`` what
    was known of the wall when the rim was found, unset where nothing was. ``chamfer`` is the width
    of the chamfer that shows above a near rim, in radii of the rim; unset where none is plain.
    """

    which: Literal["near", "far", "back"]
    points_px: tuple[PixelPair, ...]
    sigma_px: float
    placed: Literal["hand", "found"] = "hand"
    seed: Point | None = None
    # Unset and not None, which is written down: marks without it stay the bytes they were.
    wall_hint: WallHint | UnsetType = UNSET
    chamfer: float | UnsetType = UNSET

    def __post_init__(self) -> None:
        if not 0 < self.sigma_px < float("inf"):
            raise BadMark("a rim needs a positive uncertainty of its points")
        if self.chamfer is not UNSET and not 0 < self.chamfer < 1:
            raise BadMark("a chamfer is wider than nothing and narrower than its hole's radius")
        if not all(isfinite(x) and isfinite(y) for x, y in self.points_px):
            raise BadMark("a rim's points must be finite")

    def array_px(self) -> Points:
        """Return the points as an (N, 2) array of x, y in pixels."""
        import numpy as np  # noqa: PLC0415 - slow to load, and the records alone need none

        return np.asarray(self.points_px, dtype=np.float64).reshape(-1, 2)


class FarUnseen(Struct, frozen=True, tag="far rim not seen"):
    """No far rim is seen: all that shows through the near hole is the far one, or is material.

    Said by whoever looked (or by the search, from ``seed``), and judged as such. ``wall_hint`` as
    of a rim.
    """

    looks: Literal["open", "shut"]
    placed: Literal["hand", "found"] = "hand"
    seed: Point | None = None
    wall_hint: WallHint | UnsetType = UNSET


class FarOutline(Struct, frozen=True, tag="far outline"):
    """The whole far opening as a person drew it, for one that is no round hole: a slot, an oval.

    Corners of a closed polygon on the surface where the part in front ends, the hidden stretches
    as the person knows them to be. ``sigma_px`` is the standard uncertainty of one corner.
    """

    corners_px: tuple[PixelPair, ...]
    sigma_px: float = 1.0

    def __post_init__(self) -> None:
        if len(self.corners_px) < 3:  # noqa: PLR2004 - a triangle is the least polygon
            raise BadMark("an outline needs at least three corners")
        if not all(isfinite(x) and isfinite(y) for x, y in self.corners_px):
            raise BadMark("an outline's corners must be finite")
        if not 0 < self.sigma_px < float("inf"):
            raise BadMark("an outline needs a positive uncertainty of its corners")


class KnownDistance(Struct, frozen=True, tag="known distance"):
    """A scale: two points in the picture and the true distance between them."""

    a: Point
    b: Point
    length: Quantity

    def __post_init__(self) -> None:
        if self.a == self.b:
            raise BadMark("a scale needs two different points")


class KnownCircle(Struct, frozen=True, tag="known circle"):
    """A scale: points on a circle in the picture and its true diameter."""

    points_px: tuple[PixelPair, ...]
    diameter: Quantity


class Marker(Struct, frozen=True, omit_defaults=True, tag="marker"):
    """A scale: a printed ArUco marker found in the picture.

    Corners in the marker's own order (top-left, top-right, bottom-right, bottom-left of the
    print); ``side`` is the outer edge of its black square. ``identifier`` is its number in
    ``dictionary``.
    """

    corners_px: tuple[PixelPair, PixelPair, PixelPair, PixelPair]
    side: Quantity
    identifier: int
    dictionary: Dictionary = "4x4_50"


class Chessboard(Struct, frozen=True, tag="chessboard"):
    """A scale: a chessboard found in the picture: inner corners, row by row, and its square."""

    corners_px: tuple[PixelPair, ...]
    inner_columns: int
    inner_rows: int
    square: Quantity

    def __post_init__(self) -> None:
        if len(self.corners_px) != self.inner_columns * self.inner_rows:
            raise BadMark("a chessboard needs exactly columns x rows inner corners")


class Distance(Struct, frozen=True, tag="distance"):
    """A distance to be measured between two points."""

    a: Point
    b: Point
    sigma_px: float = 0.7


class Diameter(Struct, frozen=True, tag="diameter"):
    """A round edge whose diameter is to be measured, by points on it."""

    points_px: tuple[PixelPair, ...]
    sigma_px: float = 0.7


class Angle(Struct, frozen=True, tag="angle"):
    """An angle to be measured at ``vertex``, between the directions to ``a`` and ``b``."""

    vertex: Point
    a: Point
    b: Point
    sigma_px: float = 0.7


class Area(Struct, frozen=True, tag="area"):
    """A region whose area is to be measured: the corners of a closed polygon."""

    corners_px: tuple[PixelPair, ...]
    sigma_px: float = 0.7

    def __post_init__(self) -> None:
        if len(self.corners_px) < 3:  # noqa: PLR2004 - a triangle is the least polygon
            raise BadMark("an area needs at least three corners")


class Note(Struct, frozen=True, tag="note"):
    """Words at a place in the picture."""

    at: Point
    text: str


Scale = KnownDistance | KnownCircle | Marker | Chessboard
Mark = (
    Rim
    | FarUnseen
    | FarOutline
    | KnownDistance
    | KnownCircle
    | Marker
    | Chessboard
    | Distance
    | Diameter
    | Angle
    | Area
    | Note
)


class Layer(Struct, frozen=True):
    """All marks on one photo, and what the photo itself says of its lens.

    ``width_px`` and ``height_px`` are those of the upright picture. ``focal_35mm`` is the 35 mm
    equivalent focal length by the picture's diagonal (EXIF or typed), None if unknown.
    """

    width_px: int
    height_px: int
    marks: tuple[Mark, ...] = ()
    focal_35mm: float | None = None

    def __post_init__(self) -> None:
        if self.width_px < 1 or self.height_px < 1:
            raise BadMark("a layer needs the size of its picture")

    def rim(self, which: Literal["near", "far", "back"]) -> Rim | None:
        """Return the last rim of this kind, or None."""
        found = [m for m in self.marks if isinstance(m, Rim) and m.which == which]
        return found[-1] if found else None
