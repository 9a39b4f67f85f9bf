"""Many readings of one thing -> one number."""

from itertools import product
from math import sqrt

import numpy as np
import pytest

from annotate.quantity import Quantity
from store.budgets.budget import Budget, Source
from store.budgets.grid import Grid, single, taken
from store.budgets.worth import reading_budget
from store.characteristic import Spot
from store.errors import CannotDerive
from store.evidence import Read, Zero
from store.plan import Gauge

MIC = Gauge(
    id="mic-a",
    kind="mic",
    resolution=Quantity(0.001, "mm"),
    permissible_error=Quantity(0.004, "mm"),
)
TRIED = Gauge(
    id="mic-a",
    kind="mic",
    resolution=Quantity(0.001, "mm"),
    permissible_error=Quantity(0.004, "mm"),
    repeatability=Quantity(0.002, "mm"),
    repeats=11,
)
ROUNDING, ERROR = 0.001 / sqrt(12), 0.004 / sqrt(3)


def reading(value: float, entry: str, gauge: Gauge | None = MIC, **more: object) -> Budget:
    half_step = more.pop("half_step", 0.0)
    read = Read(
        key="M1.bore",
        text=str(value),
        quantity=Quantity(value, "mm"),
        exact=f"{value:.6f}",
        half_step=half_step,  # type: ignore[arg-type]
        **more,  # type: ignore[arg-type]
    )
    return reading_budget(read, entry=entry, gauge=gauge)


def grid(rows: dict[str, list[float]], axes: str = "XY", gauge: Gauge = MIC) -> Grid:
    """Return a grid of one reading a spot: position -> values along the axes."""
    return Grid(
        {
            Spot(position, axis): (f"{position}{axis}", reading(value, f"{position}{axis}", gauge))
            for position, values in rows.items()
            for axis, value in zip(axes, values, strict=True)
        }
    )


def repeats(values: list[float], gauge: Gauge | None = MIC, **more: object) -> Grid:
    return Grid(
        {
            Spot(repeat=number): (f"e{number}", reading(value, f"e{number}", gauge, **more))
            for number, value in enumerate(values, start=1)
        }
    )


# Far apart, so that nothing is near a tie.
JOURNAL = grid({"front": [60.10, 60.30], "middle": [60.20, 60.90], "rear": [60.15, 60.50]})


def test_the_mean_of_a_grid_averages_what_is_each_readings_own() -> None:
    worked = taken(JOURNAL, "mm", "mean")
    assert worked.quantity.value == pytest.approx(60.3583333333)
    assert worked.quantity.u == pytest.approx(sqrt(ROUNDING**2 / 6 + ERROR**2))
    assert worked.decisive == ()
    assert worked.cites == ("frontX", "frontY", "middleX", "middleY", "rearX", "rearY")


@pytest.mark.parametrize(
    ("take", "value", "own", "decisive"),
    [
        ("largest", 60.90, None, ("middleY",)),
        ("smallest", 60.10, None, ("frontX",)),
        ("range", 0.80, 2, ("middleY", "frontX")),
        ("out-of-round", 0.70, 2, ("middleY", "middleX")),
        ("taper", 0.60, 2, ("middleY", "frontY")),
    ],
)
def test_each_number_and_the_readings_that_made_it(
    take: str, value: float, own: int | None, decisive: tuple[str, ...]
) -> None:
    worked = taken(JOURNAL, "mm", take)  # type: ignore[arg-type]
    assert worked.quantity.value == value  # without binary dust
    assert worked.decisive == decisive
    assert worked.budget is not None
    # A difference of two loses the mic's own error, a single one keeps it.
    expected = sqrt(2) * ROUNDING if own else sqrt(ROUNDING**2 + ERROR**2)
    assert worked.quantity.u == pytest.approx(expected)


def test_a_grid_takes_its_own_number_unless_told_another() -> None:
    largest = Grid(JOURNAL.spots, "largest")
    assert taken(largest, "mm").quantity.value == 60.90
    assert taken(largest, "mm", "smallest").quantity.value == 60.10
    assert taken(JOURNAL, "in", "largest").quantity.value == pytest.approx(60.90 / 25.4)


def test_one_reading_is_a_grid_of_itself() -> None:
    worked = taken(single("e1", reading(5.0, "e1")), "mm")
    assert (worked.quantity.value, worked.cites) == (5.0, ("e1",))
    assert worked.budget is not None
    assert {s.label for s in worked.budget.sources} == {"rounding of e1", "gauge mic-a"}


# --- near a tie


def test_a_range_near_a_tie_is_sampled_and_keeps_its_plain_value() -> None:
    round_one = grid({"front": [60.100, 60.101], "rear": [60.100, 60.100]})
    worked = taken(round_one, "mm", "range")
    assert worked.quantity.value == 0.001
    assert worked.budget is None
    rng = np.random.default_rng(1)
    rows = np.array([[60.100], [60.101], [60.100], [60.100]])
    truth = np.ptp(rows + rng.uniform(-0.0005, 0.0005, (4, 300_000)), axis=0)
    assert worked.quantity.u == pytest.approx(truth.std(), rel=0.02)
    for probability in (0.05, 0.5, 0.95):
        expected = np.quantile(truth, probability)
        assert worked.quantity.quantile(probability) == pytest.approx(expected, abs=1e-5)


def test_out_of_round_and_taper_near_ties_are_what_sampling_gives() -> None:
    rows = {"front": [60.102, 60.100], "middle": [60.101, 60.099], "rear": [60.100, 60.100]}
    rng = np.random.default_rng(2)
    read = np.array(list(rows.values()))[:, :, None]
    drawn = read + rng.uniform(-0.0005, 0.0005, (3, 2, 300_000))
    truths = {
        "out-of-round": np.ptp(drawn, axis=1).max(axis=0),
        "taper": np.ptp(drawn, axis=0).max(axis=0),
        "smallest": drawn.min(axis=(0, 1)),
    }
    for take in ("out-of-round", "taper"):
        worked = taken(grid(rows), "mm", take)  # type: ignore[arg-type]
        assert worked.quantity.value == 0.002
        for probability in (0.025, 0.5, 0.975):
            expected = np.quantile(truths[take], probability)
            assert worked.quantity.quantile(probability) == pytest.approx(expected, abs=1e-5)
    assert taken(grid(rows), "mm", "out-of-round").decisive == ("frontX", "frontY")
    assert taken(grid(rows), "mm", "taper").decisive == ("frontX", "rearX")
    smallest = taken(grid(rows), "mm", "smallest").quantity
    common = rng.uniform(-0.004, 0.004, 300_000)  # the mic's error, the same for all
    assert smallest.u == pytest.approx((truths["smallest"] + common).std(), rel=0.01)


def test_the_same_grid_gives_the_same_quantiles_every_time() -> None:
    near = grid({"front": [60.100, 60.101], "rear": [60.100, 60.100]})
    assert taken(near, "mm", "range") == taken(near, "mm", "range")
    turned = Grid(dict(reversed(list(near.spots.items()))))
    assert taken(turned, "mm", "range").quantity == taken(near, "mm", "range").quantity


# --- repeats


def test_repeats_are_uncertain_by_s_over_root_n() -> None:
    # GUM 4.2.3: s^2(mean) = s^2 / n, with n - 1 degrees of freedom. s of 1, 2, 3, 4, 5 is sqrt 2.5
    worked = taken(repeats([1.0, 2.0, 3.0, 4.0, 5.0], None), "mm")
    assert worked.quantity.value == 3.0
    assert worked.quantity.u == pytest.approx(sqrt(2.5 / 5))
    assert worked.quantity.dof == pytest.approx(4.0)
    # s = 1 is a spread like any other, and none at all is no source
    three = taken(repeats([1.0, 2.0, 3.0], None), "mm")
    assert three.quantity.u == pytest.approx(1 / sqrt(3))
    assert taken(repeats([2.0, 2.0], None), "mm").budget == Budget(2.0, "mm")


def test_rounding_and_doubts_are_not_averaged_by_repeating_at_one_spot() -> None:
    worked = taken(repeats([5.0, 5.0, 5.0], None, half_step=0.01), "mm")
    assert worked.quantity.u == pytest.approx(0.01 / sqrt(3))
    worked = taken(repeats([5.0, 5.0, 5.0], None, plus_minus=0.05), "mm")
    assert worked.quantity.u == pytest.approx(0.05 / sqrt(3))
    apart = taken(repeats([5.0, 5.2], MIC), "mm").budget
    assert apart is not None
    assert {s.label: s.words for s in apart.sources} == {
        "rounding of e1": "resolution of mic-a",
        "gauge mic-a": "error of mic-a",
        "mean of repeats of e1 e2": "spread of the repeats",
    }
    assert {s.family for s in apart.sources} == {"", "repeats of e1"}


def test_repeats_stand_in_for_the_gauges_repeatability_and_are_pooled_with_it() -> None:
    # GUM 4.2.4: pooled variance, weighted by degrees of freedom
    worked = taken(repeats([5.000, 5.004], TRIED), "mm")
    pooled = sqrt((0.000008 + 10 * 0.002**2) / 11)
    assert worked.budget is not None
    spread = [s for s in worked.budget.sources if s.shape == "t"]
    assert [(s.u, s.dof) for s in spread] == [(pytest.approx(pooled / sqrt(2)), 11.0)]
    assert worked.quantity.u == pytest.approx(sqrt(pooled**2 / 2 + ROUNDING**2 + ERROR**2))


def test_repeats_that_spread_far_more_than_the_gauge_speak_for_themselves() -> None:
    worked = taken(repeats([5.00, 5.02], TRIED), "mm")
    assert worked.budget is not None
    spread = next(s for s in worked.budget.sources if s.shape == "t")
    assert (spread.u, spread.dof) == (pytest.approx(0.01), 1.0)
    # three times as much is still the gauge's: s = 0.006
    edge = taken(repeats([5.0, 5.0 + 0.006 * sqrt(2) - 1e-9], TRIED), "mm")
    assert edge.budget is not None
    assert next(s for s in edge.budget.sources if s.shape == "t").dof == 11.0
    three = taken(repeats([5.0, 5.004, 5.008], TRIED), "mm")
    assert three.budget is not None
    assert next(s for s in three.budget.sources if s.shape == "t").dof == 12.0
    beyond = taken(repeats([5.0, 5.0 + 0.0061 * sqrt(2)], TRIED), "mm")
    assert beyond.budget is not None
    assert next(s for s in beyond.budget.sources if s.shape == "t").dof == 1.0


def test_readings_of_two_gauges_are_not_pooled_with_either() -> None:
    other = Gauge(
        id="mic-b",
        kind="mic",
        resolution=Quantity(0.001, "mm"),
        permissible_error=Quantity(0.0, "mm"),
        repeatability=Quantity(0.002, "mm"),
        repeats=11,
    )
    for second in (other, MIC):
        mixed = Grid(
            {
                Spot(repeat=1): ("e1", reading(5.0, "e1", TRIED)),
                Spot(repeat=2): ("e2", reading(5.002, "e2", second)),
            }
        )
        worked = taken(mixed, "mm")
        assert worked.budget is not None
        spread = next(s for s in worked.budget.sources if s.shape == "t")
        assert (spread.u, spread.dof) == (pytest.approx(0.001), 1.0)


def test_the_spread_is_pooled_over_the_spots() -> None:
    # Two spots of 3: sums of squares 2 and 8 with 2 degrees each: s^2 = 10 / 4
    values = {"A": [1.0, 2.0, 3.0], "B": [10.0, 12.0, 14.0]}
    spots = {
        Spot(position, "", number): (f"{position}{number}", Budget(value, "mm"))
        for position, row in values.items()
        for number, value in enumerate(row, start=1)
    }
    worked = taken(Grid(spots), "mm", "largest")
    assert worked.quantity.value == 12.0
    assert worked.quantity.u == pytest.approx(sqrt(2.5 / 3))
    assert worked.quantity.dof == pytest.approx(4.0)
    assert worked.decisive == ("B1", "B2", "B3")
    # of a mean over both, no better known than from the 4 degrees there are
    mean = taken(Grid(spots), "mm", "mean").quantity
    assert (mean.u, mean.dof) == (pytest.approx(sqrt(2.5 / 6)), pytest.approx(4.0))


def test_a_spot_read_once_has_the_spread_of_those_read_twice() -> None:
    spots = {
        Spot("A", repeat=1): ("a1", Budget(1.0, "mm")),
        Spot("A", repeat=2): ("a2", Budget(3.0, "mm")),
        Spot("B", repeat=1): ("b1", Budget(50.0, "mm")),
    }
    assert taken(Grid(spots), "mm", "largest").quantity.u == pytest.approx(sqrt(2.0))
    assert taken(Grid(spots), "mm", "smallest").quantity.u == pytest.approx(1.0)


def test_repeats_at_the_only_spot_are_readings_of_their_own_for_a_range() -> None:
    # End play pushed three times: the range is of the readings, and each keeps its own spread.
    pushes = repeats([0.110, 0.150, 0.130], TRIED)
    worked = taken(pushes, "mm", "range")
    assert (worked.quantity.value, worked.decisive) == (0.04, ("e2", "e1"))
    assert worked.quantity.u == pytest.approx(sqrt(2 * (ROUNDING**2 + 0.002**2)))
    assert taken(pushes, "mm", "largest").decisive == ("e2",)
    assert taken(pushes, "mm", "mean").quantity.value == 0.13


def test_readings_in_two_units_are_taken_together() -> None:
    spots = {
        Spot(repeat=1): ("e1", Budget(25.4, "mm")),
        Spot(repeat=2): ("e2", Budget(1.002, "in")),
    }
    worked = taken(Grid(spots), "in")
    assert worked.quantity.value == pytest.approx(1.001)
    assert worked.quantity.u == pytest.approx(0.001)


def test_the_zeros_own_repeatability_is_not_seen_by_repeating() -> None:
    journal = reading(58.0, "j1", TRIED)
    spots = {}
    for number, shown in enumerate((0.050, 0.052), start=1):
        read = Read(
            key="M1.bore",
            text=str(shown),
            quantity=Quantity(58.05, "mm"),
            exact=str(shown),
            zero=Zero(Quantity(58.0, "mm"), "j1"),
            direction="bigger",
        )
        entry = f"e{number}"
        spots[Spot(repeat=number)] = (entry, reading_budget(read, entry=entry, zero=journal))
    worked = taken(Grid(spots), "mm")
    assert worked.budget is not None
    kept = {s.label: s.u for s in worked.budget.sources}
    assert kept["repeatability of mic-a of j1"] == pytest.approx(0.002)
    assert kept["mean of repeats of e1 e2"] == pytest.approx(0.001)


# --- what is refused, and what is chosen


def test_a_part_of_the_grid_can_be_chosen() -> None:
    assert JOURNAL.at(["middle"]).entries == ("middleX", "middleY")
    assert JOURNAL.at(["Y"]).entries == ("frontY", "middleY", "rearY")
    assert JOURNAL.at(["Y", "rear"]).entries == ("rearY",)
    assert Grid(JOURNAL.spots, "largest").at(["X"]).take == "largest"
    with pytest.raises(CannotDerive, match="nothing was read at rear, Z"):
        JOURNAL.at(["rear", "Z"])


def test_an_empty_grid_is_refused() -> None:
    with pytest.raises(CannotDerive, match="nothing was read yet"):
        Grid({})


def test_missing_readings_are_named() -> None:
    some = {spot: there for spot, there in JOURNAL.spots.items() if there[0] != "rearY"}
    with pytest.raises(CannotDerive, match="along two axes or more are needed at position rear"):
        taken(Grid(some), "mm", "out-of-round")
    with pytest.raises(CannotDerive, match="along two positions or more are needed at axis Y"):
        taken(Grid(some), "mm", "taper")
    one = single("e1", reading(5.0, "e1"))
    for take, words in (("out-of-round", "two axes"), ("taper", "two positions"), ("range", "two")):
        with pytest.raises(CannotDerive, match=words):
            taken(one, "mm", take)  # type: ignore[arg-type]


def test_numbers_of_many_spots_agree_with_plain_arithmetic() -> None:
    rng = np.random.default_rng(7)
    for _ in range(20):
        read = np.round(rng.uniform(10, 20, (4, 3)), 3)
        spots = {
            Spot(f"p{i}", f"a{j}"): (f"{i}{j}", Budget(read[i, j], "mm", (Source("g", "w", 0.1),)))
            for i, j in product(range(4), range(3))
        }
        wanted = {
            "mean": read.mean(),
            "largest": read.max(),
            "smallest": read.min(),
            "range": np.ptp(read),
            "out-of-round": np.ptp(read, axis=1).max(),
            "taper": np.ptp(read, axis=0).max(),
        }
        for take, value in wanted.items():
            found = taken(Grid(spots), "mm", take)  # type: ignore[arg-type]
            assert found.quantity.value == pytest.approx(value, abs=1e-10)
            single_ones = take in {"mean", "largest", "smallest"}
            assert found.quantity.u == pytest.approx(0.1 if single_ones else 0.0, abs=1e-12)
