"""Three invented jobs and a book that is none, below one folder, and the screen that looks."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from capture.desk.shop.screen import ShopScreen
from capture.desk.where import Where
from tests.store.jobs import job_book

JOBS = (
    ("J-1", {"customer": "Ada Quill", "engine": "Two-cylinder pump", "nip": 0.1}),
    ("J-12", {"customer": "Oest & Row", "engine": "inline four", "nip": 0.19, "day": 3}),
    ("K-3", {"customer": "Ada Quill", "engine": "V twin", "nip": None, "day": 4}),
)


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    folder = tmp_path / "jobs"
    folder.mkdir()
    for number, facts in JOBS:
        job_book(folder / number, number, **facts)
    (folder / "torn").mkdir()
    (folder / "torn" / "ledger.db").write_bytes(b"no database at all")
    return folder


@pytest.fixture
def screen(desk, qtbot, jobs) -> Iterator[ShopScreen]:
    """Show the screen in a window of its own, with every job listed."""
    made = ShopScreen(desk)
    made.asked.folder.set_text(str(jobs))
    qtbot.addWidget(made)
    made.resize(1280, 752)
    with qtbot.waitExposed(made):
        made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    desk.go(Where("shop"))
    made.enter(desk.where)
    qtbot.waitUntil(lambda: "job" in made.found.text())
    yield made
    made.leave()
