"""What a typed reading is worth."""

from math import inf, nan, sqrt

import pytest
from msgspec.structs import replace

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from store.budgets.budget import Budget, combined
from store.budgets.materials import expansion_per_k
from store.budgets.worth import reading_budget, reading_quantity
from store.characteristic import Doubt
from store.errors import BadPlan, CannotDerive
from store.evidence import Direction, Read, Zero
from store.plan import Gauge


def gauge(resolution: float, error: float, unit: str = "mm", **more: object) -> Gauge:
    return Gauge(
        id="mic-a",
        kind="mic",
        resolution=Quantity(resolution, unit),
        permissible_error=Quantity(error, unit),
        **more,  # type: ignore[arg-type]
    )


def read(exact: str, half_step: float = 0.0, *, unit: str = "mm", **more: object) -> Read:
    quantity = Quantity(0.0, unit)
    return Read(
        key="J1.dia", text=exact, quantity=quantity, exact=exact, half_step=half_step, **more
    )  # type: ignore[arg-type]


def u_of(budget: Budget) -> dict[str, float]:
    return {source.label: source.u for source in budget.sources}


def test_a_digital_step_is_uncertain_by_029_of_it() -> None:
    # GUM F.2.2.1: u = step / sqrt(12) = 0.29 step, and not step / sqrt(3)
    worth = reading_quantity(read("34.91", 0.005))
    assert worth.u == pytest.approx(0.29 * 0.01, rel=0.01)
    assert worth.u == pytest.approx(0.01 / sqrt(12), rel=1e-12)
    assert (worth.value, worth.unit, worth.dof) == (34.91, "mm", None)


def test_a_rectangle_of_known_bounds_is_uncertain_by_its_half_over_root_three() -> None:
    # GUM 4.3.7, the thermal expansion of copper: 16.52 +- 0.40 gives u = 0.23
    worth = reading_quantity(read("16.52", 0.005, plus_minus=0.40))
    assert worth.u == pytest.approx(0.23, abs=0.005)


def test_the_coarser_of_number_and_gauge_is_the_step() -> None:
    coarse = reading_quantity(read("34.91", 0.005), gauge=gauge(0.05, 0.0))
    assert coarse.u == pytest.approx(0.05 / sqrt(12))
    fine = reading_quantity(read("34.91", 0.005), gauge=gauge(0.001, 0.0))
    assert fine.u == pytest.approx(0.01 / sqrt(12))


def test_the_gauge_adds_its_permissible_error_as_a_rectangle() -> None:
    worth = reading_quantity(read("34.91", 0.005), gauge=gauge(0.01, 0.03))
    assert worth.u == pytest.approx(sqrt(0.01**2 / 12 + 0.03**2 / 3))


def test_a_vernier_calliper_is_worth_what_ea_4_02_says() -> None:
    # EA-4/02 S10 (second hand): 0.05 mm steps there come to u 15 um, +- 50 um to 29 um.
    worth = reading_quantity(read("150.10", 0.025), gauge=gauge(0.05, 0.05))
    assert worth.u == pytest.approx(sqrt(0.0144**2 + 0.0289**2), abs=0.0001)


def test_a_typed_plus_minus_replaces_rounding_and_gauge() -> None:
    known = gauge(1.0, 1.0, repeatability=Quantity(1.0, "mm"), repeats=5)
    worth = reading_budget(read("8.0", 0.5, plus_minus=0.2), entry="e1", gauge=known)
    assert u_of(worth) == {"+- of e1": pytest.approx(0.2 / sqrt(3))}


def test_a_gauge_in_inches_serves_a_reading_in_millimetres() -> None:
    known = gauge(0.001, 0.002, "in", repeatability=Quantity(0.001, "in"), repeats=3)
    worth = reading_quantity(read("20.0", 0.0), gauge=known)
    expected = 25.4 * sqrt(0.001**2 / 12 + 0.002**2 / 3 + 0.001**2)
    assert worth.u == pytest.approx(expected)


def test_repeatability_has_the_degrees_of_freedom_of_its_repeats() -> None:
    known = gauge(0.001, 0.0, repeatability=Quantity(0.004, "mm"), repeats=6)
    worth = reading_budget(read("20.0", 0.0), entry="e1", gauge=known)
    spread = next(s for s in worth.sources if s.shape == "t")
    assert (spread.u, spread.dof) == (0.004, 5.0)
    assert spread.label != reading_budget(read("20"), entry="e2", gauge=known).sources[-1].label


def test_one_gauge_is_one_error_and_the_rest_is_each_readings_own() -> None:
    known = gauge(0.01, 0.03, repeatability=Quantity(0.004, "mm"), repeats=6)
    a = reading_budget(read("20.0"), entry="e1", gauge=known)
    b = reading_budget(read("10.0"), entry="e2", gauge=known)
    assert set(u_of(a)) & set(u_of(b)) == {"gauge mic-a"}
    apart = combined(10.0, "mm", [(a, 1.0), (b, -1.0)])
    assert apart.u == pytest.approx(sqrt(2 * (0.01**2 / 12 + 0.004**2)))
    assert apart.dof == pytest.approx(5 * (apart.u**4) / (2 * 0.004**2) ** 2)


def test_doubts_of_the_check_and_of_the_reading_are_added() -> None:
    burr = Doubt("burr at the mouth", Quantity(0.03, "mm"))
    hand = Doubt("held at an angle", Quantity(0.001, "in"))
    worth = reading_budget(read("20", doubts=(hand,)), entry="e1", doubts=(burr,))
    assert u_of(worth) == {
        "doubt 1 of e1": pytest.approx(0.03 / sqrt(3)),
        "doubt 2 of e1": pytest.approx(0.0254 / sqrt(3)),
    }
    assert [s.words for s in worth.sources] == ["burr at the mouth", "held at an angle"]
    with_margin = reading_budget(read("20", plus_minus=0.1), entry="e1", doubts=(burr,))
    assert with_margin.u == pytest.approx(sqrt((0.1**2 + 0.03**2) / 3))


def test_a_count_is_exact() -> None:
    counted = reading_budget(read("4", 0.5, unit="count", plus_minus=1.0), entry="e1")
    assert counted == Budget(4.0, "count")


def test_a_fraction_is_worth_its_value() -> None:
    assert reading_quantity(read("17/32", unit="in")).value == 17 / 32


def test_a_reading_not_yet_filed_takes_the_unit_told_and_an_old_one_its_value() -> None:
    fresh = replace(read("2.5"), quantity=None)
    assert reading_budget(fresh, entry="", unit="in") == Budget(2.5, "in")
    old = replace(read(""), quantity=Quantity(7.25, "mm"))
    assert reading_budget(old, entry="e1", unit="in") == Budget(7.25, "mm")


def test_a_reading_without_a_number_is_refused() -> None:
    for words in (replace(read(""), quantity=None), replace(read("1"), quantity=None)):
        with pytest.raises(CannotDerive, match="no number"):
            reading_budget(words, entry="e1")
    with pytest.raises(CannotDerive, match="no number"):
        reading_budget(replace(read(""), quantity=None), entry="e1", unit="mm")


def test_a_gauge_of_another_kind_is_refused() -> None:
    with pytest.raises(UnitMismatch):
        reading_quantity(read("20.0", unit="N.m"), gauge=gauge(0.01, 0.01))


@pytest.mark.parametrize("wrong", [-0.1, inf, nan])
def test_a_width_that_can_not_be_is_refused(wrong: float) -> None:
    with pytest.raises(CannotDerive, match="nothing is known"):
        reading_quantity(read("20.0", wrong))
    with pytest.raises(CannotDerive, match="nothing is known"):
        reading_quantity(read("20.0", plus_minus=wrong))


# --- a difference gauge

MIC = gauge(0.0001, 0.0002, "in", repeatability=Quantity(0.0001, "in"), repeats=10)
BORE_GAUGE = replace(MIC, id="bore-b", repeatability=None, repeats=0, difference=True)
JOURNAL = Read(
    key="J1.dia", text="2.2980", quantity=Quantity(2.2980, "in"), exact="2.2980", half_step=0.00005
)


def dial(shown: str, direction: Direction, entry: str = "e1", **more: object) -> Read:
    return Read(
        key="M1.bore",
        text=shown,
        quantity=Quantity(0.0, "in"),
        exact=shown,
        half_step=0.00005,
        zero=Zero(Quantity(2.2980, "in", u=0.0001), entry, "the journal"),
        direction=direction,
        **more,  # type: ignore[arg-type]
    )


@pytest.mark.parametrize(
    ("direction", "shown", "size"),
    [("bigger", "0.0025", 2.3005), ("smaller", "0.0025", 2.2955), ("same", "0", 2.2980)],
)
def test_the_dial_is_put_on_or_taken_off_the_zero(
    direction: Direction, shown: str, size: float
) -> None:
    zero = reading_budget(JOURNAL, entry="e1", gauge=MIC)
    worth = reading_budget(dial(shown, direction), entry="e2", gauge=BORE_GAUGE, zero=zero)
    assert worth.value == pytest.approx(size, abs=1e-12)
    assert worth.u == pytest.approx(sqrt(zero.u**2 + (0.0001**2 / 4 + 0.0002**2) / 3))
    assert set(u_of(zero)) < set(u_of(worth))


def test_the_mic_cancels_in_a_clearance_taken_against_its_own_reading() -> None:
    journal = reading_budget(JOURNAL, entry="e1", gauge=MIC)
    bore = reading_budget(dial("0.0025", "bigger"), entry="e2", gauge=BORE_GAUGE, zero=journal)
    clearance = combined(0.0025, "in", [(bore, 1.0), (journal, -1.0)])
    assert set(u_of(clearance)) >= {"gauge mic-a", "gauge bore-b", "rounding of e2"}
    assert clearance.u == pytest.approx(sqrt((0.0001**2 / 4 + 0.0002**2) / 3))


def test_two_bores_on_one_zero_share_it() -> None:
    zero = reading_budget(JOURNAL, entry="e1", gauge=MIC)
    first = reading_budget(dial("0.0025", "bigger"), entry="e2", gauge=BORE_GAUGE, zero=zero)
    second = reading_budget(dial("0.0021", "smaller"), entry="e3", gauge=BORE_GAUGE, zero=zero)
    apart = combined(0.0046, "in", [(first, 1.0), (second, -1.0)])
    rounding, error = 0.0001**2 / 12, 0.0002**2 / 3
    assert apart.u == pytest.approx(sqrt(2 * rounding + 4 * error))  # the dial's error both ways


def test_the_record_alone_has_the_zero_as_one_error() -> None:
    worth = reading_quantity(dial("0.0025", "bigger"), gauge=BORE_GAUGE)
    assert worth.value == pytest.approx(2.3005)
    assert worth.u == pytest.approx(sqrt(0.0001**2 + (0.0001**2 / 4 + 0.0002**2) / 3))
    first, second = (
        reading_budget(dial("0.0025", "bigger", zeroed), entry=entry)
        for entry, zeroed in (("e2", "e1"), ("e3", "e1"))
    )
    assert set(u_of(first)) & set(u_of(second)) == {"zero of e1"}
    ring = reading_budget(dial("0.0025", "bigger", ""), entry="e2")
    assert "zero of the journal 2.298" in u_of(ring)


def test_a_zero_in_another_unit_is_converted() -> None:
    metric = replace(dial("0.0025", "bigger"), zero=Zero(Quantity(58.3692, "mm", u=0.00254)))
    worth = reading_quantity(metric)
    assert (worth.value, worth.unit) == (pytest.approx(2.3005), "in")
    assert worth.u == pytest.approx(sqrt(0.0001**2 + 0.0001**2 / 12))
    budget = Budget(58.3692, "mm", reading_budget(JOURNAL, entry="e1").to("mm").sources)
    again = reading_budget(metric, entry="e2", zero=budget)
    assert again.u == pytest.approx(sqrt(2 * 0.0001**2 / 12))


def test_a_difference_without_its_direction_is_refused() -> None:
    with pytest.raises(CannotDerive, match="bigger or smaller"):
        reading_quantity(dial("0.0025", ""))


# --- temperature


def test_a_length_is_taken_to_20_degrees() -> None:
    # TRADE rule, ISO 1: L (a_part dT_part - a_gauge dT_gauge): 100 mm of aluminium, a steel gauge,
    # both at 30 degrees: 100 (21.5 - 11.5) 1e-6 x 10 = 0.0100 mm; expansions as in materials.py
    warm = read("100", part_c=30.0, gauge_c=30.0)
    worth = reading_budget(warm, entry="e1", material="aluminium 356", gauge=gauge(0.001, 0.0))
    assert worth.value == pytest.approx(100 - 0.0100, abs=1e-9)
    parts = u_of(worth)
    assert parts["expansion of aluminium 356"] == pytest.approx(-100 * 21.5e-7 * 10 / sqrt(3))
    assert parts["expansion of gauge mic-a"] == pytest.approx(100 * 11.5e-7 * 10 / sqrt(3))
    assert parts["temperature 30.0 of the part of J1.dia"] == pytest.approx(
        -100 * 21.5e-6 / sqrt(3)
    )
    assert parts["temperature 30.0 of gauge mic-a at J1.dia"] == pytest.approx(
        100 * 11.5e-6 / sqrt(3)
    )


def test_every_error_has_its_words() -> None:
    known = replace(MIC, due="2031-01-01")
    warm = replace(JOURNAL, part_c=30.0, gauge_c=25.0)
    budget = reading_budget(warm, entry="e1", gauge=known, material="grey iron")
    assert {s.label: s.words for s in budget.sources} == {
        "rounding of e1": "resolution of mic-a",
        "gauge mic-a": "error of mic-a",
        "repeatability of mic-a of e1": "repeatability of mic-a",
        "temperature 30.0 of the part of J1.dia": "temperature of the part",
        "temperature 25.0 of gauge mic-a at J1.dia": "temperature of the gauge",
        "expansion of grey iron": "expansion of grey iron",
        "expansion of gauge mic-a": "expansion of the gauge",
    }
    cold = reading_budget(JOURNAL, entry="e1", gauge=known)
    assert u_of(cold).items() <= u_of(budget).items()  # warmth adds to them and changes none
    plain = reading_budget(JOURNAL, entry="e1")
    assert [s.words for s in plain.sources] == ["rounding"]
    typed = reading_budget(replace(JOURNAL, plus_minus=0.1), entry="e1")
    assert [s.words for s in typed.sources] == ["+- as typed"]
    ring = reading_budget(dial("0.0025", "bigger"), entry="e2")
    assert [s.words for s in ring.sources] == ["what it was zeroed to", "rounding"]


def test_a_warm_part_and_a_cold_gauge_differ_most() -> None:
    worth = reading_budget(
        read("100", part_c=60.0, gauge_c=18.0), entry="e1", material="grey iron", gauge=None
    )
    assert worth.value == pytest.approx(100 * (1 - 10.8e-6 * 40 - 11.5e-6 * 2), abs=1e-9)
    own = replace(gauge(0.001, 0.0), expansion=5e-6)
    worth = reading_budget(
        read("100", part_c=60.0, gauge_c=18.0), entry="e1", material="grey iron", gauge=own
    )
    assert worth.value == pytest.approx(100 * (1 - 10.8e-6 * 40 - 5e-6 * 2), abs=1e-9)


def test_at_20_degrees_only_the_temperatures_are_uncertain() -> None:
    worth = reading_budget(
        read("100", part_c=20.0, gauge_c=20.0), entry="e1", material="steel", gauge=gauge(0.001, 0)
    )
    assert worth.value == 100.0
    assert sum("expansion" in label for label in u_of(worth)) == 0
    assert sum("temperature" in label for label in u_of(worth)) == 2


def test_one_sitting_shares_its_temperature_and_another_check_does_not() -> None:
    def of(key: str, entry: str) -> set[str]:
        warm = replace(read("100", part_c=30.0, gauge_c=30.0), key=key)
        return set(u_of(reading_budget(warm, entry=entry, material="steel")))

    shared = of("M1.bore", "e1") & of("M1.bore", "e2")
    assert sum("temperature" in label for label in shared) == 2
    across = of("M1.bore", "e1") & of("J1.dia", "e2")
    assert across == {"expansion of steel", "expansion of gauge "}


@pytest.mark.parametrize(
    ("reading", "material"),
    [
        (read("100", part_c=30.0), "steel"),
        (read("100", gauge_c=30.0), "steel"),
        (read("100", part_c=30.0, gauge_c=30.0), ""),
        (read("100", part_c=30.0, gauge_c=30.0), "unobtainium"),
        (read("100", part_c=30.0, gauge_c=30.0, unit="N.m"), "steel"),
    ],
)
def test_what_can_not_be_corrected_is_left_as_read(reading: Read, material: str) -> None:
    assert reading_budget(reading, entry="e1", material=material).value == 100.0
    assert reading_budget(reading, entry="e1", material=material).sources == ()


def test_a_zero_is_taken_as_read_and_the_whole_size_corrected_once() -> None:
    warm = replace(JOURNAL, part_c=30.0, gauge_c=30.0)
    as_read = reading_budget(warm, entry="e1", gauge=MIC, material="steel", corrected=False)
    assert as_read == reading_budget(JOURNAL, entry="e1", gauge=MIC)
    bore = dial("0.0025", "bigger", part_c=30.0, gauge_c=20.0)
    worth = reading_budget(
        bore, entry="e2", gauge=BORE_GAUGE, zero=as_read, material="aluminium 356"
    )
    assert worth.value == pytest.approx(2.3005 * (1 - 21.5e-6 * 10), abs=1e-12)


def test_materials_are_known_by_the_words_of_either_side_of_the_sea() -> None:
    # Callister, App. B, Table B.6 (second hand); GUM H.1 for steel
    assert expansion_per_k(" Gray  Iron ") == expansion_per_k("grey iron") == 10.8e-6
    assert expansion_per_k("cast iron") == expansion_per_k("iron") == 10.8e-6
    assert expansion_per_k("nodular iron") == 11.2e-6
    assert expansion_per_k("aluminium") == expansion_per_k("aluminum 356") == 21.5e-6
    assert expansion_per_k("Aluminum 6061") == 23.6e-6
    assert expansion_per_k("aluminum") == 21.5e-6
    assert expansion_per_k("ductile iron") == 11.2e-6
    assert expansion_per_k("steel") == 11.5e-6
    assert expansion_per_k("brass c26000") == 19.9e-6
    assert expansion_per_k("brass") == 20.5e-6
    with pytest.raises(BadPlan, match="'cheese' is not known here; known are steel, ductile iron"):
        expansion_per_k("cheese")
