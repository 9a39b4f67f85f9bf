"""The bench's own judgements, by answers made up so that each target must be met or missed."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from tests.bench.scenes import Scene
from tests.bench.score import Answer
from tests.bench.strata import make_up
from tests.bench.tables import cause, print_group
from tests.bench.targets import BARE, CLICK, by_stratum, can_be_missed, shown, targets


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


def test_a_stratum_that_no_answers_could_miss_is_not_met() -> None:
    # 0 of 1 has p .05 of a 95 % hit rate, 0 of 2 has p .0025.
    assert [can_be_missed(n) for n in (1, 2, 3)] == [False, True, True]
    claim = f"{CLICK}: light: ring: p of a 95 % hit rate >= 0.01"
    for off in (0.0, 0.04):
        assert met(CLICK, answers(1, off), scenes(1))[claim] is None
        assert met(CLICK, answers(2, off), scenes(2))[claim] is (off == 0.0)


def test_what_too_few_tell_is_said_and_counted_neither_way(
    capsys: pytest.CaptureFixture[str],
) -> None:
    print_group("one", scenes(1), {(CLICK, "covered"): answers(1, 0.04)})
    said = capsys.readouterr().out
    (row,) = (line for line in said.splitlines() if line.startswith("    light: ring"))
    assert row.split()[2:] == [
        "1/1",
        "4.00",
        "4.00",
        "4.00",
        "0/1",
        "0.0%",
        "few",
        "4.00",
        *row.split()[-1:],
    ]
    after = said.partition("too few to tell, and counted neither way: ")[2]
    assert after.startswith("4\n")
    assert after.count("0/1 hit, too few to tell") == 4
    assert "0/1 hit, p" not in said


def test_strata_stand_by_their_bounds() -> None:
    of = scenes(6)
    arcs = (20.0, 120.0, 200.0, 50.0, 70.0, 5.0)
    of = {
        name: replace(one, true_arc_deg=arc)
        for (name, one), arc in zip(of.items(), arcs, strict=True)
    }
    lows = [float(name.split()[1]) for name in by_stratum(answers(6, 0.0), of) if "arc" in name]
    assert lows == [0, 12, 60, 90, 180]


def test_what_a_set_does_not_have_is_said_over_its_table() -> None:
    of = [replace(one, megapixels=1.2288) for one in scenes(3).values()]
    of[0] = replace(of[0], true_arc_deg=29.0)
    of.append(replace(of[1], true_arc_deg=241.0, known_target={"kind": "aruco"}, megapixels=12.0))
    said = make_up(of)
    assert "of 4 pictures of two holes the far rim shows less than 30 degrees on 1" in said
    assert "more than 240 on 1; 1 have a printed marker; all are of 1.2 to 12 megapixels" in said
    assert "0 have a printed marker; all are of 1.2 megapixels" in make_up(of[:3])
    assert make_up([replace(of[0], kind="flat_face")]) == ""
