"""Times of day beside a closed cover."""

import pytest

from capture.desk.walk.when import clock


@pytest.mark.parametrize(
    ("at", "today", "said"),
    [
        ("2026-03-02T09:31:07+01:00", "2026-03-02T18:00:00+01:00", "09:31"),
        ("2026-03-02T09:31:07+01:00", "2026-03-05T18:00:00+01:00", "2 Mar, 09:31"),
        ("2025-12-30T09:31:07+01:00", "2026-03-05T18:00:00+01:00", "30 Dec 2025, 09:31"),
        ("some day", "2026-03-05T18:00:00+01:00", "some day"),
    ],
)
def test_a_time_has_its_date_only_if_that_was_another_day(at, today, said) -> None:
    assert clock(at, today) == said
