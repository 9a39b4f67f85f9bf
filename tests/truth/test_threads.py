"""Published taper pipe thread sizes, typed as on the bench, against the standard's own formulas.

Values: ANSI/ASME B1.20.1-1983 (R2001), basic dimensions, as quoted by Machinery's Handbook, 27th
edition, page 1861 (second hand). Formulas of the same standard (from memory; they regenerate the
values): E0 = D - (0.05 D + 1.1) p, E1 = E0 + L1 / 16, L2 = (0.8 D + 6.8) p, taper 1 in 16.
"""

from fractions import Fraction

import pytest

from annotate.quantity import conversion_factor
from capture.entry import parse_reading

# Nominal size, threads an inch: D, E0, L1, E1, L2 in inches.
SIZES = {
    ("1/8", 27): (".405", "0.36351", "0.1615", "0.37360", "0.2639"),
    ("1/4", 18): ("0.540", ".47739", "0.2278", "0.49163", "0.4018"),
    ("1/2", 14): ("0.840 in", "0.75843 in", "0.320 in", "0.77843 in", "0.5337 in"),
}
LAST_PLACE = Fraction(1, 100_000)


def typed(text: str) -> Fraction:
    reading = parse_reading(text, unit="in")
    assert reading.unit == "in"
    return reading.exact


@pytest.mark.parametrize(("size", "row"), SIZES.items())
def test_typed_sizes_are_exact_enough_for_the_standards_formulas(
    size: tuple[str, int], row: tuple[str, ...]
) -> None:
    d, e0, l1, e1, l2 = (typed(text) for text in row)
    pitch = Fraction(1, size[1])
    assert abs(d - (Fraction(5, 100) * d + Fraction(11, 10)) * pitch - e0) <= LAST_PLACE
    assert abs(e0 + l1 / 16 - e1) <= LAST_PLACE
    assert abs((Fraction(8, 10) * d + Fraction(68, 10)) * pitch - l2) <= 5 * LAST_PLACE


def test_a_misprint_of_a_tenth_is_exposed_by_the_formula() -> None:
    # Web tables print L2 of the 3/8-18 size as 0.0478 in; B1.20.1 has 0.4078.
    wanted = (Fraction(8, 10) * typed("0.675") + Fraction(68, 10)) / 18
    assert abs(typed("0.4078") - wanted) <= 5 * LAST_PLACE
    assert abs(typed("0.0478") - wanted) > Fraction(1, 10)


def test_a_thread_size_in_millimetres_is_its_inches_times_25_4() -> None:
    # 1959 agreement: the inch is 25.4 mm exactly. 0.840 in, 21.336 mm.
    assert float(typed("0.840")) * conversion_factor("in", "mm") == pytest.approx(21.336, rel=1e-14)
