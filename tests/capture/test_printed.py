"""Limits as printed: every form, what is refused, and what counts as a disagreement."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.quantity import Quantity
from capture.errors import BadReading, WrongUse
from capture.printed import OTHER_UNIT, Printed, read_printed
from capture.unit_words import SIZES


def ends(text: str, unit: str) -> tuple[float, float, str]:
    printed = read_printed(text, unit)
    assert printed.disagreements == ()
    assert printed.at_least is not None
    assert printed.at_most is not None
    return printed.at_least.value, printed.at_most.value, printed.unit


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("0.10-0.25 mm", "mm", (0.10, 0.25, "mm")),
        ("0.10 - 0.25", "mm", (0.10, 0.25, "mm")),
        ("0.10 TO 0.25", "mm", (0.10, 0.25, "mm")),
        ("0.10 to 0.25 mm (0.004 to 0.010 in.)", "mm", (0.10, 0.25, "mm")),
        ("3.5 in ( 88.9 mm )", "mm", (88.9, 88.9, "mm")),
        ("88.9 (3.5 in)", "in", (3.5, 3.5, "in")),
        ("0.004-0.010 (0.10-0.25 mm)", "mm", (0.10, 0.25, "mm")),
        ("3.5 (88.9 mm)", "in", (3.5, 3.5, "in")),
        ("0.10-0.25 (0.004-0.010)", "mm", (0.10, 0.25, "mm")),
        ("2 1/4 in (57.2 mm)", "in", (2.25, 2.25, "in")),
        ("2.25 in +/- 1/64 in", "in", (2.234375, 2.265625, "in")),
        ("2.5 thou (0.064 mm)", "in", (0.0025, 0.0025, "in")),
        ("25-38 um (0.0010-0.0015 in)", "mm", (25, 38, "um")),
        ("40 psi (276 kPa)", "kPa", (276, 276, "kPa")),
        ("3.9 mm^2 (0.006 in^2)", "mm^2", (3.9, 3.9, "mm^2")),
        ("0.006 (3.9 mm^2)", "mm^2", (3.9, 3.9, "mm^2")),
        ("20 min", "min", (20, 20, "min")),
        ("0.3 psi/min (2.1 kPa/min)", "psi/min", (0.3, 0.3, "psi/min")),
        ("0.3 psi per min", "psi/min", (0.3, 0.3, "psi/min")),
        ("90 deg", "deg", (90, 90, "deg")),
        # nothing is in the box's own unit: the first side stands
        ("0.10-0.25 mm (0.004-0.010 in)", "cm", (0.10, 0.25, "mm")),
    ],
)  # fmt: skip
def test_a_print_has_two_ends(text: str, unit: str, expected: tuple[float, float, str]) -> None:
    if "+/-" in text:
        text = text.replace(" in +", " +")
    assert ends(text, unit) == expected


def test_a_printed_decimal_comma_is_taken_where_the_job_has_one() -> None:
    printed = read_printed("3,4980 in (88,74 mm)", "in", decimal_comma=True)
    assert printed.disagreements == ("3,4980 in is 88.85 mm, printed 88,74 mm: 0.11 mm apart",)
    with pytest.raises(BadReading, match="the comma"):
        read_printed("3,4980 in (88,74 mm)", "in")


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("max 0.43", None, 0.43),
        ("MAX. 0.43", None, 0.43),
        ("maximum: 0.43 mm (0.017 in)", None, 0.43),
        ("0.43 mm (0.017 in) max", None, 0.43),
        ("min 0.18", 0.18, None),
        ("minimum 0.18 mm", 0.18, None),
        ("0.18 min", 0.18, None),
    ],
)
def test_max_and_min_leave_one_end(text: str, low: float | None, high: float | None) -> None:
    assert read_printed(text, "mm") == Printed(
        at_least=None if low is None else Quantity(low, "mm"),
        at_most=None if high is None else Quantity(high, "mm"),
        unit="mm",
    )


def test_min_behind_a_number_of_minutes_is_the_unit() -> None:
    assert read_printed("min 20 min", "min") == Printed(Quantity(20, "min"), None, "min")
    assert read_printed("max 0.3 psi per min", "psi/min") == Printed(
        None, Quantity(0.3, "psi/min"), "psi/min"
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("0.25-0.10 mm", ["0.25 to 0.10 mm falls"]),
        ("0.25 to 0.25 mm", ["0.25 to 0.25 mm is no range"]),
        ("88.9 mm (88.9 mm)", ["both 88.9 mm and 88.9 mm are in mm"]),
        ("0.10-0.25 mm (0.010)", ["0.10-0.25 mm is a range, 0.010 in is a number"]),
        (
            "69.84 +-0.015 (2.7490-2.7502)",
            ["69.84 +-0.015 mm is a middle and +-, 2.7490-2.7502 in is a range"],
        ),
        (
            "69.840 +-0.015 mm (2.7496 +-0.006 in)",
            ["0.015 mm is 0.001 in, printed 0.006 in: 0.005 in apart"],
        ),
        ("2 mm (1 thou)", ["2 mm is 79 thou, printed 1 thou: 78 thou apart"]),
        ("250 mm (7 1/2 in)", ["250 mm is 9.843 in, printed 7 1/2 in: 2.343 in apart"]),
        ("200 mm (7 in)", []),
        ("100 mm (2 in)", ["100 mm is 4 in, printed 2 in: 2 in apart"]),
    ],
)
def test_what_does_not_agree_is_a_sentence(text: str, told: list[str]) -> None:
    assert list(read_printed(text, "mm").disagreements) == told


def test_a_range_that_falls_still_has_a_lower_and_an_upper_end() -> None:
    printed = read_printed("0.25-0.10 mm", "mm")
    assert (printed.at_least, printed.at_most) == (Quantity(0.10, "mm"), Quantity(0.25, "mm"))


@pytest.mark.parametrize(
    ("text", "agrees"),
    [
        # one last step of the coarser: 0.001 in is 0.0254 mm
        ("3.500 in (88.925 mm)", True),
        ("3.500 in (88.9254 mm)", True),
        ("3.500 in (88.9255 mm)", False),
        ("3.500 in (88.875 mm)", True),
        ("3.500 in (88.8745 mm)", False),
        # 0.1 mm is coarser than 0.0001 in
        ("3.5000 in (89.0 mm)", True),
        ("3.5000 in (88.8 mm)", True),
        ("3.5000 in (89.1 mm)", False),
    ],
)
def test_one_last_step_of_the_coarser_print_is_allowed(text: str, agrees: bool) -> None:
    assert (read_printed(text, "in").disagreements == ()) == agrees


@pytest.mark.parametrize(
    ("text", "reason", "advice"),
    [
        ("", "a number is missing", "type it as printed"),
        ("end play 0.08", "'end play 0.08' does not start with a number", "type it as printed"),
        ("3.5 in ()", "a number is missing", "type it as printed"),
        ("(3.5 in)", "a number is missing", "type it as printed"),
        ("-3.5", "'-3.5' does not start with a number", "type it as printed"),
        ("3.5 in (88.9 mm", "the brackets do not hold one second unit", "3.5 in (88.9 mm)"),
        ("3.5) in", "the brackets do not hold one second unit", "3.5 in (88.9 mm)"),
        ("3.5 in (88.9 mm) (9 cm)", "the brackets do not hold one", "3.5 in (88.9 mm)"),
        ("3.5 in (88.9 mm) new", "'new' stands behind the bracket", "before the bracket"),
        ("3.5 in (60 Nm)", "'Nm' is a torque and a length is asked for here", "12.5"),
        ("0.10 - mm", "'- mm' is not known as a unit", "12.5"),
        ("1.0-1.5 mm BELOW", "BELOW is not read in a print", "each end apart"),
        ("0.5 mm proud to 1 mm below", "PROUD is not read in a print", "each end apart"),
        ("3.5 furlongs", "'furlongs' is not known as a unit", "12.5"),
        ("max 0.1-0.2", "max belongs to one number, and this is a range", "one of the two"),
        ("min 0.1 +-0.2", "min belongs to one number, and this is a middle and +-", "one of"),
        ("max min 3", "max or min stands once", "max 0.017 in (0.43 mm)"),
        ("0.1 max 3", "max or min stands once", "max 0.017 in (0.43 mm)"),
        ("0.1-0.2-0.3", "there is more than one number", "one number"),
    ],
)
def test_what_is_no_print_is_refused(text: str, reason: str, advice: str) -> None:
    with pytest.raises(BadReading) as refusal:
        read_printed(text, "mm")
    assert refusal.value.reason.startswith(reason)
    assert advice in refusal.value.advice


def test_an_unknown_box_is_the_programs_fault() -> None:
    with pytest.raises(WrongUse, match="'furlong'"):
        read_printed("3.5", "furlong")


def test_a_printed_limit_stays_as_it_is() -> None:
    with pytest.raises(AttributeError):
        read_printed("3.5", "mm").unit = "in"


def test_every_other_unit_is_of_the_same_kind() -> None:
    assert all(SIZES[a][0] == SIZES[b][0] and a != b for a, b in OTHER_UNIT.items())


@given(st.integers(1, 10**6), st.integers(0, 10**5), st.integers(2, 5), st.integers(1, 4))
def test_what_is_converted_and_rounded_always_agrees(
    low: int, more: int, places_in: int, places_mm: int
) -> None:
    """Whatever the two numbers of decimals: rounding alone is never called a misprint."""
    one, other = Fraction(low, 10**places_in), Fraction(low + more + 1, 10**places_in)
    inches = f"{float(one):.{places_in}f}-{float(other):.{places_in}f} in"
    metric = "-".join(f"{float(end * 254 / 10):.{places_mm}f}" for end in (one, other))
    told = read_printed(f"{inches} ({metric} mm)", "in").disagreements
    assert not any("apart" in sentence for sentence in told)


@given(st.integers(1000, 99_999), st.integers(0, 3), st.integers(1, 9))
def test_one_figure_wrong_is_always_told(tenths: int, figure: int, by: int) -> None:
    """One of the four first figures of five in millimetres, the inches to a tenth of a thou."""
    millimetres = list(f"{tenths * 0.0254 / 10:09.4f}"[::])
    digits = [at for at, c in enumerate(millimetres) if c.isdigit()]
    wrong = millimetres.copy()
    at = digits[figure]
    wrong[at] = str((int(wrong[at]) + by) % 10)
    told = read_printed(f"{tenths / 10_000:.4f} in ({''.join(wrong)} mm)", "in").disagreements
    assert len(told) == 1


PIECES = st.lists(
    st.sampled_from(
        ["0.10", "2", "1/4", "-", "+-", "to", "(", ")", "mm", "in", "max", "min", " ", "thou", ","]
    ),
    max_size=12,
).map("".join)


@given(st.text() | PIECES, st.sampled_from(sorted(SIZES)), st.booleans())
def test_any_text_is_taken_or_refused_with_advice(text: str, unit: str, comma: bool) -> None:
    taken = taken_or_refusal(text, unit, comma=comma)
    if isinstance(taken, BadReading):
        assert taken.advice
    else:
        assert taken.at_least is not None or taken.at_most is not None


def taken_or_refusal(text: str, unit: str, *, comma: bool) -> Printed | BadReading:
    try:
        return read_printed(text, unit, decimal_comma=comma)
    except BadReading as refusal:
        return refusal
