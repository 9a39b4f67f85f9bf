"""The dial of a difference gauge: no sign, the direction in words, as printed sources disagree."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capture.directions import SAME_HALF_STEP_MM, parse_difference
from capture.entry import Typed
from capture.errors import BadReading, WrongUse


@pytest.mark.parametrize(
    ("text", "exact", "direction"),
    [
        ("0.0021 in bigger", "0.0021", "bigger"),
        ("2.1 thou smaller", "0.0021", "smaller"),
        ("2 1/2 thou BIGGER", "0.0025", "bigger"),
        ("larger 0.0021", "0.0021", "bigger"),
        ("Smaller .0005 in", "0.0005", "smaller"),
        ("21 tenths bigger", "0.0021", "bigger"),
        ("0.0000 in same", "0", "same"),
        ("same 0", "0", "same"),
    ],
)
def test_a_dial_is_its_number_and_its_direction(text: str, exact: str, direction: str) -> None:
    typed, told = parse_difference(text, unit="in")
    assert (typed.text, typed.exact, typed.unit, told) == (text, Fraction(exact), "in", direction)


def test_the_number_keeps_its_own_unit_and_last_step() -> None:
    typed, _ = parse_difference("0.05 mm smaller", unit="in")
    assert (typed.unit, typed.unit_assumed, typed.half_step) == ("mm", False, Fraction("0.005"))
    typed, _ = parse_difference("0.0021 bigger", unit="in")
    assert (typed.unit, typed.unit_assumed, typed.half_step) == ("in", True, Fraction("0.00005"))
    typed, _ = parse_difference("0,05 +- 0,01 bigger", unit="mm", decimal_comma=True)
    assert (typed.exact, typed.plus_minus) == (Fraction("0.05"), Fraction("0.01"))


def test_same_alone_is_worth_half_of_a_ten_thousandth_of_an_inch() -> None:
    """Common practice, no source: what a difference gauge is read to."""
    typed, direction = parse_difference("same", unit="in")
    assert (typed.exact, typed.half_step, direction) == (0, Fraction("0.00005"), "same")
    assert typed.unit_assumed
    assert parse_difference("Same", unit="mm")[0].half_step == SAME_HALF_STEP_MM


@pytest.mark.parametrize(
    ("text", "reason", "advice"),
    [
        (
            "-0.0021 in",
            "a sign on a difference is read in two ways: printed sources contradict each other",
            "type it as 0.02 in bigger or smaller, of the part",
        ),
        ("+0.0021 in bigger", "a sign on a difference", "bigger or smaller"),
        ("bigger ±0.0021", "a sign on a difference", "bigger or smaller"),
        ("0.0021 in", "a difference needs its direction", "bigger or smaller, or same"),
        ("0", "a difference needs its direction", "or same"),
        ("0 bigger", "0 is not bigger", "type same"),
        ("0.0000 in smaller", "0 is not smaller", "type same"),
        ("0.0001 in same", "same is a difference of 0", "bigger or smaller"),
        ("0.001 bigger in", "the direction stands once", "0.02 in bigger"),
        ("0.001 bigger smaller", "the direction stands once", "0.02 in bigger"),
        ("bigger", "no number was typed", "12.5 in"),
        ("0.001 to 0.002 in bigger", "a dial shows one number", "0.02 +- 0.01 in bigger"),
        ("0.001 in below bigger", "BELOW belongs to a depth", "12.5 in"),
        ("0.001 in over", "'in over' is not known as a unit", "12.5 in"),
        ("0.001 samebigger", "'samebigger' is not known", "12.5 in"),
        ("5 deg bigger", "'deg' is an angle and a length", "12.5 in"),
    ],
)
def test_what_may_be_read_in_two_ways_is_refused(text: str, reason: str, advice: str) -> None:
    with pytest.raises(BadReading) as refusal:
        parse_difference(text, unit="in")
    assert refusal.value.reason.startswith(reason)
    assert advice in refusal.value.advice


def test_a_difference_of_torques_is_the_programs_fault() -> None:
    with pytest.raises(WrongUse, match=r"a difference gauge reads a length and not N\.m"):
        parse_difference("same", unit="N.m")


@given(
    st.integers(1, 10**6),
    st.sampled_from(["bigger", "smaller", "larger"]),
    st.sampled_from(["in", "thou", "mm", "um", ""]),
    st.booleans(),
)
def test_every_dial_is_kept_exactly(steps: int, word: str, unit: str, word_first: bool) -> None:
    number = f"{steps / 10**4:.4f} {unit}".strip()
    typed, direction = parse_difference(
        f"{word} {number}" if word_first else f"{number} {word}", unit="in"
    )
    scale = {"thou": Fraction(1, 1000)}.get(unit, Fraction(1))
    assert typed.exact == Fraction(steps, 10**4) * scale
    assert direction == ("smaller" if word == "smaller" else "bigger")


DIALS = st.lists(
    st.sampled_from(
        [
            "bigger",
            "smaller",
            "same",
            "0",
            "0.002",
            "2",
            "in",
            "thou",
            "mm",
            "+",
            "-",
            "+-",
            " ",
            ",",
        ]
    ),
    max_size=8,
).map(" ".join)


@given(st.text() | DIALS, st.booleans())
def test_any_text_is_taken_or_refused_with_advice(text: str, comma: bool) -> None:
    found = taken_or_refusal(text, comma=comma)
    if isinstance(found, BadReading):
        assert found.advice
    else:
        typed, direction = found
        assert typed.exact >= 0
        assert (direction == "same") == (typed.exact == 0)
        assert direction in text.casefold() or "larger" in text.casefold()


def taken_or_refusal(text: str, *, comma: bool) -> tuple[Typed, str] | BadReading:
    try:
        return parse_difference(text, unit="in", decimal_comma=comma)
    except BadReading as refusal:
        return refusal
