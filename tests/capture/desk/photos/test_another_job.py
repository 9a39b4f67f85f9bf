"""Another job is opened while a photo is on its way: it is filed in neither, and that is told."""

from collections.abc import Iterator
from pathlib import Path
from threading import Event

import pytest
from PySide6.QtGui import QGuiApplication, QImage

from capture.desk.desk import Desk
from capture.desk.photos import arrivals as under_test
from capture.desk.photos import coming, handed, taking
from capture.desk.where import Where
from capture.plans.reader import parse_plan
from store.book import Book
from tests.capture.command import SAMPLES
from tests.capture.desk.photos.waiting import LONG_MS, until
from tests.capture.small_plan import PLAN

NOT_FILED = (
    "bearing-1.jpg was meant for the job that was open before, and is not filed: open that job, "
    "and add it again"
)


class Slow:
    """Reading a file that takes until ``may_answer`` is set."""

    def __init__(self) -> None:
        self.begun, self.may_answer = Event(), Event()


@pytest.fixture
def slow(monkeypatch) -> Iterator[Slow]:
    made, really = Slow(), coming.look

    def look(file):
        made.begun.set()
        made.may_answer.wait(LONG_MS / 1000)
        return really(file)

    monkeypatch.setattr(under_test, "look", look)
    yield made
    made.may_answer.set()


def go_on_to_another(desk: Desk, root: Path, qtbot) -> None:
    """Begin another job, with the same locations as the one that is open."""
    desk.begin(parse_plan(PLAN.encode(), "plan.toml"), root)
    until(qtbot, lambda: desk.root == root)
    desk.go_to_check("C1.covered")


def photos_in(root: Path) -> int:
    with Book.open(root, read_only=True) as book:
        return sum(len(place.photos) for place in book.round().places)


def test_a_photo_that_is_still_being_read_is_not_filed_in_the_next_job(
    arrivals, small, said, slow, qtbot, tmp_path
) -> None:
    before = small.root
    arrivals.take_paths([SAMPLES / "bearing-1.jpg"])
    until(qtbot, slow.begun.is_set)
    go_on_to_another(small, tmp_path / "another", qtbot)
    slow.may_answer.set()
    until(qtbot, lambda: bool(said))
    assert said == [NOT_FILED]
    assert small.round.place("C1").photos == ()
    assert photos_in(before) == 0


def test_what_was_asked_in_one_job_is_not_filed_by_an_answer_in_the_next(
    arrivals, small, said, qtbot, tmp_path
) -> None:
    small.go(Where("map"))
    arrivals.take_paths([SAMPLES / "bearing-1.jpg"])
    until(qtbot, lambda: arrivals.question is not None)
    go_on_to_another(small, tmp_path / "another", qtbot)
    arrivals.say_where("C1")
    until(qtbot, lambda: bool(said))
    assert said == [NOT_FILED]
    assert small.round.place("C1").photos == ()


def test_what_lay_in_the_watched_folder_is_taken_into_the_job_it_was_asked_for(
    arrivals, small, said, qtbot, tmp_path
) -> None:
    arrivals.ask_about([SAMPLES / "bearing-1.jpg"])
    go_on_to_another(small, tmp_path / "another", qtbot)
    arrivals.take_in()
    until(qtbot, lambda: bool(said))
    assert said == [NOT_FILED]
    assert small.round.place("C1").photos == ()


def test_a_picture_pasted_just_before_stays_where_it_was_written(
    pane, small, said, qtbot, tmp_path, monkeypatch
) -> None:
    written, may_answer = Event(), Event()
    really = handed.saved_as_png

    def slowly(*given):  # noqa: ANN002 - as the one it stands for
        written.set()
        may_answer.wait(LONG_MS / 1000)
        return really(*given)

    monkeypatch.setattr(taking, "saved_as_png", slowly)
    QGuiApplication.clipboard().setImage(QImage(64, 48, QImage.Format.Format_RGB888))
    assert pane.taking.paste()
    until(qtbot, written.is_set)
    go_on_to_another(small, tmp_path / "another", qtbot)
    may_answer.set()
    until(qtbot, lambda: bool(said))
    assert "and is not filed" in said[0]
    path = Path(said[0].partition("meanwhile it lies in ")[2])
    assert path.name.startswith("pasted-")
    assert path.exists()
    assert small.round.place("C1").photos == ()
