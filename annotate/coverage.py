"""Layer -> Coverage: how much of a hole is covered because another does not line up with it."""

from msgspec import Struct

from annotate.errors import BadMark
from annotate.marks import Ellipse, Layer
from annotate.quantity import Quantity

TRIALS = 4000


class Unknown(Struct, frozen=True, tag="unknown"):
    """A number that the marks do not carry, and why."""

    reason: str


class Known(Struct, frozen=True, tag="known"):
    """A number that was measured."""

    quantity: Quantity


Result = Known | Unknown


class Givens(Struct, frozen=True):
    """What the person measuring knows of the two holes; lengths, None where unknown.

    ``near_diameter`` and ``far_diameter`` are drilled diameters, ``wall`` the thickness of the
    part in front, ``bore_diameter`` that of the bore its face is part of; ``flat`` says that the
    face is a plane instead.
    """

    near_diameter: Quantity | None = None
    far_diameter: Quantity | None = None
    wall: Quantity | None = None
    bore_diameter: Quantity | None = None
    flat: bool = False

    def __post_init__(self) -> None:
        if self.flat and self.bore_diameter is not None:
            raise BadMark("a face is flat or part of a bore, not both")


class Parallax(Struct, frozen=True):
    """Apparent minus true centre of the far hole: mm to the right, mm down, degrees (clock)."""

    dx: Result
    dy: Result
    angle: Result


class BudgetLine(Struct, frozen=True):
    """One source of uncertainty and how many points (per cent) of coverage come from it."""

    source: str
    points: float


class Coverage(Struct, frozen=True):
    """The main number and everything that was found on the way to it.

    Fractions have unit "1"; lengths mm, areas mm^2, angles degrees; ``offset_clock`` is 0 up in
    the picture, clockwise, near centre to far centre. ``near`` and ``far`` are the rims in the
    picture, in pixels.
    """

    covered: Result
    open: Result
    covered_of_near: Result
    covered_of_far: Result
    open_area: Result
    equivalent_diameter: Result
    offset: Result
    offset_clock: Result
    largest_pin: Result
    line_of_sight: Result
    parallax: Parallax
    near: Ellipse | None = None
    far: Ellipse | None = None
    budget: tuple[BudgetLine, ...] = ()
    warnings: tuple[str, ...] = ()


def measure(layer: Layer, givens: Givens, *, seed: int = 0, trials: int = TRIALS) -> Coverage:
    """Return the coverage that the rims on a layer show.

    The same layer, givens, seed and trials give the same numbers. Raises CannotMeasure with the
    reason and what to do about it.
    """
    raise NotImplementedError
