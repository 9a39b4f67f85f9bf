"""Formulas over readings, against an independent library, plain sampling and plain arithmetic."""

import operator
from collections.abc import Callable
from math import sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from annotate.quantity import Quantity
from store.budgets.budget import Budget, Source, coverage_budget
from store.budgets.grid import Grid, single
from store.budgets.trials import TRIALS
from store.characteristic import Spot
from store.errors import BadPlan, CannotDerive
from store.formulas.evaluate import evaluate
from store.formulas.formula import Ref


def own(name: str, u: float, shape: str = "normal") -> Source:
    return Source(f"own error of {name}", "w", u, shape)  # type: ignore[arg-type]


def known(**values: tuple[float, float, str]) -> Callable[[Ref], Grid]:
    """Return a look-up of checks A.a, A.b: name -> (value, u, unit), each with its own error."""
    there = {
        f"A.{name}": single(f"entry {name}", Budget(value, unit, (own(name, u),) if u else ()))
        for name, (value, u, unit) in values.items()
    }

    def lookup(ref: Ref) -> Grid:
        if ref.key not in there:
            raise CannotDerive(f"{ref.key} is not measured yet")
        return there[ref.key]

    return lookup


def test_a_clearance_is_bore_minus_journal() -> None:
    lookup = known(bore=(60.050, 0.003, "mm"), journal=(60.000, 0.004, "mm"))
    worked = evaluate("A.bore - A.journal", lookup, "mm")
    assert (worked.quantity.value, worked.quantity.unit) == (0.05, "mm")
    assert worked.quantity.u == pytest.approx(0.005)
    assert worked.cites == ("entry bore", "entry journal")
    assert worked.decisive == ()
    assert worked.budget is not None
    assert {s.label: s.u for s in worked.budget.sources} == {
        "own error of bore": pytest.approx(0.003),
        "own error of journal": pytest.approx(-0.004),
    }


@pytest.mark.parametrize(
    ("formula", "unit", "value"),
    [
        ("A.a + A.b", "mm", 14.0),
        ("A.a - -A.b", "mm", 14.0),
        ("A.a * A.b", "mm^2", 40.0),
        ("A.a / A.b", "1", 2.5),
        ("A.a / A.b", "%", 250.0),
        ("A.a - 1 in", "mm", -15.4),
        ("A.inch - A.a", "in", 2.0 - 10 / 25.4),
        ("A.a * A.b", "in^2", 40 / 645.16),
        ("sqrt(A.a * A.a)", "mm", 10.0),
        ("sqrt(A.a * A.b * 2.5)", "um", 10000.0),
        ("abs(A.b - A.a)", "mm", 6.0),
        ("max(A.a, A.b, A.inch)", "mm", 50.8),
        ("min(A.a, A.b, A.inch)", "mm", 4.0),
        ("mean(A.a, A.b)", "mm", 7.0),
        ("range(A.a, A.b, A.inch)", "mm", 46.8),
        ("A.p / A.t", "kPa/min", 20.0),
        ("A.p / A.t", "psi/min", 20 / 6.894757293168361),
        ("A.p / 60 s", "kPa/min", 100.0),
        ("A.rate * A.t", "psi", 30 * 5),
        ("A.rate * A.t", "bar", 30 * 5 * 0.06894757293168361),
        ("A.rate * 2 s", "psi", 1.0),
        ("A.t - A.p / A.rate", "s", 300 - 100 / 6.894757293168361 * 2),
        ("A.area / A.a", "um", 2000.0),
        ("A.area / A.a - A.b", "cm", -0.2),
        ("A.area + 1 in * 1 mm", "mm^2", 45.4),
        ("0.0005 * A.inch", "in", 0.001),
        ("2 * (A.a + A.b) - 3 mm", "mm", 25.0),
        ("360 deg - 0.5 turn", "deg", 180.0),
        ("3 * A.n", "count", 12.0),
        ("50 % * A.a", "mm", 5.0),
    ],
)
def test_arithmetic_in_units(formula: str, unit: str, value: float) -> None:
    lookup = known(
        a=(10.0, 0.0, "mm"), b=(4.0, 0.0, "mm"), inch=(2.0, 0.0, "in"), p=(100.0, 0.0, "kPa"),
        t=(5.0, 0.0, "min"), rate=(30.0, 0.0, "psi/min"), area=(20.0, 0.0, "mm^2"),
        n=(4.0, 0.0, "count"),
    )  # fmt: skip
    worked = evaluate(formula, lookup, unit)
    assert worked.quantity.value == pytest.approx(value, rel=1e-10)
    assert (worked.quantity.unit, worked.quantity.u) == (unit, 0.0)


def test_decimal_readings_give_decimal_results() -> None:
    # In binary 0.02 - (0.244 - 0.12 - 0.121) is 0.01699999999999999, and 0.3 - 0.1 is not 0.2.
    lookup = known(
        play=(0.020, 0, "in"), t1=(0.120, 0, "in"), t2=(0.121, 0, "in"), a=(0.3, 0, "in")
    )
    worked = evaluate("A.play - (0.244 in - A.t1 - A.t2)", lookup, "in")
    assert worked.quantity.value == 0.017
    assert evaluate("A.a - 0.1 in", lookup, "in").quantity.value == 0.2
    assert evaluate("A.a / 3", lookup, "in").quantity.value == 0.1
    assert evaluate("(1000.1 in + -1000 in) + A.a", lookup, "in").quantity.value == 0.4
    assert evaluate("(1000.1 in - 1000 in) - 0.05 in", lookup, "in").quantity.value == 0.05
    for formula in ("(1000.1 in - 1000 in) * 1000", "10 in * (1000.1 in - 1000 in) / 0.01 in"):
        assert evaluate(formula, lookup, "in").quantity.value == 100.0
    assert evaluate("(1000.1 in - 1000 in) / 0.1", lookup, "in").quantity.value == 1.0
    assert evaluate("1 in * 1 in / (1000.1 in - 1000 in)", lookup, "in").quantity.value == 10.0
    root = evaluate("sqrt((1000.1 in - 1000 in) * 0.1 in)", lookup, "in")
    assert root.quantity.value == 0.1
    larger = evaluate("max(1000.1 in - 1000 in, 0.05 in) - 0.05 in", lookup, "in")
    assert larger.quantity.value == 0.05
    tiny = evaluate("A.a * A.a / 1e9 / 1 in", lookup, "in").quantity.value
    assert tiny == pytest.approx(9e-11, rel=1e-10)
    nothing = evaluate("sqrt(A.a * A.a) - A.a", lookup, "in").quantity.value
    assert nothing == 0.0


def test_of_two_alike_the_first_is_told_whatever_binary_says() -> None:
    lookup = known(a=(0.1, 0, "mm"), b=(1000.1, 0, "mm"))
    assert evaluate("max(A.a, A.b - 1000 mm)", lookup, "mm").decisive == ("entry a",)
    assert evaluate("max(A.b - 1000 mm, A.a)", lookup, "mm").decisive == ("entry b",)


# --- errors in common, against an independent library

NAMES = "abcd"
VALUES = dict(zip(NAMES, (3.1, 4.7, 7.3, 9.2), strict=True))
# How much of each of three basic errors is in each value: what they share.
SHARES = {
    "a": (2e-3, 1e-3, 0),
    "b": (1e-3, 0, 3e-3),
    "c": (0, -2e-3, 1e-3),
    "d": (1e-3, 1e-3, 1e-3),
}


def shared(ref: Ref) -> Grid:
    name = ref.key[-1]
    sources = tuple(Source(f"basic {n}", "w", u, "normal") for n, u in enumerate(SHARES[name]) if u)
    return single(name, Budget(VALUES[name], "1", sources))


OPERATORS: dict[str, Callable[[Any, Any], Any]] = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "/": operator.truediv,
}
TREES = st.recursive(
    st.sampled_from(NAMES) | st.integers(1, 9),
    lambda inner: st.tuples(st.sampled_from("+-*/"), inner, inner),
    max_leaves=8,
)


def text_of(tree: Any) -> str:
    match tree:
        case str():
            return f"A.{tree}"
        case int():
            return str(tree)
    sign, left, right = tree
    return f"({text_of(left)} {sign} {text_of(right)})"


def library_value(tree: Any, values: dict[str, Any]) -> Any:
    match tree:
        case str():
            return values[tree]
        case int():
            return tree
    sign, left, right = tree
    return OPERATORS[sign](library_value(left, values), library_value(right, values))


@settings(max_examples=150, deadline=None)
@given(TREES)
def test_first_order_is_what_an_independent_library_gives(tree: Any) -> None:
    basic = [ufloat(0, 1) for _ in range(3)]
    values = {
        name: VALUES[name] + sum(u * each for u, each in zip(SHARES[name], basic, strict=True))
        for name in NAMES
    }
    try:
        expected = 0 * basic[0] + library_value(tree, values)
    except ZeroDivisionError:
        with pytest.raises(CannotDerive):
            evaluate(text_of(tree), shared, "1")
        return
    try:
        worked = evaluate(text_of(tree), shared, "1")
    except CannotDerive as refused:
        said = str(refused)
    else:
        assume(worked.budget is not None)
        assert worked.quantity.value == pytest.approx(expected.nominal_value, rel=1e-9, abs=1e-9)
        assert worked.quantity.u == pytest.approx(expected.std_dev, rel=1e-6, abs=1e-9)
        return
    assert "may as well be 0" in said  # the library divides by it


@pytest.mark.parametrize(
    "formula",
    ["A.a * A.b / (A.c + A.d)", "sqrt(A.a * A.b) - A.c", "(A.a - A.b) * (A.c - A.d) / A.a"],
)
def test_first_order_is_what_sampling_gives(formula: str) -> None:
    rng = np.random.default_rng(3)
    basic = rng.standard_normal((3, 300_000))
    a, b, c, d = (VALUES[name] + np.array(SHARES[name]) @ basic for name in NAMES)
    truth = {
        "A.a * A.b / (A.c + A.d)": a * b / (c + d),
        "sqrt(A.a * A.b) - A.c": np.sqrt(a * b) - c,
        "(A.a - A.b) * (A.c - A.d) / A.a": (a - b) * (c - d) / a,
    }[formula]
    worked = evaluate(formula, shared, "1")
    assert worked.budget is not None
    assert worked.quantity.value == pytest.approx(truth.mean(), abs=1e-4)
    assert worked.quantity.u == pytest.approx(truth.std(), rel=0.01)


def test_the_same_reading_twice_is_one_error() -> None:
    lookup = known(a=(5.0, 0.1, "mm"), b=(3.0, 0.1, "mm"))
    assert evaluate("A.a - A.a", lookup, "mm").quantity == Quantity(0.0, "mm")
    assert evaluate("A.a + A.a", lookup, "mm").quantity.u == pytest.approx(0.2)
    assert evaluate("A.a / A.a", lookup, "1").quantity == Quantity(1.0, "1")
    # (a + b)(a - b) = a^2 - b^2
    whole = evaluate("(A.a + A.b) * (A.a - A.b)", lookup, "mm^2").quantity
    parts = evaluate("A.a * A.a - A.b * A.b", lookup, "mm^2").quantity
    assert whole.u == pytest.approx(parts.u)
    assert whole.u == pytest.approx(sqrt(1.0**2 + 0.6**2))


# --- where first order does not do


def assert_sampled_as(worked: Any, truth: Any, *, tolerance: float) -> None:
    assert worked.budget is None
    assert worked.quantity.u == pytest.approx(truth.std(), rel=0.02)
    for probability in (0.025, 0.25, 0.5, 0.75, 0.975):
        expected = np.quantile(truth, probability)
        assert worked.quantity.quantile(probability) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(
    "formula",
    [
        "max(A.a, A.b)",
        "min(A.a, A.b)",
        "abs(A.a - A.b)",
        "A.e * A.e",
        "A.a / A.f",
        "sqrt(A.g)",
        "sqrt(A.s)",
    ],
)
def test_kinks_and_bends_are_sampled(formula: str) -> None:
    lookup = known(
        a=(5.0, 0.1, "1"), b=(5.05, 0.1, "1"), e=(0.1, 0.1, "1"), f=(2.0, 0.3, "1"),
        g=(4.0, 0.9, "1"), s=(0.5, 0.15, "1"),
    )  # fmt: skip
    rng = np.random.default_rng(9)
    a, b, e, f, g, s = (
        rng.normal(value, u, 400_000)
        for value, u in ((5, 0.1), (5.05, 0.1), (0.1, 0.1), (2, 0.3), (4, 0.9), (0.5, 0.15))
    )
    truth = {
        "max(A.a, A.b)": np.maximum(a, b),
        "min(A.a, A.b)": np.minimum(a, b),
        "abs(A.a - A.b)": np.abs(a - b),
        "A.e * A.e": e * e,
        "A.a / A.f": a / f,
        "sqrt(A.g)": np.sqrt(np.maximum(g, 0)),
        "sqrt(A.s)": np.sqrt(np.maximum(s, 0)),
    }[formula]
    worked = evaluate(formula, lookup, "1")
    assert_sampled_as(worked, truth, tolerance=0.02 * float(truth.std()))


@pytest.mark.parametrize(
    ("formula", "first_order"),
    [
        # a tie is near within three standard uncertainties of the difference
        ("max(A.a, 5.31)", True),
        ("max(A.a, 5.29)", False),
        ("min(A.a, 4.69)", True),
        ("min(A.a, 4.71)", False),
        ("abs(A.a - 4.69)", True),
        ("abs(A.a - 5.29)", False),
        ("max(A.a, A.a + 0.01)", True),  # never the other way round, whatever the error
        ("max(A.a, 5.29, 1)", False),  # one tie is enough
        ("min(A.a, 4.71, 9)", False),
        ("max(A.e * A.e, 1 / A.k, 100)", False),  # as is one rough one, even far off
        # second order over first: 0.1 in a product, u/x = 0.05 in a divisor, 0.1 in a root
        ("A.e * A.e", True),
        ("A.f * A.f", False),
        ("1 / A.h", True),
        ("1 / A.k", False),
        ("sqrt(A.m)", True),
        ("sqrt(A.n)", False),
        ("3 * A.f / 7 - A.a", True),
        ("max(A.a, 5.29) * 2 + 1", False),
        ("-max(A.a, 5.29)", False),
        ("A.a - abs(max(A.a, 5.29))", False),
    ],
)
def test_first_order_is_left_where_it_fails(formula: str, *, first_order: bool) -> None:
    lookup = known(
        a=(5.0, 0.1, "1"), e=(5.1, 1.0, "1"), f=(4.9, 1.0, "1"), h=(2.1, 0.1, "1"),
        k=(1.9, 0.1, "1"), m=(1.1, 0.1, "1"), n=(0.9, 0.1, "1"),
    )  # fmt: skip
    assert (evaluate(formula, lookup, "1").budget is not None) == first_order


def skewed(value: float) -> Quantity:
    rng = np.random.default_rng(4)
    return Quantity.from_samples(rng.gamma(2.0, 0.1, 200_000) + value, "mm")


def test_a_sampled_value_keeps_its_shape_through_a_difference_and_a_product() -> None:
    lookup_values = {
        "A.photo": single("p", coverage_budget(skewed(2.0), "p")),
        "A.pin": single("q", Budget(1.5, "mm", (own("pin", 0.05, "rectangular"),))),
    }
    rng = np.random.default_rng(5)
    photo = rng.gamma(2.0, 0.1, 400_000) + 2.0
    pin = 1.5 + rng.uniform(-1, 1, 400_000) * 0.05 * sqrt(3)
    gap = evaluate("A.photo - A.pin", lambda ref: lookup_values[ref.key], "mm")
    assert gap.budget is not None  # a sum needs no trials: its shape is worked out
    area = evaluate("A.photo * A.pin", lambda ref: lookup_values[ref.key], "mm^2")
    assert area.budget is None
    ratio = evaluate("A.photo / A.pin", lambda ref: lookup_values[ref.key], "1")
    assert ratio.budget is None
    mixed = Budget(3.0, "mm", (own("x", 0.01), *coverage_budget(skewed(3.0), "r").sources))
    lookup_values["A.mixed"] = single("r", mixed)
    assert evaluate("A.mixed * A.pin", lambda ref: lookup_values[ref.key], "mm^2").budget is None
    scaled = evaluate("A.photo * 2 / 4", lambda ref: lookup_values[ref.key], "mm")
    assert scaled.budget is not None
    for probability in (0.025, 0.5, 0.975):
        for found, truth in (
            (gap, photo - pin),
            (area, photo * pin),
            (ratio, photo / pin),
            (scaled, photo / 2),
        ):
            expected = np.quantile(truth, probability)
            assert found.quantity.quantile(probability) == pytest.approx(expected, abs=0.01)


def test_a_tie_with_a_sampled_value_is_near_from_further_off() -> None:
    value = skewed(2.0)
    there = {"A.photo": single("p", coverage_budget(value, "p"))}
    for units, first_order in ((3.5, False), (5.9, False), (6.1, True)):
        other = value.value - units * value.u
        worked = evaluate(f"max(A.photo, {other:.9f} mm)", lambda ref: there[ref.key], "mm")
        assert (worked.budget is not None) == first_order


def test_the_shapes_of_trials_are_those_of_their_sources() -> None:
    shapes = {"rectangular": 1.8, "triangular": 2.4, "normal": 3.0}  # kurtosis, any textbook
    for shape, kurtosis in shapes.items():
        there = single("a", Budget(0.0, "1", (own("a", 2.0, shape),)))
        # min(x, 0) + max(x, 0) is x, but a kink all the same
        worked = evaluate("min(A.a, 0) + max(A.a, 0)", lambda _, there=there: there, "1")
        assert worked.budget is None
        quantiles = np.array(worked.quantity.quantiles[1:-1])
        assert worked.quantity.u == pytest.approx(2.0, rel=0.01)
        assert quantiles.mean() == pytest.approx(0.0, abs=0.02)
        found = (quantiles**4).mean() / (quantiles**2).mean() ** 2
        assert found == pytest.approx(kurtosis, rel=0.12)


def test_a_family_is_drawn_with_one_spread() -> None:
    def of(family: str) -> Quantity:
        errors = {n: Source(f"{family} {n}", "w", 1.0, "t", dof=4.0, family=family) for n in "ab"}
        pair = {f"A.{n}": single(n, Budget(0.0, "1", (error,))) for n, error in errors.items()}
        formula = "min(A.a + A.b, 0) + max(A.a + A.b, 0)"
        return evaluate(formula, lambda ref: pair[ref.key], "1").quantity

    # GUM Table G.2, t at 99 % for 4 degrees of freedom: 4.60 (from memory; any table)
    low, high = of("one family").interval(0.99)
    assert (high - low) / 2 / sqrt(2) == pytest.approx(4.60, rel=0.03)
    low, high = of("").interval(0.99)  # two t by themselves have shorter tails
    assert (high - low) / 2 / sqrt(2) < 4.35


def test_heavy_tails_have_the_u_of_their_middle() -> None:
    # One degree of freedom: no standard deviation. 68.27 % lie within 1.84 (GUM Table G.2).
    for dof, middle in ((1.0, 1.84), (2.0, 1.32)):
        there = single("a", Budget(0.0, "1", (Source("x", "w", 1.0, "t", dof=dof),)))
        worked = evaluate("min(A.a, 0) + max(A.a, 0)", lambda _, there=there: there, "1")
        assert worked.quantity.u == pytest.approx(middle, rel=0.02)
    there = single("a", Budget(0.0, "1", (Source("x", "w", 1.0, "t"),)))
    worked = evaluate("min(A.a, 0) + max(A.a, 0)", lambda _: there, "1")
    assert worked.quantity.u == pytest.approx(1.0, rel=0.01)  # a t that never ends is a normal
    mixed = (Source("x", "w", 1.0, "t", dof=1.0), own("y", 1e-3))
    there = single("a", Budget(0.0, "1", mixed))
    worked = evaluate("min(A.a, 0) + max(A.a, 0)", lambda _: there, "1")
    assert worked.quantity.u == pytest.approx(1.84, rel=0.02)
    there = single("a", Budget(0.0, "1", (Source("x", "w", 1.0, "t", dof=3.0),)))
    worked = evaluate("min(A.a, 0) + max(A.a, 0)", lambda _: there, "1")
    assert worked.quantity.u == pytest.approx(sqrt(3), rel=0.1)  # sqrt(dof / (dof - 2))


def test_trials_are_the_same_every_time_whatever_stands_beside() -> None:
    lookup = known(a=(5.0, 0.1, "mm"), b=(5.05, 0.1, "mm"), c=(1.0, 0.0, "mm"))
    once = evaluate("max(A.a, A.b)", lookup, "mm").quantity
    assert evaluate("max(A.b, A.a)", lookup, "mm").quantity == once
    more = evaluate("max(A.a, A.b) + A.c", lookup, "mm").quantity
    assert np.array(more.quantiles) - 1 == pytest.approx(np.array(once.quantiles), abs=1e-9)
    assert TRIALS == 100_000


def test_kept_trials_are_those_of_the_whole_even_where_one_side_is_exact() -> None:
    worked = evaluate("max(A.a, 5) - 5", known(a=(5.0, 0.1, "1")), "1")
    assert worked.quantity.value == 0.0
    assert worked.quantity.quantile(0.25) == 0.0
    assert worked.quantity.quantile(0.975) == pytest.approx(0.196, abs=0.003)


# --- grids in formulas

BORES = Grid(
    {
        Spot(p, a): (f"{p}{a}", Budget(value, "mm", (own(f"{p}{a}", 0.001),)))
        for (p, a), value in {
            ("top", "X"): 80.10,
            ("top", "Y"): 80.15,
            ("low", "X"): 80.00,
            ("low", "Y"): 80.03,
        }.items()
    },
    take="largest",
)


@pytest.mark.parametrize(
    ("formula", "value", "cites", "decisive"),
    [
        ("A.bore", 80.15, "topX topY lowX lowY", "topY"),
        ("A.bore[low]", 80.03, "lowX lowY", "lowY"),
        ("A.bore[low, X]", 80.00, "lowX", "lowX"),
        ("A.bore - 80 mm", 0.15, "topX topY lowX lowY", "topY"),
        ("mean(A.bore)", 80.07, "topX topY lowX lowY", ""),
        ("mean(A.bore[top])", 80.125, "topX topY", ""),
        ("max(A.bore)", 80.15, "topX topY lowX lowY", "topY"),
        ("min(A.bore)", 80.00, "topX topY lowX lowY", "lowX"),
        ("range(A.bore)", 0.15, "topX topY lowX lowY", "topY lowX"),
        ("out_of_round(A.bore)", 0.05, "topX topY lowX lowY", "topY topX"),
        ("taper(A.bore)", 0.12, "topX topY lowX lowY", "topY lowY"),
        ("taper(A.bore[X])", 0.10, "topX lowX", "topX lowX"),
        ("max(A.bore[top]) - min(A.bore[low])", 0.15, "topX topY lowX lowY", "topY lowX"),
        ("max(A.bore, 81 mm)", 81.0, "topX topY lowX lowY", ""),
        ("mean(A.bore[top] - 0.15 mm, 82 mm)", 81.0, "topX topY", "topY"),
        ("abs(A.bore - 81 mm)", 0.85, "topX topY lowX lowY", "topY"),
    ],
)
def test_grids_stand_for_their_number_or_their_readings(
    formula: str, value: float, cites: str, decisive: str
) -> None:
    worked = evaluate(formula, lambda _: BORES, "mm")
    assert worked.quantity.value == value
    assert worked.cites == tuple(cites.split())
    assert worked.decisive == tuple(decisive.split())


def test_a_selection_that_is_not_there_is_told_with_its_check() -> None:
    with pytest.raises(CannotDerive, match=r"A\.bore: nothing was read at bottom"):
        evaluate("A.bore[bottom]", lambda _: BORES, "mm")


# --- refusals


def test_what_is_not_measured_is_told() -> None:
    with pytest.raises(CannotDerive, match=r"A\.z is not measured yet"):
        evaluate("A.z - 1 mm", known(), "mm")


@pytest.mark.parametrize(
    ("formula", "why"),
    [
        ("1 / (A.a - 5)", "what is divided by is 0 and may as well be 0: check what was read"),
        ("1 / (A.a - 5.2)", "what is divided by is -0.2 and may as well be 0"),
        ("1 / A.zero", "what is divided by is 0: check"),
        ("sqrt(A.a - 6)", "-1 has no square root"),
        ("sqrt(A.a - 5)", "the root of 0 \\+- something is not known"),
        ("1e300 * 1e300", "too large to be a number"),
        ("range(A.a)", "a range needs two readings"),
    ],
)
def test_what_has_no_result_is_told_in_plain_words(formula: str, why: str) -> None:
    lookup = known(a=(5.0, 0.1, "1"), zero=(0.0, 0.0, "1"))
    with pytest.raises(CannotDerive, match=why):
        evaluate(formula, lookup, "1")


def test_the_root_of_exactly_nothing_is_nothing() -> None:
    assert evaluate("sqrt(A.z)", known(z=(0.0, 0.0, "1")), "1").quantity == Quantity(0.0, "1")


def test_a_formula_that_mixes_kinds_is_refused_here_too() -> None:
    lookup = known(a=(5.0, 0.1, "mm"), f=(5.0, 0.1, "N.m"))
    with pytest.raises(BadPlan, match="length and torque"):
        evaluate("A.a + A.f", lookup, "mm")
    with pytest.raises(BadPlan, match="comes to length"):
        evaluate("A.a", lookup, "N.m")
    with pytest.raises(BadPlan, match="column 7"):
        evaluate("A.a + ", lookup, "mm")
