"""What a coverage measurement found: frozen records, kept in the ledger as they are."""

from msgspec import Struct

from annotate.marks import Ellipse
from annotate.quantity import Quantity


class Unknown(Struct, frozen=True, tag="unknown"):
    """A number that the marks do not carry, and why."""

    reason: str


class Known(Struct, frozen=True, tag="known"):
    """A number that was measured."""

    quantity: Quantity


Result = Known | Unknown


class Parallax(Struct, frozen=True):
    """Apparent minus true centre of the far hole: mm to the right, mm down, degrees (clock)."""

    dx: Result
    dy: Result
    angle: Result


class BudgetLine(Struct, frozen=True, omit_defaults=True):
    """One source of uncertainty and how many points (per cent) of coverage come from it.

    ``dof`` are its degrees of freedom where it was estimated from repeats, else None.
    """

    source: str
    points: float
    dof: float | None = None


class Coverage(Struct, frozen=True):
    """The main number and everything that was found on the way to it.

    Fractions have unit "1"; lengths mm, areas mm^2, angles degrees; ``offset_clock`` is 0 up in
    the picture, clockwise, near centre to far centre (its interval may reach past 0 or 360).
    ``near`` and ``far`` are the rims in the picture, in pixels. ``uncorrected`` is what
    ``covered`` would have been had the line of sight been taken for the holes' axis.
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
    uncorrected: Result
    near: Ellipse | None = None
    far: Ellipse | None = None
    budget: tuple[BudgetLine, ...] = ()
    warnings: tuple[str, ...] = ()
