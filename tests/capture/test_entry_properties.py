"""Typed readings, for every number: nothing is guessed, lost or changed on the way."""

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from capture.entry import (
    Typed,
    parse_answer,
    parse_length,
    parse_limit,
    parse_reading,
    quantity_of,
    spell,
)
from capture.errors import BadReading
from capture.unit_words import SIZES

FIGURES = "0123456789"
UNIT_WORDS = {
    "mm": ("mm", Fraction(1)),
    "um": ("um", Fraction(1)),
    "cm": ("cm", Fraction(1)),
    "in": ("in", Fraction(1)),
    '"': ("in", Fraction(1)),
    "thou": ("in", Fraction(1, 1000)),
    "tenths": ("in", Fraction(1, 10000)),
}


@st.composite
def decimals(draw: st.DrawFn) -> str:
    """Draw a decimal as it is typed: 7, 0012.50, .0025."""
    before = draw(st.text(FIGURES, max_size=12))
    after = draw(st.text(FIGURES, min_size=0 if before else 1, max_size=12))
    return f"{before}.{after}" if after else before


@st.composite
def fractions(draw: st.DrawFn) -> str:
    """Draw a fraction as it is typed: 17/32, 1 3/8, 1-5/8."""
    bottom = draw(st.integers(2, 1000))
    if draw(st.booleans()):
        return f"{draw(st.integers(1, 10**12 - 1))}/{bottom}"
    whole, joint = draw(st.integers(0, 10**12 - 1)), draw(st.sampled_from(" -"))
    return f"{whole}{joint}{draw(st.integers(1, bottom - 1))}/{bottom}"


@st.composite
def readings(draw: st.DrawFn) -> tuple[str, str, bool]:
    """Draw (text, box, is a depth) of a length that looks right; not each can be taken."""
    unit = draw(st.sampled_from(["", *UNIT_WORDS]))
    number = decimals() | fractions()
    text = draw(number)
    if draw(st.integers(0, 3)) == 0:
        text += draw(st.sampled_from([" to ", " - ", "-"])) + draw(decimals())
    text += f" {unit}"
    if draw(st.booleans()):
        text += f" +- {draw(number)} {draw(st.sampled_from(['', *UNIT_WORDS]))}"
    face = draw(st.sampled_from(["", "", "BELOW", "PROUD", "FLUSH"]))
    box = draw(st.sampled_from(["mm", "um", "in", "cm"]))
    return f"{text} {face}", box, face != ""


def value_of(number: str) -> Fraction:
    """Return what a typed number is worth, by Python's own Fraction."""
    return sum(map(Fraction, number.replace("-", " ").split()), start=Fraction(0))


@given(decimals())
def test_every_decimal_is_kept_exactly_with_its_last_step(number: str) -> None:
    typed = parse_reading(number, unit="mm")
    assert typed.exact == Fraction(number)
    assert typed.half_step == Fraction(1, 2 * 10 ** len(number.partition(".")[2]))
    again = parse_reading(spell(typed), unit="mm")
    assert (again.exact, again.half_step) == (typed.exact, typed.half_step)


@given(fractions())
def test_every_fraction_is_kept_exactly_with_its_last_step(number: str) -> None:
    typed = parse_reading(number, unit="in")
    assert typed.exact == value_of(number)
    assert typed.half_step == Fraction(1, 2 * int(number.partition("/")[2]))


@given(st.integers(0, 10**12 - 1), st.sampled_from([" ", "-"]), st.data())
def test_a_fraction_not_below_1_beside_a_whole_number_is_refused(
    whole: int, joint: str, data: st.DataObject
) -> None:
    bottom = data.draw(st.integers(1, 1000))
    top = data.draw(st.integers(bottom, 10**12 - 1))
    with pytest.raises(BadReading, match="not below 1"):
        parse_reading(f"{whole}{joint}{top}/{bottom}", unit="in")


@given(decimals() | fractions(), st.sampled_from(sorted(UNIT_WORDS)), st.sampled_from(["", " "]))
def test_a_unit_word_changes_nothing_but_the_unit(number: str, word: str, space: str) -> None:
    bare, worded = parse_reading(number, unit="in"), parse_reading(number + space + word, unit="in")
    unit, scale = UNIT_WORDS[word]
    assert worded.exact == bare.exact * scale
    assert worded.half_step == bare.half_step * scale
    assert (worded.unit, worded.unit_assumed, bare.unit_assumed) == (unit, False, True)
    assert (worded.face, worded.band, worded.plus_minus) == ("", None, None)


@given(decimals(), st.sampled_from(sorted(SIZES)))
def test_the_box_changes_nothing_but_the_unit(number: str, box: str) -> None:
    if box == "count":
        number = number.replace(".", "1")[:12]
    typed = parse_reading(number, unit=box)
    assert (typed.exact, typed.unit, typed.unit_assumed) == (Fraction(number), box, True)


@given(readings())
@example(("1/7 tenths +- 1/7 tenths", "in", False))
@example(("1 mm +- 1/7 thou", "in", False))
@example(("999999999999 999/1000 tenths", "in", False))
@example(("0.000000000001 tenths", "in", False))
@example(("0.000000000001 to 0.000000000002 tenths", "in", False))
@example(("1 in +- 100000000000 cm", "in", False))
@example(("1 in +- 200000000000 cm", "in", False))
@example(("1 mm +- 200000000000 1/3 cm", "mm", False))
@example(("0 +- 1/7 in FLUSH", "in", True))
def test_what_is_spelled_reads_back_as_the_same_value(reading: tuple[str, str, bool]) -> None:
    text, box, depth = reading
    try:
        typed = parse_reading(text, unit=box, depth=depth)
    except BadReading:
        return
    spelled = spell(typed)
    again = parse_reading(spelled, unit=typed.unit, depth=depth)
    assert meaning(again) == meaning(typed)
    assert spell(again) == spelled


def meaning(typed: Typed) -> tuple[object, ...]:
    """Return everything but how it was typed."""
    return typed.exact, typed.unit, typed.plus_minus, typed.half_step, typed.face, typed.band


def test_readings_drawn_above_are_mostly_taken() -> None:
    """Or the property would say nothing; counted with the standard library's generator."""
    taken = []

    @settings(max_examples=400, derandomize=True)
    @given(readings())
    def count(reading: tuple[str, str, bool]) -> None:
        text, box, depth = reading
        try:
            taken.append(parse_reading(text, unit=box, depth=depth))
        except BadReading:
            return

    count()
    assert len(taken) >= 10
    assert {typed.face for typed in taken} >= {"", "BELOW", "PROUD"}
    assert any(typed.plus_minus for typed in taken)


LOOK_ALIKES = st.text(
    st.sampled_from("0123456789 ./,-+±eE\"'″′⁄½⅜µμm·°%inthoucftlbNFLUSHBEOWPRD<>=\u00a0\t"),
    max_size=30,
)
PARSERS: list[Callable[[str], object]] = [
    *(lambda text, box=box: parse_reading(text, unit=box) for box in SIZES),
    lambda text: parse_reading(text, unit="mm", decimal_comma=True),
    lambda text: parse_reading(text, unit="mm", depth=True),
    parse_length,
    parse_limit,
    lambda text: parse_limit(f"covered < {text}"),
    lambda text: parse_limit(f"pin >= {text}"),
    parse_answer,
]


@given(st.text() | LOOK_ALIKES | decimals() | fractions())
@example("1" * 500)
@example("1/" * 50)
@example("½" * 100)
@example("- " * 50)
@example("." * 100)
@example("\ud800")
def test_any_text_is_taken_or_refused_with_advice(text: str) -> None:
    for parse in PARSERS:
        advice, told = advice_for(parse, text)
        assert advice
        assert told.isprintable()


def advice_for(parse: Callable[[str], object], text: str) -> tuple[str, str]:
    """Return the advice and the whole sentence of a refusal; "taken" for both without one."""
    try:
        parse(text)
    except BadReading as refusal:
        return refusal.advice, str(refusal)
    return "taken", "taken"


@given(LOOK_ALIKES)
def test_what_is_taken_has_its_figures_in_the_order_typed(text: str) -> None:
    """No figure is skipped, as a parser that drops what it does not know would do."""
    try:
        typed = parse_reading(text, unit="mm")
    except BadReading:
        return
    if typed.band is None and typed.plus_minus is None and not set(text) & set("/½⅜⁄"):
        figures = [c for c in text if c in FIGURES]
        scaled = str(int(typed.exact / typed.half_step / 2))
        assert "".join(figures).lstrip("0") == scaled.lstrip("0")


@given(decimals(), decimals())
def test_two_numbers_are_never_one(first: str, second: str) -> None:
    for gap in (" ", "  ", "\u00a0", ", ", ";"):
        with pytest.raises(BadReading):
            parse_reading(f"{first}{gap}{second} mm", unit="mm")


@given(st.integers(1, 999), st.integers(0, 999), st.booleans())
def test_what_may_be_thousands_is_always_refused(thousands: int, rest: int, comma: bool) -> None:
    for text in (f"{thousands},{rest:03}", f"{thousands},{rest:03},{rest:03}"):
        with pytest.raises(BadReading):
            parse_reading(text, unit="mm", decimal_comma=comma)


@given(st.integers(0, 10**6), st.text(FIGURES, min_size=1, max_size=8))
def test_a_comma_is_a_point_or_nothing(whole: int, after: str) -> None:
    with pytest.raises(BadReading):
        parse_reading(f"{whole},{after}", unit="mm")
    try:
        typed = parse_reading(f"{whole},{after}", unit="mm", decimal_comma=True)
    except BadReading:
        assert len(after) == 3
        assert 1 <= whole <= 999
    else:
        assert typed.exact == Fraction(f"{whole}.{after}")


@given(decimals(), st.sampled_from(["in", "thou", "mm", "um", "cm"]))
def test_a_length_is_that_many_millimetres(number: str, word: str) -> None:
    """Against the definitions: 1 in = 25.4 mm, 1 thou = 0.0254 mm."""
    size_mm = {"in": "25.4", "thou": "0.0254", "mm": "1", "um": "0.001", "cm": "10"}[word]
    exact_mm = Fraction(number) * Fraction(size_mm)
    if exact_mm == 0:
        with pytest.raises(BadReading):
            parse_length(f"{number} {word}")
        return
    assert parse_length(f"{number} {word}").value == float(exact_mm)


@given(decimals(), decimals())
def test_a_margin_gives_its_own_uncertainty_alone(number: str, margin: str) -> None:
    if Fraction(margin) == 0:
        return
    quantity = quantity_of(parse_reading(f"{number} +- {margin}", unit="mm"))
    assert quantity.u == pytest.approx(float(Fraction(margin)) / 3**0.5, rel=1e-14)
