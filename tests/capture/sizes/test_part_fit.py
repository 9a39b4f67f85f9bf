"""Part fit before the hammer: how tight it is, against what is wanted, with its uncertainty."""

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from capture.errors import BadReading, WrongUse
from capture.sizes.iso_fits import deviations
from capture.sizes.part_fit import beside, fit_part
from store.characteristic import Limit
from store.judge import judge

WANTED = (Quantity(0.03, "mm"), Quantity(0.12, "mm"))


def mm(value: float, u: float = 0.005) -> Quantity:
    return Quantity(value, "mm", u=u)


def test_a_press_fit_is_part_minus_bore_with_both_uncertainties() -> None:
    found = fit_part(mm(38.18, 0.003), mm(38.10, 0.004), WANTED)
    assert found.value.value == pytest.approx(0.08)
    assert found.value.u == pytest.approx(hypot(0.003, 0.004))  # JCGM 100:2008 5.1.2
    assert (found.kind, found.state, found.times) == ("interference", "within", None)
    # 1.96 u = 0.0098 (JCGM 100:2008 table G.2)
    assert found.sentences == (
        "0.0800 mm +- 0.0098 mm interference, wanted 0.03 to 0.12 mm: within",
    )


def test_a_part_one_size_too_large_is_told_with_how_many_times_and_both_sizes() -> None:
    # 1 17/32 in is 38.89375 mm, 1 1/2 in is 38.1 mm
    found = fit_part(mm(38.95), mm(38.10), WANTED)
    assert found.state == "outside"
    assert found.times == pytest.approx(0.85 / 0.12)
    assert found.sentences == (
        (
            "0.850 mm +- 0.014 mm interference, wanted 0.03 to 0.12 mm: outside, "
            "about 7.1 times the most wanted"
        ),
        (
            "the part measures 38.9500 mm +- 0.0098 mm: nearest are 39 mm (0.05 mm below it), "
            "1 17/32 in (0.06 mm above it), 38.75 mm (0.20 mm above it)"
        ),
        (
            "the bore measures 38.1000 mm +- 0.0098 mm: nearest are 1 1/2 in (to 0.01 mm), "
            "38 mm (0.10 mm above it), 38.25 mm (0.15 mm below it)"
        ),
        "look for a wrong size in the kit, and measure both again before it goes in",
    )


def test_a_little_over_is_not_told_in_times() -> None:
    (told, *_) = fit_part(mm(38.27), mm(38.10), WANTED).sentences
    assert told == "0.170 mm +- 0.014 mm interference, wanted 0.03 to 0.12 mm: outside"
    (told, *_) = fit_part(mm(38.29), mm(38.10), WANTED).sentences
    assert told.endswith("outside, about 1.6 times the most wanted")


def test_a_loose_part_is_called_loose() -> None:
    found = fit_part(mm(38.05), mm(38.10), WANTED)
    assert found.sentences[0] == (
        "0.050 mm +- 0.014 mm clearance where interference of 0.03 to 0.12 mm is wanted: outside"
    )
    assert found.times is None
    tight = fit_part(mm(38.15), mm(38.10), WANTED, kind="clearance")
    assert tight.sentences[0] == (
        "0.050 mm +- 0.014 mm interference where clearance of 0.03 to 0.12 mm is wanted: outside"
    )


def test_a_clearance_is_bore_minus_part_in_the_unit_wanted() -> None:
    # clearance 0.0016-0.0043 in, TM 9-2815-260-24 p. 5-65
    wanted = (Quantity(0.0016, "in"), Quantity(0.0043, "in"))
    found = fit_part(
        Quantity(2.7496, "in", u=0.0001), Quantity(69.916, "mm", u=0.00254), wanted,
        kind="clearance",
    )  # fmt: skip
    # 69.916 mm / 25.4 = 2.75260 in
    assert found.value.value == pytest.approx(0.0030, abs=1e-5)
    assert found.value.unit == "in"
    assert found.value.u == pytest.approx(0.0001 * 2**0.5)
    assert found.state == "within"


def test_what_the_uncertainty_leaves_open_is_too_close_to_call() -> None:
    found = fit_part(mm(38.222), mm(38.10), WANTED)
    assert found.state == "too close to call"
    assert found.times == pytest.approx(0.122 / 0.12)
    assert len(found.sentences) == 4
    assert found.sentences[-1] == "measure both again with a finer gauge before it goes in"


@pytest.mark.parametrize(
    ("wanted", "told"),
    [
        ((Quantity(0.03, "mm"), None), "wanted at least 0.03 mm: within"),
        ((None, Quantity(0.12, "mm")), "wanted at most 0.12 mm: within"),
        ((Quantity(0.001, "in"), Quantity(0.12, "mm")), "wanted 0.001 in to 0.12 mm: within"),
    ],
)
def test_the_fit_wanted_may_have_one_side(
    wanted: tuple[Quantity | None, Quantity | None], told: str
) -> None:
    (sentence,) = fit_part(mm(38.18), mm(38.10), wanted).sentences
    assert sentence.endswith(told)


def test_no_wanted_fit_and_no_diameter_are_refused() -> None:
    with pytest.raises(WrongUse, match="the least or the most that is wanted"):
        fit_part(mm(38), mm(38), (None, None))
    for part, bore in ((mm(0), mm(38)), (mm(38), mm(-1))):
        with pytest.raises(BadReading, match="no diameter"):
            fit_part(part, bore, WANTED)
        with pytest.raises(BadReading, match="no diameter"):
            beside(part, bore)
    with pytest.raises(UnitMismatch):
        fit_part(mm(38), Quantity(3, "N.m"), WANTED)


def test_most_of_0_has_no_times() -> None:
    found = fit_part(mm(38.18), mm(38.10), (None, Quantity(0.0, "mm")))
    assert (found.state, found.times) == ("outside", None)


def test_no_difference_is_an_interference_of_0() -> None:
    found = fit_part(mm(38.0, 0), mm(38.0, 0), WANTED)
    assert found.sentences[0] == "0 mm interference, wanted 0.03 to 0.12 mm: outside"


def test_an_exact_part_is_spelled_without_a_margin() -> None:
    (told,) = fit_part(mm(38.25, 0), mm(38.125, 0), (None, Quantity(0.5, "mm"))).sentences
    assert told == "0.125 mm interference, wanted at most 0.5 mm: within"


@pytest.mark.parametrize(
    ("value", "half", "told"),
    [
        # JCGM 100:2008 7.2.6 as practised: two figures of the uncertainty
        (12.34563, 0.02347, "12.346 mm +- 0.023 mm"),
        (12.3456, 0.0996, "12.35 mm +- 0.10 mm"),
        (12.3456, 0.1, "12.35 mm +- 0.10 mm"),
        (124.3, 14.0, "124 mm +- 14 mm"),
    ],
)
def test_a_number_is_as_fine_as_its_uncertainty(value: float, half: float, told: str) -> None:
    part = Quantity(value + 300, "mm", u=half / 1.959964)
    (sentence, *_) = fit_part(part, mm(300, 0), (Quantity(500, "mm"), None)).sentences
    assert sentence.startswith(f"{told} interference, wanted at least 500 mm")


@given(st.floats(30, 60), st.floats(-0.5, 0.5), st.floats(1e-4, 0.1))
def test_the_state_is_that_of_the_judge(bore_mm: float, press_mm: float, u: float) -> None:
    found = fit_part(mm(bore_mm + press_mm, u), mm(bore_mm, u), WANTED)
    limit = Limit("w", at_least=WANTED[0], at_most=WANTED[1])
    assert found.state == judge(found.value, limit).state
    assert found.value.value == pytest.approx(press_mm, abs=1e-9)
    assert len(found.sentences) == (1 if found.state == "within" else 4)


# --- an old part beside its new one


def test_a_new_part_of_another_size_is_told() -> None:
    found = beside(mm(38.14), Quantity(1.5312, "in", u=0.0002))
    # 1.5312 in is 38.89248 mm
    assert found.differ
    assert found.difference.value == pytest.approx(0.75248)
    assert found.sentence == (
        "the new part is 0.752 mm +- 0.014 mm larger than the old: "
        "the old is nearest to 1 1/2 in, the new to 1 17/32 in"
    )
    back = beside(mm(38.89), mm(38.14))
    assert back.sentence.startswith("the new part is 0.750 mm +- 0.014 mm smaller than the old")


def test_two_of_one_size_are_told_apart_only_if_the_gauge_can() -> None:
    found = beside(mm(38.14), mm(38.15))
    assert not found.differ
    assert found.sentence == (
        "old and new are one size as far as they were measured: 0.010 mm +- 0.014 mm apart"
    )
    close = beside(mm(38.14), mm(38.16))
    assert close.differ
    assert close.sentence.endswith("larger than the old: both are nearest to 1 1/2 in")
    assert not beside(mm(38.15, 0), mm(38.15, 0)).differ


def test_what_was_found_stays_as_it_is() -> None:
    found = fit_part(mm(38.18), mm(38.10), WANTED)
    for record in (found, found.part_sizes[0], beside(mm(38), mm(39)), deviations(20, "H7")):
        with pytest.raises(AttributeError):
            record.state = "outside"
        assert hash(record)
