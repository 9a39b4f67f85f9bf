"""Pins tried in a hole: the band between the one that passed and the one that stopped."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capture.entry import Typed, parse_reading, quantity_of, spell
from capture.errors import BadReading, WrongUse
from capture.pins import parse_pins


def band(low: str, high: str) -> tuple[Fraction, Fraction]:
    return Fraction(low), Fraction(high)


@pytest.mark.parametrize(
    "text",
    [
        "2.7 mm passed, 3.0 mm stopped",
        "3.0 mm stopped, 2.7 mm passed",
        "2.7 passed 3.0 stopped",
        "2.7 mm passed; 3.0 stopped",
        "2.7 mm passed,3.0 mm stopped",
        "2.7 mm passed and 3.0 mm stopped.",
        "passed 2.7 mm, stopped 3.0 mm",
        "Passed 2.7 mm and stopped 3.0 mm",
        "2.7 passes, 3.0 stops",
        "2.7 mm to 3.0 mm",
        "2.7 to 3.0 mm",
        "2.7 - 3.0",
    ],
)
def test_two_pins_are_a_band(text: str) -> None:
    typed = parse_pins(text, unit="mm")
    assert (typed.text, typed.unit, typed.band) == (text, "mm", band("2.7", "3.0"))
    assert (typed.exact, typed.half_step) == (Fraction("2.85"), Fraction("0.05"))
    assert typed.plus_minus is None


def test_pins_in_inches_thou_and_fractions() -> None:
    assert parse_pins("0.106 passed, .118 stopped", unit="in").band == band("0.106", "0.118")
    assert parse_pins("106 thou passed, 0.118 in stopped", unit="mm").band == band("0.106", "0.118")
    drills = parse_pins("7/64 in passed, 1/8 in stopped", unit="mm")
    assert (drills.unit, drills.band) == ("in", band("7/64", "1/8"))
    assert (drills.half_step, drills.unit_assumed) == (Fraction(1, 128), False)


def test_where_no_pin_passed_0_did() -> None:
    assert parse_pins("0 mm passed, 1.0 mm stopped", unit="mm").band == band("0", "1")


def test_a_decimal_comma_is_one_of_the_numbers() -> None:
    typed = parse_pins("2,7 mm passed, 3,0 mm stopped", unit="mm", decimal_comma=True)
    assert typed.band == band("2.7", "3.0")
    assert parse_pins(",5 passed, ,7 stopped", unit="mm", decimal_comma=True).band == band(
        "0.5", "0.7"
    )


def test_a_unit_is_marked_as_taken_if_either_pin_had_none() -> None:
    assert parse_pins("2.7 passed, 3.0 mm stopped", unit="mm").unit_assumed
    assert parse_pins("2.7 mm passed, 3.0 stopped", unit="mm").unit_assumed


@pytest.mark.parametrize(
    ("text", "reason", "advice"),
    [
        (
            "2.7 mm passed",
            "what stopped is not said",
            "try the next thicker pin and type both, as 2.7 mm passed, 3.0 mm stopped",
        ),
        (
            "3.0 mm stopped",
            "what passed is not said",
            "type both, as 2.7 mm passed, 3.0 mm stopped; where no pin passed, 0 mm passed",
        ),
        (
            "2.7 mm",
            "a pin reading is two pins: the one that passed and the one that stopped",
            "type it as 2.7 mm passed, 3.0 mm stopped",
        ),
        ("2.7 mm +- 0.1 mm", "a pin reading is two pins", "type it as"),
        (
            "2.5 mm passed, 2.7 mm passed, 3.0 mm stopped",
            "one pin passed and one stopped, no more are kept",
            "type the largest that passed and the smallest that stopped, as 2.7 mm",
        ),
        ("2.7 passed, 3.0 stopped, 3.2 stopped", "one pin passed and one stopped", "largest"),
        (
            "3.0 mm passed, 2.7 mm stopped",
            "the pin that stopped is no thicker than the one that passed",
            "try both pins again",
        ),
        ("3.0 mm passed, 3.0 mm stopped", "the pin that stopped is no thicker", "try both"),
        (
            "2.7 mm passed, 1/8 in stopped",
            "the pins have different units, mm and in",
            "type one unit behind each number",
        ),
        (
            "1/8 in passed, 0.13 in stopped",
            "one pin is a fraction and one a decimal",
            "type both in the same way",
        ),
        ("2.7 to 2.8 passed, 3.0 stopped", "a pin is one size", "type each without +-"),
        ("2.7 passed, 3.0 +- 0.1 stopped", "a pin is one size", "type each without +-"),
        ("2.7 mm passed, 3.0 mm stopped 5", "'5' is no part of it", "type it as 2.7 mm passed"),
        ("passed, stopped", "no number was typed", "12.5 mm"),
        ("2.7 mm bypassed", "'mm bypassed' is not known as a unit", "12.5 mm"),
    ],
)
def test_half_a_pin_reading_is_refused(text: str, reason: str, advice: str) -> None:
    with pytest.raises(BadReading) as refusal:
        parse_pins(text, unit="mm")
    assert refusal.value.reason.startswith(reason)
    assert advice in refusal.value.advice


def test_a_comma_that_may_be_a_decimal_one_is_refused() -> None:
    with pytest.raises(BadReading, match="the comma may be a decimal one"):
        parse_pins("2,7 passed,30 stopped", unit="mm", decimal_comma=True)


@pytest.mark.parametrize(
    ("unit", "told"), [("in", "0.106 in passed, 0.118 in stopped"), ("um", "2700 um passed")]
)
def test_the_advice_is_in_the_unit_of_the_box(unit: str, told: str) -> None:
    with pytest.raises(BadReading, match=told):
        parse_pins("0.106", unit=unit)


def test_a_pin_in_torque_is_the_programs_fault() -> None:
    with pytest.raises(WrongUse, match=r"a pin is a length and not N\.m"):
        parse_pins("2 to 3", unit="N.m")


def test_a_band_is_worth_a_rectangle_over_it() -> None:
    """JCGM 100:2008 4.3.7: half width over the square root of three."""
    worth = quantity_of(parse_pins("2.7 mm passed, 3.0 mm stopped", unit="mm"))
    assert worth.value == pytest.approx(2.85)
    assert worth.u == pytest.approx(0.15 / 3**0.5, rel=1e-12)


@given(st.integers(0, 10**5), st.integers(1, 10**5), st.booleans(), st.sampled_from(", ;"))
def test_every_two_pins_read_back(low: int, more: int, stopped_first: bool, joint: str) -> None:
    passed, stopped = f"{low / 1000:.3f} mm passed", f"{(low + more) / 1000:.3f} mm stopped"
    first, second = (stopped, passed) if stopped_first else (passed, stopped)
    typed = parse_pins(f"{first}{joint} {second}", unit="mm")
    assert typed.band == (Fraction(low, 1000), Fraction(low + more, 1000))
    again = parse_reading(spell(typed), unit="mm")
    assert (again.band, again.half_step) == (typed.band, typed.half_step)


PIECES = st.lists(
    st.sampled_from(
        ["2.7", "3", "1/8", "0", ",", ";", "mm", "in", "passed", "stopped", "and", "to", "+-", "-"]
    ),
    max_size=9,
).map(" ".join)


@given(st.text() | PIECES, st.booleans())
def test_any_text_is_a_rising_band_or_refused_with_advice(text: str, comma: bool) -> None:
    typed = taken_or_refusal(text, comma=comma)
    if isinstance(typed, BadReading):
        assert typed.advice
    else:
        assert typed.band is not None
        assert 0 <= typed.band[0] < typed.band[1]


def taken_or_refusal(text: str, *, comma: bool) -> Typed | BadReading:
    try:
        return parse_pins(text, unit="mm", decimal_comma=comma)
    except BadReading as refusal:
        return refusal
