"""What an owner asks the canvas to show besides the layer: accepted outlines, pins. No Qt."""

from msgspec import Struct

from annotate.marks import Ellipse, PixelPair, Point


class Shown(Struct, frozen=True):
    """Outlines as they were measured and accepted; while they are shown nothing can be dragged.

    ``other_near`` and ``other_far`` are those of the second lean that the picture allows, drawn
    thin. ``hatched`` fills what of the far hole lies outside the near one. ``left_out_px`` are
    points that the measurement did without.
    """

    near: Ellipse | None = None
    far: Ellipse | None = None
    other_near: Ellipse | None = None
    other_far: Ellipse | None = None
    hatched: bool = True
    left_out_px: tuple[PixelPair, ...] = ()


class Pin(Struct, frozen=True):
    """A number stamped on the picture at a place, told apart by its text.

    ``ringed`` is the current one, ``dashed`` one that a cover hides.
    """

    at: Point
    text: str
    ringed: bool = False
    dashed: bool = False
