"""Boxes and texts of a drawing, and the room that is left between them."""

from collections.abc import Callable
from typing import Literal, NamedTuple

Size = Literal["caption", "body", "head"]
Measure = Callable[[str, Size, bool], float]  # text, size, bold -> width in pixels

HIGH: dict[Size, float] = {"caption": 18.0, "body": 24.0, "head": 36.0}


class Box(NamedTuple):
    """A rectangle in pixels, y down."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The right end."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """The lower end."""
        return self.y + self.height

    def meets(self, other: "Box") -> bool:
        """Return whether the two have more than an edge in common."""
        return (
            self.x < other.right
            and other.x < self.right
            and self.y < other.bottom
            and other.y < self.bottom
        )


class Text(NamedTuple):
    """A text in its box; ``soft`` in the second ink, ``plate`` on a clear plate."""

    box: Box
    text: str
    size: Size = "body"
    bold: bool = False
    soft: bool = False
    plate: bool = False


class Page:
    """What is drawn so far on a page of some width: texts, and what no text may lie on."""

    def __init__(self, width: float, measure: Measure) -> None:
        self.width = width
        self.measure = measure
        self.texts: list[Text] = []
        self.taken: list[Box] = []

    def put(self, text: Text) -> bool:
        """Put a text down if nothing is in its way; return whether it was."""
        box = text.box
        if box.x < 0 or box.right > self.width or any(box.meets(each) for each in self.taken):
            return False
        self.texts.append(text)
        self.taken.append(box)
        return True

    def take(self, box: Box) -> None:
        """Keep texts off a box."""
        self.taken.append(box)

    def gaps(self, left: float, right: float, y: float, height: float) -> list[tuple[float, float]]:
        """Return the stretches from ``left`` to ``right`` where a row has nothing in its way."""
        row = Box(left, y, max(0.0, right - left), height)
        free: list[tuple[float, float]] = []
        at = left
        for box in sorted(each for each in self.taken if each.meets(row)):
            if box.x > at:
                free.append((at, box.x))
            at = max(at, box.right)
        if right > at:
            free.append((at, right))
        return free
