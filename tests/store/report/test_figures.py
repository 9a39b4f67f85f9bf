import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.quantity import Quantity
from store.report.figures import Saying, day, moment, number, odds, saying
from store.report.figures import given as stated

NBSP = "\u00a0"


@given(st.floats(0, 1))
def test_odds_never_say_more_than_they_are(probability: float) -> None:
    said = odds(probability).replace(NBSP, " ")
    if said.startswith("more than"):
        assert probability > 0.99
    elif said.startswith("fewer than"):
        assert probability < 0.01
    else:
        chances = int(said.removesuffix(" in 100"))
        assert chances / 100 <= probability + 1e-9 < (chances + 1) / 100 + 1e-9


def test_odds_just_short_of_the_rule_are_not_printed_as_the_rule() -> None:
    # "too close to call" beside "95 in 100" would contradict the rule that asks for 95
    assert odds(0.9499) == f"94 in{NBSP}100"
    assert odds(0.95) == f"95 in{NBSP}100"


@given(st.floats(-1e4, 1e4), st.floats(1e-5, 10))
def test_a_printed_value_is_off_by_less_than_its_own_uncertainty(value: float, u: float) -> None:
    say = saying(Quantity(value, "mm", u))
    printed = float(say.bare(value).replace("\u2212", "-"))
    assert abs(printed - value) <= u / 2 * (1 + 1e-6) + 1e-9


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (1.42, 1.61, f"1.42 to 1.61{NBSP}mm BELOW"),
        (-0.31, -0.12, f"0.12 to 0.31{NBSP}mm PROUD"),
        (-0.05, 0.11, f"0.05{NBSP}mm PROUD to 0.11{NBSP}mm BELOW"),
        (0.0, 0.11, f"FLUSH to 0.11{NBSP}mm BELOW"),
    ],
)
def test_a_depth_is_said_with_its_word_and_without_a_sign(
    low: float, high: float, said: str
) -> None:
    assert Saying("mm", 2, depth=True).interval(low, high) == said


def test_a_flush_depth_is_said_flush() -> None:
    say = Saying("mm", 2, depth=True)
    assert say.value(0.004) == "FLUSH"
    assert say.value(-0.2) == f"0.20{NBSP}mm PROUD"


def test_a_stated_value_keeps_all_its_decimals() -> None:
    assert stated(Quantity(0.0004, "in")) == f"0.0004{NBSP}in"
    assert stated(Quantity(22.0, "%")) == f"22{NBSP}%"
    assert Saying("in", 2).stated(0.0021) == f"0.0021{NBSP}in"


def test_a_number_has_a_true_minus_and_no_negative_nought() -> None:
    assert number(-1.25, 1) == "\u22121.2"
    assert number(-0.04, 1) == "0.0"


def test_what_is_known_better_than_any_figure_shows_has_no_string_of_noughts() -> None:
    nothing = Quantity(1e-17, "mm^2", 3e-16, quantiles=(0.0,) * 200 + (1e-15,))
    assert saying(nothing).bare(nothing.value) == "0"
    assert saying(nothing).interval(*nothing.interval()) == f"0 to 0{NBSP}mm²"
    assert saying(Quantity(2.5, "mm", 1e-9)).bare(2.5) == "2.5"
    # What does show stays.
    assert saying(Quantity(0.00001, "mm", 0.000002)).bare(0.00001) == "0.000010"


@pytest.mark.parametrize("value", [-0.0001, 0.0001, 0.00031])
def test_a_value_finer_than_its_uncertainty_is_not_printed_as_nought(value: float) -> None:
    printed = saying(Quantity(value, "in", 0.05)).bare(value).replace("\u2212", "-")
    assert float(printed) == pytest.approx(value, rel=0.5)
    assert "\u2212" not in saying(Quantity(-0.0, "in", 0.05)).value(-0.0)
    assert stated(Quantity(-0.0, "in")) == Saying("in", 2).stated(-0.0) == f"0{NBSP}in"


def test_times_are_said_by_their_own_clock_and_other_text_stays() -> None:
    assert moment("2026-11-16T11:40:30+01:00") == f"16{NBSP}Nov{NBSP}2026, 11:40"
    assert day("2026-11-16T11:40:30-05:00") == f"16{NBSP}November{NBSP}2026"
    assert moment("just before noon") == "just before noon"
