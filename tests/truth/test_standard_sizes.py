"""Standard sizes against published values and the standards' own formulas."""

from fractions import Fraction

import pytest

from capture.errors import WrongUse
from capture.sizes.drills import LETTER_DRILLS_IN, NUMBER_DRILLS_IN
from capture.sizes.iso_fits import Deviations, deviations, interference_um
from capture.sizes.pipe import PIPE_THREADS, PipeThread

# ANSI/ASME B1.20.1-1983 (R2001), as quoted by Machinery's Handbook, 27th edition, p. 1861:
# D, p, E0, L1, E1, L2, E2 in inches.
PRINTED_THREADS = {
    "1/8-27": ("0.405", "0.03704", "0.36351", "0.1615", "0.37360", "0.2639", "0.38000"),
    "1/4-18": ("0.540", "0.05556", "0.47739", "0.2278", "0.49163", "0.4018", "0.50250"),
    "3/8-18": ("0.675", "0.05556", "0.61201", "0.240", "0.62701", "0.4078", "0.63750"),
    "1/2-14": ("0.840", "0.07143", "0.75843", "0.320", "0.77843", "0.5337", "0.79179"),
}
LAST_PLACE = Fraction(1, 100_000)


@pytest.mark.parametrize("thread", PIPE_THREADS, ids=lambda thread: thread.name)
def test_the_formulas_give_the_printed_dimensions(thread: PipeThread) -> None:
    made = (
        thread.outside_in, thread.pitch_in, thread.small_end_in, thread.hand_tight_in,
        thread.gauging_in, thread.effective_in, thread.effective_end_in,
    )  # fmt: skip
    for value, printed in zip(made, PRINTED_THREADS[thread.name], strict=True):
        step = Fraction(1, 10 ** len(printed.partition(".")[2]))
        assert abs(value - Fraction(printed)) <= max(step, LAST_PLACE) * Fraction(6, 10)


def test_the_formula_shows_where_a_copied_table_is_wrong() -> None:
    """Tables on the web print L2 of 3/8-18 as 0.0478: the standard's is 0.4078."""
    three_eighths = next(thread for thread in PIPE_THREADS if thread.name == "3/8-18")
    assert round(float(three_eighths.effective_in), 4) == 0.4078
    # And L1 of 1 1/2 as 0.402: with the standard's 0.420, E1 is 1.82234 (both from memory).
    right, wrong = (
        PipeThread("1 1/2-11 1/2", Fraction("1.900"), Fraction("11.5"), Fraction(each))
        for each in ("0.420", "0.402")
    )
    assert round(float(right.gauging_in), 5) == 1.82234
    assert round(float(wrong.gauging_in), 5) == 1.82121


@pytest.mark.parametrize(
    ("number", "inches"),
    [
        # "Metric, Inch, & Fractional Inch: Drills ...", v.2 (2007), public domain
        (80, "0.0135"), (79, "0.0145"), (78, "0.016"), (74, "0.0225"), (69, "0.0292"),
        (60, "0.040"), (57, "0.043"), (55, "0.052"), (54, "0.055"), (53, "0.0595"),
        # a drill seller's table
        (25, "0.1495"), (21, "0.1590"), (10, "0.1935"), (7, "0.2010"), (1, "0.2280"),
        # a table of tap and clearance drills
        (52, "0.0635"), (50, "0.0700"), (48, "0.0760"), (46, "0.0810"), (43, "0.0890"),
        (41, "0.0960"), (37, "0.1040"), (35, "0.1100"), (32, "0.1160"), (30, "0.1285"),
        (29, "0.1360"), (47, "0.0785"), (45, "0.0820"), (44, "0.0860"), (42, "0.0935"),
        (38, "0.1015"), (36, "0.1065"), (33, "0.1130"),
    ],
)  # fmt: skip
def test_a_number_drill_is_as_printed(number: int, inches: str) -> None:
    assert NUMBER_DRILLS_IN[number] == Fraction(inches)


def test_numbers_fall_and_letters_rise() -> None:
    numbers = list(NUMBER_DRILLS_IN.values())
    letters = list(LETTER_DRILLS_IN.values())
    assert (len(numbers), len(letters)) == (80, 26)
    assert numbers == sorted(set(numbers), reverse=True)
    assert letters == sorted(set(letters))
    # A, D, F, Q, R, Z: ASME B94.11M, from memory
    assert [float(LETTER_DRILLS_IN[letter]) for letter in "ADFQRZ"] == [
        0.234, 0.246, 0.257, 0.332, 0.339, 0.413,
    ]  # fmt: skip


# ISO 286-1, ISO 286-2:2010: nominal mm, IT6, IT7, lower p, in micrometres; second hand.
ISO = [(10.1, 11, 18, 18), (14, 11, 18, 18), (18, 11, 18, 18), (18.1, 13, 21, 22),
       (30, 13, 21, 22), (30.5, 16, 25, 26), (50, 16, 25, 26)]  # fmt: skip


@pytest.mark.parametrize(("nominal_mm", "it6", "it7", "p"), ISO)
def test_deviations_are_the_standards_with_the_upper_bound_in_the_step(
    nominal_mm: float, it6: int, it7: int, p: int
) -> None:
    assert deviations(nominal_mm, "H7") == Deviations(0, it7)
    assert deviations(nominal_mm, "h6") == Deviations(-it6, 0)
    assert deviations(nominal_mm, "p6") == Deviations(p, p + it6)


@pytest.mark.parametrize(
    ("above", "up_to", "it6", "it7"),
    [(10, 18, 10.8, 17.3), (18, 30, 13.1, 20.9), (30, 50, 15.6, 25)],
)
def test_tolerances_are_near_the_standards_formula(
    above: int, up_to: int, it6: float, it7: float
) -> None:
    """IT6 = 10 i, IT7 = 16 i, i = 0.45 D^(1/3) + 0.001 D, D the geometric mean: ISO 286-1."""
    mean = (above * up_to) ** 0.5
    unit = 0.45 * mean ** (1 / 3) + 0.001 * mean
    assert (10 * unit, 16 * unit) == (pytest.approx(it6, abs=0.06), pytest.approx(it7, abs=0.06))
    assert -deviations(up_to, "h6").lower_um == pytest.approx(10 * unit, abs=0.8)
    assert deviations(up_to, "H7").upper_um == pytest.approx(16 * unit, abs=0.8)


@pytest.mark.parametrize(("nominal_mm", "least", "most"), [(18, 0, 29), (30, 1, 35), (50, 1, 42)])
def test_h7_p6_interferes_as_published(nominal_mm: int, least: int, most: int) -> None:
    """ISO 286-2: 0 to 29, 1 to 35, 1 to 42 um."""
    assert interference_um(nominal_mm, "H7", "p6") == (least, most)


def test_h7_h6_is_a_clearance_from_0_up() -> None:
    assert interference_um(25, "H7", "h6") == (-34, 0)


@pytest.mark.parametrize("nominal_mm", [10, 50.001, 0, -3])
def test_other_sizes_are_refused(nominal_mm: float) -> None:
    with pytest.raises(WrongUse, match="not above 10 and up to 50 mm"):
        deviations(nominal_mm, "H7")


def test_other_classes_are_refused() -> None:
    with pytest.raises(WrongUse, match="no tolerance class 'g6' here; there are H7, h6 and p6"):
        deviations(20, "g6")
