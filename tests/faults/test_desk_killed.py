"""The desk is killed at its acts; what the window had acknowledged is there when it opens again.

Some kills here; ``python -m tests.faults.desk_killed --times 100`` for more.
"""

import random
from pathlib import Path

from capture.desk.start.offered import Chosen, job_of, plan_of
from capture.journey import Journey
from tests.faults.desk_killed import kill_often, lost
from tests.journey.desk_acts import JOB, plan_file

KILLS = 9


def test_a_desk_that_is_killed_has_lost_nothing_it_acknowledged(tmp_path: Path) -> None:
    chance = random.Random(20260302)  # noqa: S311 - moments, no secrets
    tally = kill_often(tmp_path, KILLS, chance, verify_every=KILLS)
    assert tally.lost == []
    assert tally.kills >= KILLS - 1  # the last act may end before its moment comes
    assert tally.acknowledged > 0
    assert tally.landings > 0


def test_a_loss_would_be_seen(tmp_path: Path) -> None:
    plan = plan_of(job_of(JOB), Chosen(files=(plan_file(tmp_path),)))
    book = tmp_path / "jobs" / "0731"
    Journey.start(
        plan, book, bench="test-bench", clock=lambda: "2026-03-02T09:00:00+01:00",
        user="R. Ansell", version="0.0-test",
    ).book.close()  # fmt: skip
    never_done = [
        "limit P1.press workshop sheet, page 3", "photo B1 00", "draft B1.covered 00",
        "marks B1.covered", "reading P1.bore 36.512", "refused cover", "waived cover P1.clean",
        "closed cover",
    ]  # fmt: skip
    assert lost(tmp_path, [f"begun {book}", *never_done]) == never_done
