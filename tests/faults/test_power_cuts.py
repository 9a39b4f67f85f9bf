"""A hundred power cuts in a job's journey: nothing that was acknowledged is lost."""

import random
from pathlib import Path

from tests.faults.power_cuts import cut_often
from tests.faults.shop import ACTS


def test_a_power_cut_at_any_write_has_lost_nothing_acknowledged(tmp_path: Path) -> None:
    chance = random.Random(20260302)  # noqa: S311 - places, no secrets
    tally = cut_often(tmp_path, 100, chance)
    assert tally.wrong == []
    assert tally.acts.total() == 100
    assert len(tally.acts) > len(ACTS) / 2
    assert tally.promised > 1000
