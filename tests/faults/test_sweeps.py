"""Some of the points of the sweeps: kills and failing calls all over a job's journey."""

import random

import pytest

from tests.faults import error_sweep, kill_sweep, random_kills
from tests.faults.shop import ACTS, BY_NAME, BeforeEach


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> BeforeEach:
    return BeforeEach(tmp_path_factory.mktemp("before"))


def test_a_program_killed_at_its_system_calls_has_lost_nothing(before: BeforeEach) -> None:
    tally = kill_sweep.sweep(before, ACTS, every=61)
    assert tally.wrong == []
    assert set(tally.by_act) == {act.name for act in ACTS}
    assert len(tally.by_call) >= 5


def test_a_call_that_fails_ends_in_a_sentence_and_costs_nothing(before: BeforeEach) -> None:
    acts = [BY_NAME[name] for name in ("photo", "copy")]
    tally = error_sweep.sweep(before, acts, every=37)
    assert tally.wrong == []
    assert set(tally.by_act) == {"photo", "copy"}
    assert 0 < tally.refused < tally.by_act.total()


def test_a_program_killed_at_any_instant_has_lost_nothing(before: BeforeEach) -> None:
    chance = random.Random(20260302)  # noqa: S311 - instants, no secrets
    tally = random_kills.kill_often(before, 3, chance)
    assert tally.wrong == []
    assert tally.acts.total() == 3


def test_a_look_at_the_aftermath_sees_what_is_lost(before: BeforeEach) -> None:
    act = BY_NAME["photo"]
    shop = before.set_up("reading")  # the photo was filed before it
    assert act.is_done(shop)
    [photo] = (shop / "book" / "photos").glob("??/*.jpg")
    whole = photo.read_bytes()
    photo.chmod(0o600)
    photo.write_bytes(whole[:-1])
    assert not act.is_done(shop)
    photo.write_bytes(whole)
    assert act.is_done(shop)
    photo.unlink()
    assert not act.is_done(shop)
