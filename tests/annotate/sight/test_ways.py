"""Which of the two ways to lean samples have, by hand."""

import numpy as np
import pytest

from annotate.sight.ways import tilt_of, ways
from tests.annotate.test_coverage import givens_of
from tests.annotate.test_coverage_states import LEANING, exact, having


def leaning(*tilts: tuple[float, float]) -> np.ndarray:
    """States that lean so many degrees right and down."""
    _, state = exact(LEANING, givens_of(LEANING, far=True))
    x, y = np.sin(np.radians(np.array(tilts))).T
    return having(state, tilt_x=x.tolist(), tilt_y=y.tolist())


def test_two_humps_are_the_two_ways_whichever_way_they_lie() -> None:
    for turn in np.radians(np.arange(0, 360, 30)):
        right, down = 12 * np.cos(turn), 12 * np.sin(turn)
        states = leaning((right, down), (right + 1, down), (-right, -down))
        found = ways(states, np.array([0.4, 0.3, 0.3]))
        assert found.likelier.tolist() == [True, True, False]
        assert found.odds == pytest.approx(0.7)
        assert found.both
        assert not found.square
        assert found.is_likelier(leaning((right, down), (-right, -down))).tolist() == [True, False]
        assert tilt_of(states)[0] @ found.along > 0


def test_a_way_counts_where_it_can_hold_an_end_of_the_interval() -> None:
    states = leaning((8, 0), (-8, 0))
    assert ways(states, np.array([0.97, 0.03])).both
    assert not ways(states, np.array([0.98, 0.02])).both
    assert not ways(leaning((8, 0), (9, 1)), np.array([0.5, 0.5])).both


def test_seen_squarely_both_ways_are_one() -> None:
    found = ways(leaning((2.9, 0), (-2.9, 0)), np.array([0.5, 0.5]))
    assert found.square
    assert not found.both
