"""Lines and words on a photo as SVG: every line on a black casing, so that it shows on any ground.

Coordinates in a document are the picture's corner-based pixels, minus the box's corner.
"""

from collections.abc import Iterable, Sequence
from html import escape
from textwrap import wrap

from msgspec import Struct

from annotate.marks import Points, to_corner_px

NEAR, FAR, CASING = "#ffffff", "#6cc0f0", "#000000"
LABEL, LABEL_PLATE = "#f4f2ec", "#0b0c0d"
THIN = 1.5  # px of the picture as shown
_LINE, _CASING_LINE = 2.5, 6.0
_CASING_OPACITY = 0.65
_DASH, _DOT = (8.0, 6.0), (2.0, 5.0)
_CROSS = 6.0  # half width of a centre's + and of a left-out point's x
_TYPE = 14.0
_LETTERS = 0.5  # width of a letter as a part of its size, on average


class Box(Struct, frozen=True):
    """A part of the upright picture in whole corner-based pixels: left, top, width, height."""

    left: int
    top: int
    width: int
    height: int


class Pen(Struct, frozen=True):
    """Draws in a box's coordinates; ``px`` picture pixels are one unit of line width."""

    box: Box
    px: float

    def place(self, x_px: float, y_px: float) -> tuple[float, float]:
        """Return where a pixel of the picture lies in the document."""
        return to_corner_px(x_px) - self.box.left, to_corner_px(y_px) - self.box.top

    def line(
        self,
        points: Points,
        colour: str,
        *,
        width: float = _LINE,
        closed: bool = False,
        dashed: bool = False,
        dotted: bool = False,
    ) -> str:
        """Return a polyline on its casing; a hidden one is dashed, its casing is not."""
        path = " ".join("{:.2f},{:.2f}".format(*self.place(float(x), float(y))) for x, y in points)
        pattern = _DASH if dashed else _DOT if dotted else ()
        steps = " ".join(f"{step * self.px:.3f}" for step in pattern)
        tag = "polygon" if closed else "polyline"
        extra = f' stroke-dasharray="{steps}"' if pattern else ""
        return self._cased(tag, f'points="{path}"', colour, width, extra)

    def plus(self, at: Points, colour: str) -> str:
        """Return an upright cross: a centre, an end."""
        reach = _CROSS * self.px
        return self._strokes(at, colour, ((reach, 0.0), (0.0, reach)))

    def cross(self, at: Points, colour: str) -> str:
        """Return a slanting cross: a point on an edge."""
        reach = _CROSS * self.px * 0.6
        return self._strokes(at, colour, ((reach, reach), (reach, -reach)))

    def _strokes(self, at: Points, colour: str, arms: Iterable[tuple[float, float]]) -> str:
        x, y = self.place(float(at[0]), float(at[1]))
        path = "".join(f"M{x - a:.2f},{y - b:.2f}L{x + a:.2f},{y + b:.2f}" for a, b in arms)
        # One path, so that one arm's casing does not cut the other.
        return self._cased("path", f'd="{path}"', colour, THIN, "")

    def _cased(self, tag: str, shape: str, colour: str, width: float, extra: str) -> str:
        casing = width + _CASING_LINE - _LINE
        return (
            f'<{tag} {shape} stroke="{CASING}" stroke-opacity="{_CASING_OPACITY}" '
            f'stroke-width="{casing * self.px:.3f}"/>'
            f'<{tag} {shape} stroke="{colour}" stroke-width="{width * self.px:.3f}"{extra}/>'
        )

    def label(self, at: Points, text: str) -> str:
        """Return words on a dark plate, right of and over a place."""
        size = _TYPE * self.px
        x, y = self.place(float(at[0]), float(at[1]))
        x, y = x + size * 0.6, y - size * 0.6
        # Six tenths of the size is wider than any figure and most letters.
        wide = (0.62 * len(text) + 0.8) * size
        return (
            f'<rect x="{x:.2f}" y="{y - size:.2f}" width="{wide:.2f}" height="{1.4 * size:.2f}" '
            f'fill="{LABEL_PLATE}"/><text x="{x + 0.4 * size:.2f}" y="{y:.2f}" fill="{LABEL}" '
            f'font-family="sans-serif" font-size="{size:.2f}">{escape(text)}</text>'
        )

    def words(self, text: str, row: int) -> str:
        """Return a row of words below the box, the first row being 1."""
        size = _TYPE * self.px
        x, y = 0.6 * size, self.box.height + 1.3 * size * row
        return (
            f'<text x="{x:.2f}" y="{y:.2f}" fill="{LABEL}" font-family="sans-serif" '
            f'font-size="{size:.2f}">{escape(text)}</text>'
        )

    def page(self, drawn: Iterable[str], rows: Sequence[str], picture: str = "") -> str:
        """Return a document: the box's picture, what is drawn over it, and rows of words below.

        ``picture`` is the address of an image of the box ("data:..."), "" for none; rows that are
        too long for the page are broken.
        """
        box, width = self.box, self.box.width / self.px
        broken = [line for row in rows for line in wrap(row, int(width / _TYPE / _LETTERS))]
        words = (1.3 * len(broken) + 0.6) * _TYPE * self.px
        behind = ""
        if picture:
            size = f'width="{box.width}" height="{box.height}"'
            behind = f'<image href="{picture}" {size} preserveAspectRatio="none"/>'
        told = "".join(self.words(row, number) for number, row in enumerate(broken, start=1))
        # What runs out of the photo ends there, not in the words.
        plate = f'<rect y="{box.height}" width="100%" height="{words:.2f}" fill="{LABEL_PLATE}"/>'
        size = f'width="{width:.0f}" height="{width * (box.height + words) / box.width:.0f}"'
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} '
            f'viewBox="0 0 {box.width} {box.height + words:.2f}" fill="none" '
            f'stroke-linejoin="round"><rect width="100%" height="100%" fill="{LABEL_PLATE}"/>'
            f"{behind}{''.join(drawn)}{plate}{told}</svg>"
        )
