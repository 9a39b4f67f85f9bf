"""Series of standard diameters and the sizes of each that lie around a diameter.

- ``inch``: n/64 in, exactly 0.396875 mm each.
- ``metric``: whole, half and quarter millimetres.
- ``number drill``, ``letter drill``: see capture.sizes.drills.
- ``pipe thread``: outside diameters of tapered pipe, see capture.sizes.pipe.
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from math import isfinite
from typing import Literal, NamedTuple

from capture.errors import BadReading
from capture.sizes.drills import LETTER_DRILLS_IN, NUMBER_DRILLS_IN
from capture.sizes.pipe import PIPE_THREADS
from capture.unit_words import INCH_MM

Series = Literal["inch", "metric", "number drill", "letter drill", "pipe thread"]

INCH_STEP_MM = INCH_MM / 64
METRIC_STEP_MM = Fraction(1, 4)
# The coarser of the two: a part this far from its bore is another size in either series.
NOMINAL_STEP_MM = max(INCH_STEP_MM, METRIC_STEP_MM)
# Plugs, bearings and bores come in these; the others are asked for by name.
USUAL: tuple[Series, ...] = ("inch", "metric")


class Size(NamedTuple):
    """A standard size: what it is called, and its exact diameter in mm."""

    name: str
    mm: Fraction


_LISTED: Mapping[Series, tuple[Size, ...]] = {
    "number drill": tuple(
        Size(f"no. {number} drill", inches * INCH_MM) for number, inches in NUMBER_DRILLS_IN.items()
    ),
    "letter drill": tuple(
        Size(f"letter {letter} drill", inches * INCH_MM)
        for letter, inches in LETTER_DRILLS_IN.items()
    ),
    "pipe thread": tuple(
        Size(f"{thread.name} tapered pipe thread", thread.outside_in * INCH_MM)
        for thread in PIPE_THREADS
    ),
}


def nearest_sizes(
    diameter_mm: Fraction | float, count: int = 3, series: Iterable[Series] = USUAL
) -> list[Size]:
    """Return the ``count`` standard sizes nearest to a diameter in mm, nearest first.

    Of two equally near, the smaller comes first, and of two names for one size that of the series
    named first. Raises BadReading for what is no diameter.
    """
    exact_mm = checked_diameter(diameter_mm)
    sizes = [size for each in series for size in _around(exact_mm, each, count)]
    return sorted(sizes, key=lambda size: (abs(size.mm - exact_mm), size.mm))[:count]


def checked_diameter(diameter_mm: Fraction | float) -> Fraction:
    """Return a diameter in mm exactly; raises BadReading for what is none."""
    if not (isfinite(diameter_mm) and diameter_mm > 0):
        raise BadReading(
            f"{diameter_mm} mm is no diameter", "measure again and type a diameter above 0"
        )
    return Fraction(diameter_mm)


def both_names(exact_mm: Fraction) -> str:
    """Return the nearest inch size and the nearest metric one: "1 5/16 in or 33.5 mm"."""
    inch, metric = (max(1, round(exact_mm / step_mm)) for step_mm in (INCH_STEP_MM, METRIC_STEP_MM))
    return f"{_inch_name(inch)} or {_metric_name(metric)}"


def _around(exact_mm: Fraction, series: Series, count: int) -> Iterable[Size]:
    """Return the sizes of one series within ``count`` steps, and the first one at least."""
    if series in _LISTED:
        return _LISTED[series]
    step_mm = INCH_STEP_MM if series == "inch" else METRIC_STEP_MM
    nearest = round(exact_mm / step_mm)
    name = _inch_name if series == "inch" else _metric_name
    steps = range(max(1, nearest - count), max(1, nearest) + count + 1)
    return [Size(name(n), n * step_mm) for n in steps]


def _inch_name(sixty_fourths: int) -> str:
    whole, part = divmod(Fraction(sixty_fourths, 64), 1)
    return " ".join(str(piece) for piece in (whole, part) if piece) + " in"


def _metric_name(quarters: int) -> str:
    return f"{quarters / 4}".removesuffix(".0") + " mm"
