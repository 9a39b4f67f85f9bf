"""Limits and fits of ISO 286 for the sizes of plugs and bushes: H7, h6, p6 above 10 up to 50 mm.

Single values of ISO 286-1 and 286-2:2010 (second hand, p6 partly from memory); a test compares the
tolerances with the standard's formula, i = 0.45 D^(1/3) + 0.001 D with IT6 = 10 i and IT7 = 16 i,
which the standard rounds its own way (17.3 to 18).
"""

from fractions import Fraction
from typing import NamedTuple

from msgspec import Struct

from capture.errors import WrongUse


class _Step(NamedTuple):
    """One range of nominal sizes, above ``above_mm`` up to and with ``up_to_mm``; in um."""

    above_mm: int
    up_to_mm: int
    it6: int
    it7: int
    p: int  # lower deviation of a shaft p


_STEPS = (_Step(10, 18, 11, 18, 18), _Step(18, 30, 13, 21, 22), _Step(30, 50, 16, 25, 26))


class Deviations(Struct, frozen=True):
    """How far a size may lie from its nominal, in micrometres: lower and upper."""

    lower_um: int
    upper_um: int


def deviations(nominal_mm: Fraction | float, tolerance_class: str) -> Deviations:
    """Return the limit deviations of H7, h6 or p6 at a nominal size, in micrometres.

    The upper bound of a step belongs to it: 18 mm and 30 mm are in the lower step. Raises
    WrongUse outside 10 to 50 mm and for another class.
    """
    step = _step(nominal_mm)
    if tolerance_class == "H7":
        return Deviations(0, step.it7)
    if tolerance_class == "h6":
        return Deviations(-step.it6, 0)
    if tolerance_class == "p6":
        return Deviations(step.p, step.p + step.it6)
    raise WrongUse(f"no tolerance class {tolerance_class!r} here; there are H7, h6 and p6")


def interference_um(nominal_mm: Fraction | float, bore: str, part: str) -> tuple[int, int]:
    """Return the least and the most interference of a part in a bore, in micrometres.

    Negative is clearance. Raises WrongUse as deviations does.
    """
    inside, outside = deviations(nominal_mm, part), deviations(nominal_mm, bore)
    return inside.lower_um - outside.upper_um, inside.upper_um - outside.lower_um


def _step(nominal_mm: Fraction | float) -> _Step:
    for step in _STEPS:
        if step.above_mm < nominal_mm <= step.up_to_mm:
            return step
    raise WrongUse(f"{nominal_mm} mm is not above 10 and up to 50 mm")
