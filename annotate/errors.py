"""What can go wrong between marks and a number.

AnnotateError
  BadMark          a mark that cannot exist: no extent, not finite, outside its picture
  BadQuantity      a value, unit or uncertainty that cannot exist
  UnitMismatch     a conversion between two different kinds of unit
  CannotMeasure    the marks are sound but do not carry the number; says why and what to do
    PhotosDisagree two photos of one hole contradict each other beyond what they share
    TwoEdges       points taken for one edge of a hole lie on two, partly on each
"""


class AnnotateError(Exception):
    """Root of everything this package raises on purpose."""


class BadMark(AnnotateError):
    """A mark that cannot exist."""


class BadQuantity(AnnotateError):
    """A value, unit or uncertainty that cannot exist."""


class UnitMismatch(AnnotateError):
    """A conversion between two different kinds of unit."""


class CannotMeasure(AnnotateError):
    """Sound marks that do not carry the number asked for.

    ``reason`` is one clause ("the far rim cannot be seen"), ``advice`` is what to do about it.
    """

    def __init__(self, reason: str, advice: str = "") -> None:
        super().__init__(f"{reason}; {advice}" if advice else reason)
        self.reason = reason
        self.advice = advice


class PhotosDisagree(CannotMeasure):
    """Photos said to be of one hole that no one pair of holes explains."""


class TwoEdges(CannotMeasure):
    """Points found for one edge that lie on two; ``hole`` is whose, counted from 0 as asked for."""

    def __init__(self, hole: int) -> None:
        super().__init__(
            "two edges of the hole are too close together, or too faint, to be told apart",
            "go closer, or light it from all round",
        )
        self.hole = hole
