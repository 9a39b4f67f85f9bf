"""A value looked up in a table of bands."""

import pytest

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from store.characteristic import Band
from store.formulas.bands import Banded, band_of


def band(name: str, low: float | None, high: float | None, unit: str = "in") -> Band:
    return Band(
        name,
        at_least=None if low is None else Quantity(low, unit),
        at_most=None if high is None else Quantity(high, unit),
    )


# US Army TM 5-4210-233-14&P-2, Table c (public domain): end play less the gap of the thrust
# washers, in inches. What lies between 0.016 and 0.017 is nobody's. "Less than 0.016" there.
TABLE = (
    band("standard", None, 0.016),
    band("+0.005", 0.017, 0.026),
    band("+0.010", 0.027, 0.036),
    band("replace", 0.036, None),
)


def named(value: float, u: float = 0.0, unit: str = "in") -> Banded:
    return band_of(Quantity(value, unit, u=u), TABLE)


@pytest.mark.parametrize(
    ("value", "name"),
    [
        (-0.1, "standard"),
        (0.0159, "standard"),
        (0.016, "standard"),
        (0.017, "+0.005"),
        (0.02, "+0.005"),
        (0.026, "+0.005"),
        (0.030, "+0.010"),
        (0.0361, "replace"),
        (5.0, "replace"),
    ],
)
def test_a_value_has_its_band(value: float, name: str) -> None:
    assert named(value) == Banded(name)


def test_a_decimal_that_binary_misses_is_in_its_band() -> None:
    play = 0.020 - (0.244 - 0.120 - 0.121)
    assert play < 0.017  # 0.01699999999999999
    assert named(play).name == "+0.005"
    assert named(0.016 + 1e-12).name == "standard"
    assert named(0.016999999999).name == "+0.005"
    assert named(0.0169999).name == ""
    # relative to the table's largest figure: the rest of a subtraction is no finer
    tall = (*TABLE[1:3], band("tall", 5000.0, 6000.0))
    assert band_of(Quantity(0.016999, "in"), tall).name == "+0.005"
    assert band_of(Quantity(0.01699, "in"), tall).name == ""
    assert band_of(Quantity(0.026001, "in"), tall).name == "+0.005"
    assert named(0.0160001).name == ""


@pytest.mark.parametrize(
    ("value", "why"),
    [
        (
            0.0165,
            (
                "0.0165 in lies between two bands of the table, standard (to 0.016) and "
                "+0.005 (from 0.017), and belongs to neither"
            ),
        ),
        (
            0.0265,
            (
                "0.0265 in lies between two bands of the table, +0.005 (to 0.026) and "
                "+0.010 (from 0.027), and belongs to neither"
            ),
        ),
        (
            0.036,
            "0.036 in is in +0.010 and replace at once: look at the table, then choose one",
        ),
    ],
)
def test_what_has_no_band_is_told_in_a_sentence(value: float, why: str) -> None:
    assert named(value) == Banded("", why)


def test_a_table_has_an_end_where_it_has_one() -> None:
    ends = TABLE[1:3]
    assert band_of(Quantity(0.001, "in"), ends).why == (
        "0.001 in lies below the table, which begins at 0.017 (+0.005)"
    )
    assert band_of(Quantity(0.05, "in"), ends).why == (
        "0.05 in lies above the table, which ends at 0.036 (+0.010)"
    )
    assert band_of(Quantity(0.05, "in"), ()).why == "there is no table to look 0.05 in up in"


def test_three_at_once_are_all_told() -> None:
    wide = (*TABLE, band("any", 0.0, 1.0))
    assert band_of(Quantity(0.036, "in"), wide).why.startswith(
        "0.036 in is in +0.010, replace and any at once"
    )


def test_bands_in_another_unit_are_converted() -> None:
    assert named(0.4318, unit="mm").name == "+0.005"  # 0.017 in
    assert named(0.42, unit="mm").why == (
        "0.42 mm lies between two bands of the table, standard (to 0.4064) and "
        "+0.005 (from 0.4318), and belongs to neither"
    )
    with pytest.raises(UnitMismatch):
        named(0.4, unit="N.m")


def test_bands_that_the_uncertainty_reaches_are_told_too() -> None:
    assert named(0.0255, u=0.001).also == ("+0.010",)
    assert named(0.0175, u=0.001).also == ("standard",)
    assert named(0.022, u=0.001).also == ()
    assert named(0.0165, u=0.001).also == ("standard", "+0.005")
    # 0.0015 beyond, at 1.96 u: only just not, and only just
    assert named(0.0245, u=0.0025 / 1.98).also == ()
    assert named(0.0245, u=0.0025 / 1.94).also == ("+0.010",)
    assert named(0.0185, u=0.0025 / 1.98).also == ()
    assert named(0.0185, u=0.0025 / 1.94).also == ("standard",)
