"""How two views move together: which place of one photo goes with which of the other. No Qt.

Linked from where they stand: whoever unlinks, lays the same hole in the middle of both, and links
again, has two photos that stay on that hole, whatever their sizes.
"""

from msgspec import Struct

from annotate.marks import Point


class View(Struct, frozen=True):
    """What of a photo is shown: the place in the middle, and screen pixels per pixel."""

    centre: Point
    zoom: float


class Link(Struct, frozen=True):
    """Two views that belong together; every other pair follows from them."""

    left: View
    right: View

    def right_of(self, left: View) -> View:
        """Return what the right one shows while the left one shows this."""
        return _followed(left, self.left, self.right)

    def left_of(self, right: View) -> View:
        """Return what the left one shows while the right one shows this."""
        return _followed(right, self.right, self.left)


def _followed(lead: View, from_: View, to: View) -> View:
    """Return the view that goes with ``lead``: both move by the same way on the screen."""
    ratio = to.zoom / from_.zoom
    x = to.centre.x_px + (lead.centre.x_px - from_.centre.x_px) / ratio
    y = to.centre.y_px + (lead.centre.y_px - from_.centre.y_px) / ratio
    return View(Point(x, y), lead.zoom * ratio)
