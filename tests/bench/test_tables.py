"""The bench's own judgements, by answers made up so that each target must be met or missed."""

from pathlib import Path

from tests.bench.scenes import Scene
from tests.bench.score import Answer
from tests.bench.tables import cause
from tests.bench.targets import BARE, CLICK, by_stratum, shown, targets


def scenes(count: int, arc_deg: float = 120.0) -> dict[str, Scene]:
    return {
        str(n): Scene(
            str(n), "oil_hole", Path(), true_arc_deg=arc_deg, true_sight_deg=10.0, light="ring"
        )
        for n in range(count)
    }


def answers(count: int, off: float, half_width: float = 0.02) -> list[Answer]:
    value = 0.3 + off
    low, high = value - half_width, value + half_width
    return [Answer(str(n), 0.3, value, low, high, 1.0) for n in range(count)]


def met(way: str, given: list[Answer], of: dict[str, Scene]) -> dict[str, bool | None]:
    return {t.claim: t.met for t in targets({(way, "covered"): given}, of)}


def test_good_answers_meet_every_target() -> None:
    judged = met(CLICK, answers(20, 0.005), scenes(20))
    assert len(judged) >= 8
    assert all(judged[claim] for claim in judged if judged[claim] is not None)


def test_each_fault_misses_its_own_target() -> None:
    off = met(CLICK, answers(20, 0.04, 0.05), scenes(20))
    assert off[f"{CLICK}: median |error| <= 0.01"] is False
    assert off[f"{CLICK}: 90th percentile of |error| <= 0.03"] is False
    assert off[f"{CLICK}: median width, arc over 90 deg <= 0.08"] is False
    assert off[f"{CLICK}: all: p of a 95 % hit rate >= 0.01"] is True
    missed = met(BARE, answers(20, 0.04), scenes(20))
    assert not any(missed.values())
    assert any("light: ring" in claim for claim in missed)


def test_a_refusal_counts_only_where_enough_of_the_rim_shows() -> None:
    refused = [Answer(str(n), 0.3, reason="the far rim cannot be seen") for n in range(10)]
    claim = f"{CLICK}: answered where 12 deg of the far rim show >= 90%"
    assert met(CLICK, refused, scenes(10))[claim] is False
    assert met(CLICK, refused, scenes(10, arc_deg=5.0))[claim] is None
    assert shown(refused, scenes(10, arc_deg=5.0)).asked == 0


def test_strata_and_causes_group_alike_pictures() -> None:
    assert set(by_stratum(answers(3, 0.0), scenes(3))) == {
        "light: ring", "arc: 90 to 180 deg", "line of sight: 5 to 12 deg",
    }  # fmt: skip
    assert cause("only 12.5 px wide; go nearer") == cause("only 8 px wide; use another lens")
    assert cause("CRASH ValueError: 3").endswith("3")
