"""Nearest standard sizes and the part-fit hint: hints only, from exact definitions."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capture.errors import BadReading
from capture.sizes.part_fit import fit
from capture.sizes.series import Size, nearest_sizes

DIAMETERS_MM = st.fractions(min_value=Fraction(1, 100), max_value=300, max_denominator=10_000)


def test_a_sixty_fourth_is_exactly_0_396875_mm() -> None:
    """From the 1959 inch, 25.4 mm."""
    assert nearest_sizes(Fraction("0.396875"), 1) == [Size("1/64 in", Fraction("0.396875"))]


@pytest.mark.parametrize(
    ("mm", "name"),
    [
        # decimal inch equivalents, as in any published drill table (n/64 exact)
        (0.015625 * 25.4, "1/64 in"),
        (0.265625 * 25.4, "17/64 in"),
        (0.53125 * 25.4, "17/32 in"),
        (0.984375 * 25.4, "63/64 in"),
        (1.015625 * 25.4, "1 1/64 in"),
        (1.375 * 25.4, "1 3/8 in"),
        (2 * 25.4, "2 in"),
        (26, "26 mm"),
        (26.5, "26.5 mm"),
        (41.25, "41.25 mm"),
        (1041.25, "1041.25 mm"),
    ],
)
def test_a_standard_size_is_nearest_to_itself_under_its_bench_name(mm: float, name: str) -> None:
    nearest = nearest_sizes(mm)
    assert nearest[0].name == name
    assert float(nearest[0].mm) == pytest.approx(mm, abs=1e-12)


def test_an_inch_and_a_quarter_is_named_in_both_series() -> None:
    """31.75 mm is 80/64 in and 127 quarters of a millimetre: the first size both series share."""
    names = [name for name, mm in nearest_sizes(Fraction("31.76"), 2) if mm == Fraction("31.75")]
    assert names == ["1 1/4 in", "31.75 mm"]


def test_of_two_equally_near_the_smaller_comes_first() -> None:
    # 0.125 mm from both 12.5 and 12.75; the nearest 64ths are 12.303 and 12.7
    assert [name for name, _ in nearest_sizes(Fraction("12.625"), 3)] == [
        "1/2 in",
        "12.5 mm",
        "12.75 mm",
    ]


def test_below_the_smallest_size_the_smallest_are_named() -> None:
    assert [name for name, _ in nearest_sizes(0.01, 2)] == ["0.25 mm", "1/64 in"]


@given(DIAMETERS_MM, st.integers(1, 6))
def test_no_size_left_out_is_nearer(diameter_mm: Fraction, count: int) -> None:
    """Against every size of both series up to 320 mm, found by trying them all."""
    every = [Fraction(n * 127, 320) for n in range(1, 807)] + [
        Fraction(n, 4) for n in range(1, 1281)
    ]
    by_distance = sorted(abs(mm - diameter_mm) for mm in every)
    named = nearest_sizes(diameter_mm, count)
    assert [abs(size.mm - diameter_mm) for size in named] == by_distance[:count]


def test_another_series_is_looked_in_only_when_it_is_named() -> None:
    # 3.2 mm is 0.126 in: between no. 31 (0.1200 in) and no. 30 (0.1285 in)
    assert [name for name, _ in nearest_sizes(3.2, 2)] == ["1/8 in", "3.25 mm"]
    drills = [name for name, _ in nearest_sizes(3.2, 2, ("number drill",))]
    assert drills == ["no. 30 drill", "no. 31 drill"]
    pipe = nearest_sizes(0.53 * 25.4, 1, ("pipe thread",))
    assert pipe == [Size("1/4-18 tapered pipe thread", Fraction("0.540") * Fraction("25.4"))]
    assert nearest_sizes(0.26 * 25.4, 1, ("letter drill", "inch"))[0].name == "letter G drill"
    # letter E is a quarter of an inch: the series named first gives the name
    quarter = Fraction("6.35")
    for series, name in (("letter drill", "letter E drill"), ("inch", "1/4 in")):
        both = (series, *({"letter drill", "inch"} - {series}))
        assert nearest_sizes(quarter, 2, both)[0] == Size(name, quarter)


@given(DIAMETERS_MM)
def test_a_name_says_the_size_it_stands_for(diameter_mm: Fraction) -> None:
    for name, mm in nearest_sizes(diameter_mm, 6):
        number, unit = name.rsplit(" ", 1)
        value = sum(Fraction(piece) for piece in number.split())
        assert value * {"in": Fraction("25.4"), "mm": Fraction(1)}[unit] == mm


def test_three_sizes_are_named_unless_told_otherwise() -> None:
    assert len(nearest_sizes(30)) == 3


def test_a_part_another_size_than_its_bore_is_told_with_both_sizes() -> None:
    words = fit(33.42, 32.55)
    assert "the part is 33.42 mm, the bore 32.55 mm, 0.87 mm apart" in words
    # 84/64 in = 33.34 mm, 82/64 in = 32.54 mm
    assert "the part is nearest to 1 5/16 in or 33.5 mm" in words
    assert "the bore to 1 9/32 in or 32.5 mm" in words
    assert words.endswith(
        "; look for a wrong size in the kit, and measure both again before it goes in"
    )


@pytest.mark.parametrize("part_mm", [32.55, 32.6, 32.75, 32.94, 32.16, 32.2])
def test_a_part_within_a_nominal_step_of_its_bore_is_left_to_the_maker(part_mm: float) -> None:
    assert fit(part_mm, 32.55) == ""


def test_exactly_one_step_is_not_more_than_one() -> None:
    bore, step = Fraction("32.55"), Fraction(127, 320)
    assert fit(bore + step, bore) == ""
    assert fit(bore - step, bore) == ""
    assert fit(bore + step + Fraction(1, 10**9), bore) != ""


def test_a_part_far_too_small_is_told_too() -> None:
    assert "the part is nearest to 1 1/4 in or 31.75 mm" in fit(31.75, 32.55)


def test_the_smallest_part_is_named_though_no_size_is_that_small() -> None:
    assert "the part is nearest to 1/64 in or 0.25 mm" in fit(0.01, 32.55)


@pytest.mark.parametrize("wrong", [0, -1, math.nan, math.inf, Fraction(0), Fraction(-3, 4)])
def test_what_is_no_diameter_is_refused_with_advice(wrong: float) -> None:
    for attempt in (lambda: nearest_sizes(wrong), lambda: fit(wrong, 30), lambda: fit(30, wrong)):
        with pytest.raises(BadReading, match="no diameter; measure again"):
            attempt()
