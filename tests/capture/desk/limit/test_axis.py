"""Round ticks, with a figure at every second one."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capture.desk.limit.axis import Axis, ticks_of


@given(
    first=st.floats(-1e6, 1e6),
    span=st.floats(1e-3, 1e6),
    figures=st.integers(2, 10),
    whole=st.booleans(),
)
def test_ticks_lie_on_the_scale_evenly_and_are_few(first, span, figures, whole) -> None:
    axis = Axis(first, first + span, 72, 925)
    ticks = ticks_of(axis, figures, whole=whole)
    assert all(axis.shows(tick.value) for tick in ticks)
    assert sum(tick.decimals is not None for tick in ticks) <= figures + 1
    gaps = [b.value - a.value for a, b in pairwise(ticks)]
    assert all(gap == pytest.approx(gaps[0], rel=1e-3) for gap in gaps)
    if whole:
        assert all(tick.value == round(tick.value) for tick in ticks if tick.decimals is not None)


def test_zero_to_a_hundred_is_figured_in_tens_with_a_tick_between() -> None:
    ticks = ticks_of(Axis(0, 100, 72, 925), 10)
    assert [tick.value for tick in ticks if tick.decimals is not None] == list(range(0, 101, 10))
    assert len(ticks) == 21


@given(first=st.floats(-1e3, 1e3), span=st.floats(1e-3, 1e3), share=st.floats(-2, 3))
def test_a_value_off_the_scale_is_held_at_its_end(first, span, share) -> None:
    axis = Axis(first, first + span, 72, 925)
    at = axis.at(first + share * span)
    assert 72 <= at <= 925
    if 0 <= share <= 1:
        assert at == pytest.approx(72 + share * 853, abs=1e-3)
