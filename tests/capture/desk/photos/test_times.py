"""Camera time and arrival time, side by side, and a camera clock that can't be right."""

import pytest

from capture.desk.photos.times import clock_doubt, times_in_words

BEGUN = "2026-03-01T08:30:00+01:00"
ARRIVED = "2026-03-02T14:02:41+01:00"


@pytest.mark.parametrize(("shot", "words"), [
    ("2026-03-02T14:02:17", "shot 14:02:17, arrived 14:02:41"),
    ("2026-03-02T13:02:17+00:00", "shot 14:02:17, arrived 14:02:41"),  # the same moment in UTC
    ("2026-02-27T18:40:00", "shot 27 Feb 2026 18:40, arrived 02 Mar 2026 14:02"),
    ("", "no camera time, arrived 14:02:41"),
    ("yesterday", "no camera time, arrived 14:02:41"),
])  # fmt: skip
def test_both_times_are_said(shot, words) -> None:
    assert times_in_words(shot, ARRIVED) == words


@pytest.mark.parametrize(("shot", "begins"), [
    ("2026-03-02T14:02:17", ""),
    ("2026-03-02T14:04:30", ""),  # two clocks may differ by two minutes
    ("2026-03-02T14:12:41", "the camera's clock is 10 min ahead"),
    ("2026-03-02T17:14:41", "the camera's clock is 3 h 12 min ahead"),
    ("2027-03-02T14:02:17", "the camera's clock is 364 days ahead"),
    ("2026-02-28T08:31:00", ""),  # the evening before, when the engine was brought
    ("2026-02-28T08:29:00", "by its camera it was shot 24 h 1 min before the job began"),
    ("2026-02-28T07:29:00+00:00", "by its camera it was shot 24 h 1 min before the job began"),
    ("2025-03-01T08:30:00", "by its camera it was shot 365 days before the job began"),
    ("", ""),
])  # fmt: skip
def test_a_clock_far_off_is_said(shot, begins) -> None:
    said = clock_doubt(shot, ARRIVED, BEGUN)
    assert said.startswith(begins)
    assert bool(said) == bool(begins)
