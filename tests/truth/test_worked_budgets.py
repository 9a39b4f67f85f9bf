"""Published budgets, worked again by the machinery that works out a job's values.

"Second hand": read in a library or page that quotes the document; "from memory": not read at all.
Both were confirmed by calculating from the published inputs.
"""

from collections.abc import Callable
from math import cos, floor, fsum, sin, sqrt
from typing import Literal

import pytest

from annotate.mathematics import student
from annotate.quantity import Quantity
from store.budgets.budget import Budget, Source, combined, correlation, joint_budgets
from store.budgets.grid import Grid, single, taken
from store.budgets.outcome import Worked
from store.budgets.worth import reading_budget
from store.characteristic import Band, Spot
from store.evidence import Read
from store.formulas.bands import band_of
from store.formulas.evaluate import evaluate
from store.formulas.formula import Ref
from store.plan import Gauge
from tests.truth import uncertainty

Shape = Literal["rectangular", "triangular", "normal", "t"]


def error(name: str, u: float, shape: Shape = "normal", dof: float | None = None) -> Source:
    return Source(name, name, u, shape, dof=dof)


def known(unit: str = "1", **values: tuple[float, Source | None]) -> Callable[[Ref], Grid]:
    """Return a look-up of "X.name"."""
    there = {
        f"X.{name}": single(name, Budget(value, unit, (source,) if source else ()))
        for name, (value, source) in values.items()
    }
    return lambda ref: there[ref.key]


# --- JCGM 100:2008 (GUM) H.1, end gauge: Table H.1, second hand. In nm, kept as plain numbers.

END_GAUGE = Budget(
    50_000_838.0,
    "1",
    (
        error("standard", 25.0, "t", 18),
        error("repeats", 5.8, "t", 24),
        error("comparator, random", 3.9, "t", 5),
        error("comparator, systematic", 6.7, "t", 8),
        error("temperature difference", 16.6, "rectangular", 2),
        error("difference of expansion", 2.9, "rectangular", 50),
    ),
)


def test_the_end_gauge_has_its_published_uncertainty() -> None:
    truth = uncertainty.H1
    assert END_GAUGE.u == pytest.approx(truth["u_unrounded"], abs=0.03)
    assert round(END_GAUGE.u) == truth["u_nm"]
    assert END_GAUGE.dof == pytest.approx(truth["dof"], abs=0.1)
    difference = Budget(215.0, "1", END_GAUGE.sources[1:4])
    assert difference.u == pytest.approx(9.7, abs=0.05)
    # 25.6 printed from the rounded 9.7, 25.4 without rounding
    assert difference.dof == pytest.approx(truth["dof_d"], abs=0.25)
    # H.1.6: degrees of freedom truncated to 16, t99 = 2.92, U99 = 93 nm of the rounded 32
    assert END_GAUGE.dof is not None
    t99 = student.quantile(0.995, floor(END_GAUGE.dof))
    assert t99 == pytest.approx(truth["t99"], abs=0.005)
    assert round(t99 * round(END_GAUGE.u)) == truth["U99"]


def test_the_end_gauge_by_trials_has_the_published_interval() -> None:
    # JCGM 101:2008 9.5, Tables 10 and 11, second hand (interval from memory): 838 nm, u 36 where
    # first order has 32, 99 % interval [745, 932]. The arcsine and the curvilinear trapezoids of
    # its Table 10 are rectangles of the same u here.
    lookup = known(
        ls=(623.0, error("ls", 25.0, "t", 18)),
        d=(215.0, error("d", 6.0, "t", 24)),
        d1=(0.0, error("d1", 4.0, "t", 5)),
        d2=(0.0, error("d2", 7.0, "t", 8)),
        alpha=(11.5e-6, error("alpha", 2e-6 / sqrt(3), "rectangular")),
        theta0=(-0.1, error("theta0", 0.2)),
        delta=(0.0, error("delta", 0.5 / sqrt(2), "rectangular")),
        dalpha=(0.0, error("dalpha", 1e-6 / sqrt(3), "rectangular")),
        dtheta=(0.0, error("dtheta", 0.05 / sqrt(3), "rectangular")),
    )
    worked = evaluate(
        "X.ls + X.d + X.d1 + X.d2"
        " - (50e6 + X.ls) * (X.dalpha * (X.theta0 + X.delta) + X.alpha * X.dtheta)",
        lookup,
        "1",
    )
    assert worked.budget is None
    assert worked.quantity.value == 838.0
    assert worked.quantity.u == pytest.approx(36, abs=0.6)
    assert worked.quantity.interval(0.99) == pytest.approx((745, 932), abs=2.5)


# --- GUM H.2, correlated repeats: Tables H.2 to H.4 (second hand; some correlations from memory)

VOLTS, AMPERES, RADIANS = joint_budgets(
    (
        uncertainty.H2_VOLTS,
        tuple(each / 1000 for each in uncertainty.H2_MILLIAMPERES),
        uncertainty.H2_RADIANS,
    ),
    ("1", "1", "1"),
    "five readings",
)


def impedance() -> dict[str, Budget]:
    V, current, phi = VOLTS.value, AMPERES.value, RADIANS.value
    Z = V / current
    terms = [(VOLTS, 1 / current), (AMPERES, -Z / current)]
    return {
        "R": combined(
            Z * cos(phi), "1", [(b, s * cos(phi)) for b, s in terms] + [(RADIANS, -Z * sin(phi))]
        ),
        "X": combined(
            Z * sin(phi), "1", [(b, s * sin(phi)) for b, s in terms] + [(RADIANS, Z * cos(phi))]
        ),
        "Z": combined(Z, "1", terms),
    }


def test_repeats_taken_together_have_their_published_means_and_correlations() -> None:
    means = ((VOLTS, 4.9990, 0.0032), (AMPERES, 0.0196610, 0.0000095), (RADIANS, 1.04446, 0.00075))
    for budget, value, u in means:
        assert budget.value == pytest.approx(value, rel=1e-6)
        assert budget.u == pytest.approx(u, rel=0.01)
    printed = uncertainty.H2_CORRELATIONS
    assert correlation(VOLTS, AMPERES) == pytest.approx(printed["VI"], abs=0.0055)
    assert correlation(VOLTS, RADIANS) == pytest.approx(printed["Vphi"], abs=0.0055)
    assert correlation(AMPERES, RADIANS) == pytest.approx(printed["Iphi"], abs=0.0055)


def test_resistance_reactance_and_impedance_are_the_published_ones() -> None:
    found = impedance()
    for name, (value, u) in uncertainty.H2_RESULTS.items():
        assert found[name].value == pytest.approx(value, abs=0.001)
        assert found[name].u == pytest.approx(u, abs=0.001)  # 0.2956, printed 0.295
        assert found[name].dof == pytest.approx(4.0)  # five observations of each
    assert correlation(found["R"], found["X"]) == pytest.approx(-0.588, abs=0.001)
    assert correlation(found["R"], found["Z"]) == pytest.approx(-0.485, abs=0.001)
    assert correlation(found["X"], found["Z"]) == pytest.approx(0.993, abs=0.001)


def test_a_formula_over_correlated_repeats_knows_of_it() -> None:
    there = {"X.V": single("v", VOLTS), "X.I": single("i", AMPERES)}
    worked = evaluate("X.V / X.I", lambda ref: there[ref.key], "1")
    value, u = uncertainty.H2_RESULTS["Z"]
    assert worked.quantity.value == pytest.approx(value, abs=0.001)
    assert worked.quantity.u == pytest.approx(u, abs=0.001)
    assert worked.quantity.dof == pytest.approx(4.0)


# --- GUM H.5: ten days, five readings a day of a 10 V standard (Table H.9, from memory; the
# printed mean, 57 uV of the day means and 85 uV within a day come out of it). uV over 10 V.

DAYS = ((172, 60), (116, 77), (13, 111), (144, 101), (106, 67), (31, 93), (60, 80), (125, 73),
        (163, 88), (41, 86))  # fmt: skip


def test_repeats_over_ten_days_are_pooled_as_published() -> None:
    # Five values with mean m and standard deviation s: m - s, m - s, m, m + s, m + s.
    spots = {
        Spot(f"day-{day}", "", number + 1): (f"{day} {number}", Budget(m + part * s, "1"))
        for day, (m, s) in enumerate(DAYS)
        for number, part in enumerate((-1, -1, 0, 1, 1))
    }
    of_all = taken(Grid(spots), "1", "mean").quantity
    assert of_all.value == pytest.approx(97.1)
    assert of_all.u * sqrt(50) == pytest.approx(85, abs=0.5)
    assert of_all.dof == pytest.approx(40)
    means = {Spot(repeat=n): (f"{n}", Budget(float(m), "1")) for n, (m, _) in enumerate(DAYS, 1)}
    of_means = taken(Grid(means), "1").quantity
    assert of_means.u * sqrt(10) == pytest.approx(57, abs=0.5)
    assert of_means.dof == pytest.approx(9)


# --- NIST Statistical Reference Datasets, univariate (a work of the US government, public domain)

MAVRO = (
    "180 170 180 190 180 170 150 140 150 150 170 180 180 190 190 210 200 160 140 130 130 150 150 "
    "160 150 140 130 140 150 140 150 160 150 160 190 200 200 210 220 230 240 250 270 260 260 260 "
    "270 260 250 240"
)  # 2.00180 and so on


def repeats(values: list[float]) -> Grid:
    return Grid({Spot(repeat=n): (f"e{n}", Budget(v, "1")) for n, v in enumerate(values, 1)})


def test_repeats_have_the_certified_mean_and_deviation() -> None:
    mavro = [2 + int(each) / 100_000 for each in MAVRO.split()]
    assert len(mavro) == 50
    found = taken(repeats(mavro), "1").quantity
    assert found.value == pytest.approx(2.001856, rel=1e-12)
    assert found.u * sqrt(50) == pytest.approx(0.000429123454003053, rel=1e-10)
    values, mean, deviation, _ = uncertainty.STRD_NUMACC1
    found = taken(repeats(list(values)), "1").quantity
    assert (found.value, found.u * sqrt(3)) == (mean, pytest.approx(deviation, rel=1e-12))
    for middle, (low, high) in uncertainty.STRD_NUMACC2_TO_4.items():
        found = taken(repeats([middle, *[low, high] * 500]), "1").quantity
        assert found.value == pytest.approx(middle, rel=1e-12)
        assert found.u * sqrt(1001) == pytest.approx(0.1, rel=1e-8)


# --- EA-4/02 (1999, 2013), second hand; the results and the inputs of S9 from memory


def rectangles(*u: float) -> Budget:
    return Budget(0.0, "1", tuple(error(f"{n}", each, "rectangular") for n, each in enumerate(u)))


def test_a_vernier_calliper_at_150_mm_has_its_published_factor() -> None:
    # S10, in um: resolution and mechanics are a trapezoid of beta 1/3, k = 1.83, U = 0.06 mm
    calliper = rectangles(0.46, 1.15 * 1.7, 15.0, 29.0)
    assert calliper.u == pytest.approx(33, abs=0.5)
    assert calliper.factor() == pytest.approx(uncertainty.CALLIPER_K, abs=0.011)
    assert round(calliper.expanded() / 1000, 2) == uncertainty.CALLIPER_EXPANDED_MM
    assert rectangles(25 / sqrt(3), 50 / sqrt(3)).factor() == pytest.approx(1.83, abs=0.005)


def test_a_dominant_rectangle_has_its_published_factor() -> None:
    # S9, a multimeter at 100 V: standard 0.001 V, resolution +-0.05, other influences +-0.011;
    # u 0.030 V, U 0.05 V. Its k 1.65 is that of the dominant rectangle alone.
    meter = Budget(0.1, "1", (error("standard", 0.001), *rectangles(0.05 / sqrt(3)).sources))
    assert meter.factor() == pytest.approx(uncertainty.DOMINANT_RECTANGLE_K, abs=0.01)
    whole = Budget(0.1, "1", (*meter.sources, error("other", 0.011 / sqrt(3), "rectangular")))
    assert round(whole.u, 3) == 0.030
    assert round(whole.expanded(), 2) == 0.05


def test_a_gauge_block_has_its_published_budget() -> None:
    # S4, in nm, 50 mm: the last two but one are sensitivities times u; u 36.4, U 73
    block = Budget(
        0.0,
        "1",
        tuple(
            error(f"{n}", u)
            for n, u in enumerate((15, 17.3, 5.37, 18.5, 28.9 * 0.575, 2.36e-7 * 50e6, 3.87))
        ),
    )
    assert block.u == pytest.approx(36.4, abs=0.05)
    assert round(2 * block.u) == 73


# --- JCGM 101:2008, second hand


def test_sums_have_the_published_intervals() -> None:
    # 9.2.2 to 9.2.4, Tables 2 to 4
    assert Budget(0, "1", tuple(error(f"{n}", 1.0) for n in range(4))).expanded() == (
        pytest.approx(3.92, abs=0.005)
    )
    four = rectangles(1, 1, 1, 1)
    assert four.u == 2.0
    assert four.expanded() == pytest.approx(uncertainty.ADDITIVE_RECTANGULAR_HALF_WIDTH, abs=5e-4)
    wide = rectangles(1, 1, 1, 10)
    assert wide.u == pytest.approx(10.15, abs=0.005)
    assert wide.expanded() == pytest.approx(17.0, abs=0.05)


def test_mass_calibration_by_trials() -> None:
    # 9.3, Tables 5 and 6: first order u 0.0539, trials 0.0754 (intervals from memory)
    lookup = known(
        rc=(100_000.0, error("rc", 0.05)),
        drc=(1.234, error("drc", 0.02)),
        air=(1.2, error("air", 0.1 / sqrt(3), "rectangular")),
        w=(8e3, error("w", 1e3 / sqrt(3), "rectangular")),
        r=(8e3, error("r", 0.05e3 / sqrt(3), "rectangular")),
    )
    formula = "(X.rc + X.drc) * (1 + (X.air - 1.2) * (1 / X.w - 1 / X.r)) - 100000"
    worked = evaluate(formula, lookup, "1")
    truth = uncertainty.MASS_CALIBRATION
    assert worked.budget is None
    assert worked.quantity.value == pytest.approx(truth["estimate"], abs=1e-9)
    assert worked.quantity.u == pytest.approx(truth["u"], abs=0.0008)
    assert worked.quantity.interval() == pytest.approx(truth["interval"], abs=0.003)


@pytest.mark.parametrize(
    ("x1", "r", "u", "top"),
    [
        (0.0, 0.0, 50, 150),
        (0.010, 0.0, 112, None),
        (0.010, 0.9, 121, None),
        (0.050, 0.0, 502, None),
    ],
)
def test_comparison_loss_by_trials(x1: float, r: float, u: float, top: float | None) -> None:
    # 9.4, Tables 8 and 9 (x1 = 0.050 from memory), in 1e-6: y = x1^2 + x2^2, u of each 0.005. At
    # 0 first order has u = 0, and the shortest 95 % interval begins at 0.
    first, second = error("a", 0.005), error("b", 0.005 * sqrt(1 - r**2))
    there = {
        "X.a": single("a", Budget(x1, "1", (first,))),
        "X.b": single("b", Budget(0.0, "1", (first.times(r), second))),
    }
    worked = evaluate("X.a * X.a + X.b * X.b", lambda ref: there[ref.key], "1")
    assert worked.budget is None
    assert worked.quantity.u * 1e6 == pytest.approx(u, rel=0.015)
    assert worked.quantity.value == pytest.approx(x1**2)
    if top:
        assert worked.quantity.quantile(0.95) * 1e6 == pytest.approx(top, rel=0.015)


def test_thermal_expansion_of_a_nist_example() -> None:
    # NIST TN 1900 (2015), E13, second hand: 1.7266e-5 per kelvin, u 1.76e-6
    lookup = known(
        a=(1.4999, error("a", 0.0001, "t", 3)),
        b=(1.5021, error("b", 0.0002, "t", 3)),
        s=(288.15, error("s", 0.02, "t", 3)),
        t=(373.10, error("t", 0.05, "t", 3)),
    )
    worked = evaluate("(X.b - X.a) / (X.a * (X.t - X.s))", lookup, "1")
    assert worked.quantity.value == pytest.approx(1.7266e-5, rel=1e-4)
    assert worked.quantity.u == pytest.approx(1.76e-6, rel=0.005)


# --- trade tables: US Army technical manuals are public domain; each was read in a stored copy


def typed(unit: str = "in", **values: float) -> Callable[[Ref], Grid]:
    return known(unit, **{name: (value, None) for name, value in values.items()})


def test_clearances_derived_in_a_manual_come_out_in_both_its_units() -> None:
    # TM 9-2815-256-24, p. 3-185: thrust clearance = journal width - bearing width; bearing
    # 1.528-1.530 in, clearance 0.002-0.008 in (0.05-0.20 mm): the journal is then 1.532-1.536.
    for journal, bearing, inches, mm in ((1.532, 1.530, 0.002, 0.05), (1.536, 1.528, 0.008, 0.20)):
        lookup = typed(journal=journal, bearing=bearing)
        assert evaluate("X.journal - X.bearing", lookup, "in").quantity.value == inches
        in_mm = evaluate("X.journal - X.bearing", lookup, "mm").quantity.value
        assert in_mm == pytest.approx(mm, abs=0.005)
    # TM 5-3805-281-24-2: main journal 95.201-95.227 mm (3.7480-3.7491 in), clearance 0.030-0.107
    # mm (0.0012-0.0042 in): the bearing is then 95.257-95.308 mm.
    for bore, journal, mm, inches in (
        (95.257, 95.227, 0.030, 0.0012),
        (95.308, 95.201, 0.107, 0.0042),
    ):
        lookup = typed("mm", bore=bore, journal=journal)
        assert evaluate("X.bore - X.journal", lookup, "mm").quantity.value == mm
        in_inches = evaluate("X.bore - X.journal", lookup, "in").quantity.value
        assert in_inches == pytest.approx(inches, abs=0.00005)


def test_wear_rules_per_inch_of_diameter() -> None:
    # TM 10-3930-647-14&P: 0.0005 in an inch over the high limit of a journal's clearance, 0.0004
    # of out-of-round: 0.0015 and 0.0012 for a journal of 3.000 in
    lookup = typed(journal=3.000)
    assert evaluate("0.0005 * X.journal", lookup, "in").quantity.value == 0.0015
    assert evaluate("0.0004 * X.journal", lookup, "in").quantity.value == 0.0012


# TM 5-4210-233-14&P-2, Table c: camshaft end play less (0.244 - t1 - t2), then a washer by band.
END_PLAY = "X.play - (0.244 in - X.t1 - X.t2)"
WASHERS = (
    Band("standard", at_most=Quantity(0.016, "in")),
    Band("+0.005", at_least=Quantity(0.017, "in"), at_most=Quantity(0.026, "in")),
    Band("+0.010", at_least=Quantity(0.027, "in"), at_most=Quantity(0.036, "in")),
    Band("replace", at_least=Quantity(0.036, "in")),
)


@pytest.mark.parametrize(
    ("play", "value", "name"),
    [
        (0.018, 0.015, "standard"),
        (0.020, 0.017, "+0.005"),
        (0.029, 0.026, "+0.005"),
        (0.030, 0.027, "+0.010"),
        (0.0195, 0.0165, ""),
        (0.0295, 0.0265, ""),
        (0.041, 0.038, "replace"),
    ],
)
def test_end_play_worked_out_and_looked_up(play: float, value: float, name: str) -> None:
    worked = evaluate(END_PLAY, typed(play=play, t1=0.120, t2=0.121), "in")
    assert worked.quantity.value == value
    found = band_of(worked.quantity, WASHERS)
    assert found.name == name
    assert ("belongs to neither" in found.why) == (not name)


def test_a_hot_piston_takes_up_its_clearance() -> None:
    # From the expansions of Callister, App. B, Table B.6 (second hand) and of grey iron (second
    # hand): a 356.0 piston in a grey iron bore, 100 mm, 100 K: 0.107 mm less clearance.
    hot: dict[str, Worked] = {}
    for name, material in (("bore", "grey iron"), ("piston", "aluminium 356")):
        read = Read(
            key=f"C1.{name}", text="100", quantity=Quantity(100.0, "mm"), exact="100",
            part_c=120.0, gauge_c=20.0,
        )  # fmt: skip
        steel = Gauge("mic-a", "mic", Quantity(0.001, "mm"), Quantity(0.0, "mm"))
        budget = reading_budget(read, entry=name, gauge=steel, material=material)
        hot[name] = taken(single(name, budget), "mm")
    # Alike when hot, so at 20 degrees the piston is the smaller by what it grew more.
    assert hot["bore"].quantity.value - hot["piston"].quantity.value == (
        pytest.approx(0.107, abs=0.0005)
    )


def test_the_mean_of_published_readings_is_their_sum_over_their_number() -> None:
    # GUM H.2, Table H.2 (second hand): 4.9990 V, 19.6610 mA, 1.04446 rad
    for row, mean in (
        (uncertainty.H2_VOLTS, 4.9990),
        (uncertainty.H2_MILLIAMPERES, 19.6610),
        (uncertainty.H2_RADIANS, 1.04446),
    ):
        found = taken(repeats(list(row)), "1").quantity
        assert found.value == pytest.approx(mean, abs=1e-9)
        deviation = sqrt(fsum((each - mean) ** 2 for each in row) / 20)
        assert found.u == pytest.approx(deviation)
