"""Slips: found where they are, silent for ordinary readings, and never a corrected number."""

import re
from fractions import Fraction
from math import inf, nan, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from capture.errors import WrongUse
from capture.expected import (
    Expected,
    expected_of_limit,
    expected_of_readings,
    expected_of_size,
)
from capture.slips import Slip, suspect
from store.characteristic import Characteristic, Limit
from store.evidence import Read
from store.plan import Gauge

# One turn of an inch thimble 0.025 in, of a metric one 0.5 mm; of an inch dial 0.100 in, of a
# metric one 1 mm (2 mm where it reads to 0.02 mm): common practice, no source.
INCH_MIC = Gauge("m1", "outside mic 3-4", Quantity(0.0001, "in"), Quantity(0.0001, "in"))
METRIC_MIC = Gauge("m2", "Micrometer 25-50", Quantity(0.01, "mm"), Quantity(0.004, "mm"))
DIAL_CALLIPER = Gauge("c1", "dial calliper", Quantity(0.001, "in"), Quantity(0.001, "in"))
METRIC_DIAL = Gauge("d1", "dial indicator", Quantity(0.01, "mm"), Quantity(0.01, "mm"))
COARSE_DIAL = Gauge("d2", "dial calliper", Quantity(0.02, "mm"), Quantity(0.03, "mm"))
DIGITAL = Gauge("c2", "digital mic", Quantity(0.0001, "in"), Quantity(0.0001, "in"))
TURN = "one turn of the thimble"
DIAL = "one turn of the dial"
TEN = "a factor of ten"


def check(**more: object) -> Characteristic:
    values = {"id": "x", "kind": "length", "question": "x?", "unit": "in"} | more
    return Characteristic(**values)


def read(value: float, unit: str = "in", step: float = 0.0001, u: float = 0.00005) -> Read:
    return Read("J1.x", "typed", Quantity(value, unit, u=u), half_step=step / 2)


def others(*values: float, unit: str = "in", u: float = 0.00005) -> Expected:
    return expected_of_readings([Quantity(value, unit, u=u) for value in values])


def names(*args: object, **more: object) -> list[str]:
    return [slip.name for slip in suspect(*args, **more)]


JOURNAL = others(2.7611, 2.7612, 2.7610)


@pytest.mark.parametrize(
    ("value", "unit", "step", "gauge", "near", "told"),
    [
        (2.7361, "in", 0.0001, INCH_MIC, JOURNAL, "0.0250 in away from the other readings here"),
        (2.7863, "in", 0.0001, INCH_MIC, JOURNAL, "0.0252 in away from the other readings here"),
        (
            41.72, "mm", 0.01, METRIC_MIC, others(41.21, 41.22, 41.21, unit="mm"),
            "0.51 mm away from the other readings here",
        ),
        # an inch mic, typed in millimetres
        (69.498, "mm", 0.001, INCH_MIC, JOURNAL, "0.634 mm away from the other readings here"),
    ],
)  # fmt: skip
def test_one_turn_of_a_thimble_is_named_with_the_gap(
    value: float, unit: str, step: float, gauge: Gauge, near: Expected, told: str
) -> None:
    found = suspect(read(value, unit, step), check=check(), gauge=gauge, expected=[near])
    assert found == (Slip(TURN, told),)
    assert found[0].question == f"{told}: one turn of the thimble?"


@pytest.mark.parametrize(
    ("gauge", "unit", "value", "turn"),
    [
        (DIAL_CALLIPER, "in", 1.3141, 0.1),
        (METRIC_DIAL, "mm", 7.33, 1.0),
        (COARSE_DIAL, "mm", 31.44, 2.0),
    ],
)
def test_one_turn_of_a_dial_is_that_dials_own(
    gauge: Gauge, unit: str, value: float, turn: float
) -> None:
    step = gauge.resolution.value
    near = [others(value, unit=unit, u=step / 10)]
    for side in (-turn, turn):
        assert names(read(value + side, unit, step), check=check(), gauge=gauge, expected=near) == [
            DIAL
        ]
        half = read(value + side / 2, unit, step)
        assert names(half, check=check(), gauge=gauge, expected=near) == []


def test_a_gauge_without_a_turn_loses_none() -> None:
    slipped = read(2.7361)
    assert names(slipped, check=check(), gauge=DIGITAL, expected=[JOURNAL]) == []
    for kind in ("vernier calliper", "dial torque wrench", "microscope", "bore gauge", "dialled"):
        gauge = Gauge("g", kind, Quantity(0.0001, "in"), Quantity(0.0001, "in"))
        assert names(slipped, check=check(), gauge=gauge, expected=[JOURNAL]) == []
    wrench = Gauge("w", "dial torque wrench", Quantity(0.001, "N.m"), Quantity(1, "N.m"))
    assert names(slipped, check=check(), gauge=wrench, expected=[JOURNAL]) == []


def test_without_a_gauge_the_kind_of_instrument_says_how_large_a_turn_is() -> None:
    tools = check(instrument="telescoping gauge and mic", resolution=Quantity(0.0001, "in"))
    assert names(read(2.7361), check=tools, gauge=None, expected=[JOURNAL]) == [TURN]
    assert names(read(2.7361), check=check(instrument="mic"), gauge=None, expected=[JOURNAL]) == []
    # a named gauge outranks it
    assert names(read(2.7361), check=tools, gauge=DIGITAL, expected=[JOURNAL]) == []


@pytest.mark.parametrize(
    ("value", "gap"),
    [
        (0.031, "about ten times the other readings here"),
        (0.00031, "about a tenth of the other readings here"),
    ],
)
def test_a_factor_of_ten_is_named(value: float, gap: str) -> None:
    near = [others(0.0031, 0.0031, 0.0031)]
    found = suspect(read(value, step=0.00001), check=check(), gauge=None, expected=near)
    assert found == (Slip(TEN, gap),)


@pytest.mark.parametrize(
    ("value", "name", "gap"),
    [
        (5207.1, "a factor of a hundred", "about a hundred times the other readings here"),
        (52071, "a factor of a thousand", "about a thousand times the other readings here"),
        (0.052071, "a factor of a thousand", "about a thousandth of the other readings here"),
    ],
)
def test_a_decimal_point_further_off_or_left_out_is_named(
    value: float, name: str, gap: str
) -> None:
    near = [others(52.070, 52.071, 52.072, unit="mm", u=0.003)]
    found = suspect(read(value, "mm", 0.0001), check=check(), gauge=None, expected=near)
    assert found == (Slip(name, gap),)


def test_a_proud_depth_has_a_factor_of_ten_too() -> None:
    near = [others(-0.20, unit="mm", u=0.005)]
    assert names(read(-2.0, "mm", 0.01), check=check(), gauge=None, expected=near) == [TEN]


@pytest.mark.parametrize(
    ("value", "unit", "expected", "unit_there", "name", "gap"),
    [
        # 1 in is 25.4 mm: a clearance of 0.0021 in stands as 0.053 in a box of inches
        (0.053, "in", 0.0021, "in", "mm taken for in", "near X only as mm, not as in"),
        (1.654, "mm", 42.012, "mm", "in taken for mm", "near X only as in, not as mm"),
        (2.1, "um", 0.0533, "mm", "thou taken for um", "near X only as thou, not as um"),
        # 1 lbf.ft is 1.3558179483314004 N.m, 1 lbf.in a twelfth (NIST SP 811 app. B)
        (45, "N.m", 61, "N.m", "lbf.ft taken for N.m", "near X only as lbf.ft, not as N.m"),
        (61, "lbf.ft", 45, "lbf.ft", "N.m taken for lbf.ft", "near X only as N.m, not as lbf.ft"),
        # 1 psi is 6.894757 kPa (SP 811)
        (40, "kPa", 276, "kPa", "psi taken for kPa", "near X only as psi, not as kPa"),
        (276, "psi", 40, "psi", "kPa taken for psi", "near X only as kPa, not as psi"),
        (43.5, "bar", 3, "bar", "psi taken for bar", "near X only as psi, not as bar"),
    ],
)
def test_a_number_that_fits_only_in_the_other_unit_is_named(
    value: float, unit: str, expected: float, unit_there: str, name: str, gap: str
) -> None:
    step = {"in": 0.001, "mm": 0.001, "um": 0.1, "bar": 0.1}.get(unit, 1)
    near = [Expected("X", expected * 0.985, expected * 1.015, unit_there)]
    found = suspect(read(value, unit, step), check=check(), gauge=None, expected=near)
    assert found == (Slip(name, gap),)


def test_in_the_limit_only_in_the_other_unit() -> None:
    # clearance 0.0016-0.0043 in (0.041-0.109 mm), TM 9-2815-260-24 p. 5-65
    limit = Limit("TM", at_least=Quantity(0.041, "mm"), at_most=Quantity(0.109, "mm"))
    near = expected_of_limit(limit)
    assert near == Expected("the limit", 0.041, 0.109, "mm")
    for typed in (0.002, 0.003, 0.004):
        found = suspect(read(typed, "mm", 0.001), check=check(), gauge=None, expected=[near])
        assert [slip.question for slip in found] == [
            "near the limit only as in, not as mm: in taken for mm?"
        ]
    for typed in (0.001, 0.005, 0.01, 0.03, 0.041, 0.08, 0.12, 0.2):
        found = suspect(read(typed, "mm", 0.001), check=check(), gauge=None, expected=[near])
        assert found == ()
    # one figure too coarse to say what it is near
    coarse = read(0.003, "mm", 0.002)
    assert suspect(coarse, check=check(), gauge=None, expected=[near]) == ()


def test_a_unit_is_told_of_a_proud_depth_and_not_across_flush() -> None:
    near = [Expected("X", -0.12, -0.05, "mm")]
    assert names(read(-0.003, "mm", 0.001), check=check(), gauge=None, expected=near) == [
        "in taken for mm"
    ]
    assert names(read(0.003, "mm", 0.001), check=check(), gauge=None, expected=near) == []
    across = [Expected("X", -0.05, 0.05, "mm")]
    assert names(read(-0.001, "mm", 0.001), check=check(), gauge=None, expected=across) == []


def test_units_without_another_are_left_alone() -> None:
    near = [Expected("X", 0.9, 1.1, "cm")]
    assert names(read(2.54, "cm", 0.01), check=check(), gauge=None, expected=near) == []
    assert names(read(0.394, "cm", 0.001), check=check(), gauge=None, expected=near) == []
    near = [Expected("X", 89, 91, "deg")]
    assert names(read(9, "deg", 0.1), check=check(), gauge=None, expected=near) == [TEN]


# --- which expectation decides


def test_the_first_expectation_that_can_tell_decides_alone() -> None:
    limit = Expected("the limit", 2.735, 2.737, "in")
    slipped = read(2.7361)
    common = {"check": check(), "gauge": INCH_MIC}
    assert names(slipped, expected=[JOURNAL, limit], **common) == [TURN]
    assert names(slipped, expected=[limit, JOURNAL], **common) == []
    # readings scattered over half a turn can't tell a turn: the limit does
    scattered = others(2.7361, 2.7461, 2.7411)
    assert names(slipped, expected=[scattered], **common) == []
    limit_above = Expected("the limit", 2.760, 2.762, "in")
    (found,) = suspect(slipped, expected=[scattered, limit_above], **common)
    assert found.gap == "0.0249 in away from the limit"


def test_four_half_widths_are_far_enough() -> None:
    # 4 +- 8 and a step of 1: half widths of 9, and 40 is 36 away from 4
    reading = read(40, "deg", 1)
    near = [Expected("X", -4, 12, "deg")]
    assert names(reading, check=check(), gauge=None, expected=near) == [TEN]
    wider = [Expected("X", -4.01, 12.01, "deg")]
    assert names(reading, check=check(), gauge=None, expected=wider) == []


def test_nothing_expected_is_nothing_suspected() -> None:
    assert suspect(read(2.7361), check=check(), gauge=INCH_MIC, expected=[]) == ()
    note = Read("J1.x", "words", None)
    assert suspect(note, check=check(), gauge=INCH_MIC, expected=[JOURNAL]) == ()


def test_a_coarse_gauge_or_a_wide_margin_cannot_tell_a_turn() -> None:
    near = [others(2.7611)]
    coarse = Gauge("m", "mic", Quantity(0.01, "in"), Quantity(0.001, "in"))
    common = {"check": check(), "expected": near}
    assert names(read(2.7361), gauge=INCH_MIC, **common) == [TURN]
    assert names(read(2.7361), gauge=coarse, **common) == []
    assert names(read(2.74, step=0.01), gauge=INCH_MIC, **common) == []
    wide = Read("J1.x", "t", Quantity(2.7361, "in"), half_step=0.00005, plus_minus=0.01)
    assert names(wide, gauge=INCH_MIC, **common) == []


def test_an_expectation_of_another_kind_is_refused() -> None:
    near = [Expected("X", 1, 2, "N.m")]
    with pytest.raises(UnitMismatch):
        suspect(read(2.7361), check=check(), gauge=INCH_MIC, expected=near)


def test_a_gauge_of_another_kind_says_nothing_of_the_step() -> None:
    wrench = Gauge("w", "wrench", Quantity(50, "N.m"), Quantity(1, "N.m"))
    near = [others(0.0031, 0.0031, 0.0031)]
    assert names(read(0.031), check=check(), gauge=wrench, expected=near) == [TEN]


# --- bigger than new

NEW = Limit("s", at_least=Quantity(2.7490, "in"), at_most=Quantity(2.7502, "in"))
WORN = Limit("s", at_least=Quantity(2.7470, "in"))
BORE_NEW = Limit("s", at_least=Quantity(3.5000, "in"), at_most=Quantity(3.5010, "in"))
BORE_WORN = Limit("s", at_most=Quantity(3.5060, "in"))


def test_a_worn_journal_is_not_bigger_than_new() -> None:
    journal = check(limit=NEW, wear_limit=WORN, judged_by="wear")
    (found,) = suspect(read(2.7514), check=journal, gauge=None, expected=[])
    assert found.question == ("0.0012 in above the largest that a new one may be: bigger than new?")
    assert names(read(2.7470), check=journal, gauge=None, expected=[]) == []
    assert names(read(2.7400), check=journal, gauge=None, expected=[]) == []


def test_a_worn_bore_is_not_smaller_than_new() -> None:
    bore = check(limit=BORE_NEW, wear_limit=BORE_WORN, found=True)
    (found,) = suspect(read(3.4988), check=bore, gauge=None, expected=[])
    assert found.question == (
        "0.0012 in below the smallest that a new one may be: smaller than new?"
    )
    assert names(read(3.5100), check=bore, gauge=None, expected=[]) == []


def test_a_hair_beyond_new_may_be_the_reading_itself() -> None:
    journal = check(limit=NEW, wear_limit=WORN, judged_by="wear")
    # 2.7502 + 1.96 u + one step = 2.7502 + 0.000098 + 0.0001
    assert names(read(2.7503), check=journal, gauge=None, expected=[]) == []
    assert names(read(2.75039), check=journal, gauge=None, expected=[]) == []
    assert names(read(2.75041), check=journal, gauge=None, expected=[]) == ["bigger than new"]
    bore = check(limit=BORE_NEW, wear_limit=BORE_WORN, judged_by="wear")
    assert names(read(3.49981), check=bore, gauge=None, expected=[]) == []
    assert names(read(3.49979), check=bore, gauge=None, expected=[]) == ["smaller than new"]


@pytest.mark.parametrize(
    "told",
    [
        {"limit": NEW, "wear_limit": WORN},  # a new part, judged as new
        {"limit": NEW, "found": True},  # no wear limit: which way it wears is not said
        {"wear_limit": WORN, "found": True},
        {
            "limit": NEW,
            "wear_limit": Limit("s", at_least=Quantity(2.74, "in"), at_most=Quantity(2.76, "in")),
            "found": True,
        },  # opens both ways
        {"limit": NEW, "wear_limit": Limit("s", at_least=Quantity(2.7490, "in")), "found": True},
        {"limit": Limit("s", at_least=Quantity(2.749, "in")), "wear_limit": WORN, "found": True},
        {
            "limit": Limit("s", at_most=Quantity(3.501, "in")),
            "wear_limit": BORE_WORN,
            "found": True,
        },
        {"limit": Limit("s", at_most=Quantity(2.7502, "in")), "wear_limit": WORN, "found": True},
    ],
)
def test_where_the_plan_does_not_tell_nothing_is_bigger_than_new(told: dict[str, object]) -> None:
    for value in (2.4, 2.7488, 2.7514, 2.77, 3.4, 3.7):
        assert names(read(value), check=check(**told), gauge=None, expected=[]) == []


def test_limits_in_another_unit_tell_too() -> None:
    metric = check(
        limit=Limit("s", at_least=Quantity(69.825, "mm"), at_most=Quantity(69.855, "mm")),
        wear_limit=Limit("s", at_least=Quantity(2.7470, "in")),
        judged_by="wear",
    )
    # 69.855 mm / 25.4 = 2.75020 in
    assert names(read(2.7514), check=metric, gauge=None, expected=[]) == ["bigger than new"]
    assert names(read(2.7501), check=metric, gauge=None, expected=[]) == []


# --- what is expected


def test_one_reading_expects_its_own_interval() -> None:
    near = expected_of_readings([Quantity(9.1, "mm", u=0.1)], "the first one")
    # z(97.5 %) = 1.960 (JCGM 100:2008 table G.2)
    assert (near.words, near.unit) == ("the first one", "mm")
    assert (near.low, near.high) == (pytest.approx(8.904), pytest.approx(9.296))


def test_more_readings_expect_the_prediction_interval() -> None:
    # n = 3: t(2) = 4.30 (JCGM 100:2008 table G.2), s = 1, sqrt(1 + 1/3)
    near = others(9.0, 10.0, 11.0, unit="mm")
    half = 4.303 * sqrt(4 / 3)
    assert (near.low, near.high) == (
        pytest.approx(10 - half, abs=2e-3), pytest.approx(10 + half, abs=2e-3)
    )  # fmt: skip


def test_readings_in_two_units_are_put_into_the_firsts() -> None:
    near = expected_of_readings([Quantity(1, "in"), Quantity(25.4, "mm")])
    assert (near.unit, near.low, near.high) == ("in", pytest.approx(1), pytest.approx(1))
    with pytest.raises(WrongUse, match=r"^nothing can be expected of no readings$"):
        expected_of_readings([])
    with pytest.raises(UnitMismatch):
        expected_of_readings([Quantity(1, "in"), Quantity(1, "N.m")])


def test_a_limit_with_one_side_expects_nothing() -> None:
    assert expected_of_limit(None) is None
    assert expected_of_limit(WORN) is None
    assert expected_of_limit(BORE_WORN) is None
    falling = Limit("s", at_least=Quantity(2, "mm"), at_most=Quantity(1, "mm"))
    assert expected_of_limit(falling) is None
    mixed = Limit("s", at_least=Quantity(1, "in"), at_most=Quantity(50.8, "mm"))
    near = expected_of_limit(mixed, "new")
    assert near is not None
    assert (near.words, near.low, near.high) == ("new", 1, pytest.approx(2))
    point = Limit("s", at_least=Quantity(2, "mm"), at_most=Quantity(2, "mm"))
    assert expected_of_limit(point) == Expected("the limit", 2, 2, "mm")


def test_a_size_is_expected_within_its_interval() -> None:
    assert expected_of_size(Quantity(3.5, "in"), "the nominal") == Expected(
        "the nominal", 3.5, 3.5, "in"
    )


@pytest.mark.parametrize(("low", "high"), [(2, 1), (nan, 1), (1, inf), (-inf, 1)])
def test_what_is_no_range_is_refused(low: float, high: float) -> None:
    with pytest.raises(WrongUse) as refusal:
        Expected("x", low, high, "mm")
    assert str(refusal.value) == f"{low} to {high} mm is no range"


def test_what_is_expected_and_a_slip_stay_as_they_are() -> None:
    for record in (Expected("x", 1, 2, "mm"), Slip(TEN, "about ten times x")):
        with pytest.raises(AttributeError):
            record.words = "y"
        assert hash(record)


# --- properties

GAUGES = st.sampled_from([INCH_MIC, METRIC_MIC, DIAL_CALLIPER, METRIC_DIAL, DIGITAL, None])
SIZES_IN = st.integers(500, 60_000).map(lambda tenths: Fraction(tenths, 10_000))


@given(SIZES_IN, st.lists(st.integers(-5, 5), min_size=4, max_size=9), GAUGES)
def test_a_reading_among_the_others_is_never_suspected(
    size: Fraction, tenths: list[int], gauge: Gauge | None
) -> None:
    """Readings of one journal, 0.0005 in to either side of its size: no alarm for any of them."""
    *before, last = [float(size + Fraction(n, 10_000)) for n in tenths]
    for near in ([others(*before)], [others(before[0])]):
        assert names(read(last), check=check(), gauge=gauge, expected=near) == []


@given(SIZES_IN, st.floats(0, 1), st.floats(0.0001, 0.02), GAUGES)
def test_a_reading_in_its_limit_is_never_suspected(
    size: Fraction, place: float, width: float, gauge: Gauge | None
) -> None:
    low = float(size)
    near = [Expected("the limit", low, low + width, "in")]
    inside = read(low + place * width)
    assert names(inside, check=check(), gauge=gauge, expected=near) == []


@given(SIZES_IN, st.floats(0.0002, 0.02), st.floats(-1, 1), GAUGES)
def test_a_reading_just_out_of_its_limit_is_never_suspected(
    size: Fraction, width: float, beyond: float, gauge: Gauge | None
) -> None:
    """Out by up to the width of the limit itself: a bad part, and no slip."""
    low = float(size)
    near = [Expected("the limit", low, low + width, "in")]
    out = read(low + width / 2 + beyond * width * 1.5)
    assert names(out, check=check(), gauge=gauge, expected=near) == []


@given(SIZES_IN, st.lists(st.integers(0, 1), min_size=5, max_size=9), st.sampled_from([-1, 1]))
def test_a_turn_off_steady_readings_is_always_suspected(
    size: Fraction, tenths: list[int], side: int
) -> None:
    """Readings that differ by no more than the last step of the gauge."""
    assume(size > Fraction(1, 2))
    *before, last = [float(size + Fraction(n, 10_000)) for n in tenths]
    slipped = read(last + side * 0.025)
    assert TURN in names(slipped, check=check(), gauge=INCH_MIC, expected=[others(*before)])


@given(SIZES_IN, st.sampled_from([10, 0.1, 25.4]))
def test_no_words_hold_a_corrected_number(size: Fraction, factor: float) -> None:
    value = float(size)
    near = [others(value, value, value)]
    found = [
        *suspect(read(value * factor), check=check(), gauge=INCH_MIC, expected=near),
        *suspect(read(value + 0.025), check=check(), gauge=INCH_MIC, expected=near),
    ]
    assert len(found) >= 2
    for slip in found:
        numbers = re.findall(r"[0-9.]+", slip.question)
        if slip.name == TURN:
            assert numbers == ["0.0250"]
        else:
            assert numbers == []


@given(
    st.floats(-1e6, 1e6), st.floats(0, 1e3), st.floats(-1e6, 1e6), st.floats(0, 1e6),
    st.sampled_from(["mm", "in", "um", "cm"]), GAUGES,
)  # fmt: skip
def test_any_reading_is_answered(
    value: float, step: float, low: float, width: float, unit: str, gauge: Gauge | None
) -> None:
    near = [Expected("X", low, low + width, "mm")]
    slips = suspect(read(value, unit, step), check=check(), gauge=gauge, expected=near)
    assert len({slip.name for slip in slips}) == len(slips)
    assert all(slip.question.endswith("?") for slip in slips)
