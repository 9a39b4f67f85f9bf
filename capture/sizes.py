"""Nearest standard sizes of a diameter, and whether a part looks like the wrong one for its bore.

Hints to look again, never corrections and never limits: how tight a part may be is the maker's to
say. Standard sizes are n/64 in (exactly 0.396875 mm each) and whole, half and quarter millimetres.
"""

from fractions import Fraction
from math import isfinite
from typing import NamedTuple

from capture.errors import BadReading

INCH_STEP_MM = Fraction("25.4") / 64
METRIC_STEP_MM = Fraction(1, 4)
# The coarser of the two: a part this far from its bore is another size in either series.
NOMINAL_STEP_MM = max(INCH_STEP_MM, METRIC_STEP_MM)


class Size(NamedTuple):
    """A standard size: what it is called, and its exact diameter in mm."""

    name: str
    mm: Fraction


def nearest_sizes(diameter_mm: Fraction | float, count: int = 3) -> list[Size]:
    """Return the ``count`` standard sizes nearest to a diameter in mm, nearest first.

    Of two equally near, the smaller comes first, and the inch name before the metric one of the
    same size. Raises BadReading for what is no diameter.
    """
    exact_mm = _diameter(diameter_mm)
    sizes = _around(exact_mm, INCH_STEP_MM, count) + _around(exact_mm, METRIC_STEP_MM, count)
    return sorted(sizes, key=lambda size: (abs(size.mm - exact_mm), size.mm))[:count]


def fit(part_mm: Fraction | float, bore_mm: Fraction | float) -> str:
    """Return a sentence if part and bore are more than one nominal step apart, else "".

    It names the standard size each is nearest to, in inches and in mm. Raises BadReading for what
    is no diameter.
    """
    part, bore = _diameter(part_mm), _diameter(bore_mm)
    apart = abs(part - bore)
    if apart <= NOMINAL_STEP_MM:
        return ""
    return (
        f"the part is {float(part):.2f} mm, the bore {float(bore):.2f} mm, "
        f"{float(apart):.2f} mm apart: "
        f"the part is nearest to {_both_names(part)}, the bore to {_both_names(bore)}; "
        "look for a wrong size in the kit, and measure both again before it goes in"
    )


def _diameter(diameter_mm: Fraction | float) -> Fraction:
    if not (isfinite(diameter_mm) and diameter_mm > 0):
        raise BadReading(
            f"{diameter_mm} mm is no diameter", "measure again and type a diameter above 0"
        )
    return Fraction(diameter_mm)


def _around(exact_mm: Fraction, step_mm: Fraction, count: int) -> list[Size]:
    """Return the sizes of one series within ``count`` steps, and the first one at least."""
    nearest = round(exact_mm / step_mm)
    name = _inch_name if step_mm == INCH_STEP_MM else _metric_name
    steps = range(max(1, nearest - count), max(1, nearest) + count + 1)
    return [Size(name(n), n * step_mm) for n in steps]


def _both_names(exact_mm: Fraction) -> str:
    inch, metric = (max(1, round(exact_mm / step_mm)) for step_mm in (INCH_STEP_MM, METRIC_STEP_MM))
    return f"{_inch_name(inch)} or {_metric_name(metric)}"


def _inch_name(sixty_fourths: int) -> str:
    whole, part = divmod(Fraction(sixty_fourths, 64), 1)
    return " ".join(str(piece) for piece in (whole, part) if piece) + " in"


def _metric_name(quarters: int) -> str:
    return f"{quarters / 4}".removesuffix(".0") + " mm"
