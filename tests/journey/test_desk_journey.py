"""The whole journey at the window, as a person does it: from an empty desk to a report that holds.

The coverage's true value is what the picture was rendered from (sample_images/answers.toml).
"""

from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from annotate.result import Known
from capture.desk.desk import Desk
from capture.desk.errands import wait_for_all
from capture.desk.job.screen import JobScreen
from capture.desk.report.screen import ReportScreen
from capture.desk.start.new_job import NewJobScreen
from capture.desk.window import Window
from capture.edge import Edge
from capture.verifying import verify_book
from store.book import Book
from store.evidence import (
    Closed,
    CloseRefused,
    Derived,
    JobStarted,
    Judged,
    Marked,
    PhotoTaken,
    PlanChanged,
    Read,
    Waiver,
)
from tests.capture.desk.conftest import ticking
from tests.journey import desk_acts as acts
from tests.journey.hands import KEY, Hands

LEAK = {"at_most": "0.5 kPa/min", "source": "workshop sheet, page 9"}  # invented
SLOW_MS = 120_000  # of a machine that has other work too; nothing is asserted about time


@pytest.fixture
def hands(qtbot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Hands]:
    """An empty desk in its window, with the keyboard."""
    monkeypatch.setenv("XDG_DOCUMENTS_DIR", str(tmp_path / "documents"))
    edge = Edge(ticking(), "R. Ansell", lambda: "test-bench", lambda: "0.0-test")
    window = Window(Desk(edge))
    qtbot.addWidget(window, before_close_func=lambda _: None)
    window.resize(1280, 800)
    window.show()
    qtbot.waitExposed(window)
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    kept: list[str] = []

    def until(is_so: Callable[[], object]) -> None:
        qtbot.waitUntil(lambda: bool(is_so()), timeout=SLOW_MS)

    made = Hands(window, until, kept.append)
    yield made
    window.close()
    wait_for_all()


def test_a_job_from_an_empty_desk_to_its_report(hands, qtbot) -> None:
    assert hands.desk.where.room == "first"
    for act in acts.ACTS:
        act.does(hands)
    screen = hands.window.screen_shown
    assert isinstance(screen, ReportScreen)
    assert screen.pages.count >= 2
    assert hands.refused == []
    root = hands.desk.root
    hands.window.close()

    assert verify_book(root, version="0.0-test") == []
    with Book.open(root, read_only=True) as book:
        holds_exactly_what_was_done(book)


def holds_exactly_what_was_done(book: Book) -> None:
    known = book.round()
    job = known.job
    assert {name: getattr(job, name) for name in acts.JOB} == acts.JOB

    [bearing, plug] = known.places
    [close_up] = bearing.photos
    assert (close_up.taken.role, close_up.taken.file_name) == ("close-up", "bearing-1.jpg")
    assert [photo.taken.file_name[:7] for photo in plug.photos] == ["pasted-", "camera-"]
    assert plug.photos[1].taken.camera == "Bench camera"

    marked = known.check("B1.covered").current.record
    assert isinstance(marked, Marked)
    assert marked.photo == close_up.taken.photo
    assert isinstance(marked.result.covered, Known)
    low, high = marked.result.covered.quantity.interval()
    assert low <= acts.HOLE["covered"] <= high
    assert known.check("B1.covered").state == "within"

    for key, text in acts.READINGS.items():
        [attempt] = known.check(key).attempts
        assert attempt.record.text == text
    press = known.check("P1.press")
    assert press.value.value == pytest.approx(0.075)  # 36.587 - 36.512
    assert press.characteristic.limit.source == acts.LIMIT["source"]
    assert (press.characteristic.limit.at_least.value, press.state) == (0.03, "within")

    hold = known.hold("cover")
    assert len(hold.refusals) == 1
    [waived] = hold.waived
    said = (waived.decided_by, waived.reason, waived.owner_agreed)
    assert (waived.key, said) == ("P1.clean", acts.WAIVER)
    assert hold.closed is not None
    assert acts_in(book) == {
        JobStarted: 1, PlanChanged: 1, PhotoTaken: 3, Marked: 1, Read: 2, CloseRefused: 1,
        Waiver: 1, Closed: 1,
    }  # fmt: skip


def acts_in(book: Book) -> Counter[type]:
    """Return how many entries of each kind are a person's acts; the rest follows from them."""
    kinds = Counter(type(entry.evidence) for entry in book.entries())
    for worked_out in (Derived, Judged):
        del kinds[worked_out]
    return kinds


def test_a_job_from_a_plan_of_the_library(hands, qtbot) -> None:
    hands.key(KEY.Key_N)
    screen = hands.screen("new job")
    assert isinstance(screen, NewJobScreen)
    plans = screen.choice.plans
    hands.until(lambda: "arrival" in plans.row_keys())
    for name, text in acts.JOB.items():
        hands.type_into(screen.job.fields[name].box, text)
    plans.setFocus()
    hands.key(KEY.Key_Home)
    while plans.key != "arrival":
        hands.key(KEY.Key_Down)
    hands.key(KEY.Key_Space)
    hands.until(lambda: screen.size_words.text().startswith("3 locations"))
    acts.start(hands)
    acts.limit_of(hands, "L1.drop", LEAK)
    job = hands.window.screen_shown
    assert isinstance(job, JobScreen)
    hands.key(KEY.Key_F4)
    hands.screen("location")
    assert hands.desk.where.key == "A1.identity"
    hands.type("block 20731, head 7")
    hands.key(KEY.Key_Return)
    hands.until(lambda: hands.desk.round.check("A1.identity").current is not None)
    hands.key(KEY.Key_F9)
    hands.screen("report")
    root = hands.desk.root
    hands.window.close()
    assert verify_book(root, version="0.0-test") == []
    with Book.open(root, read_only=True) as book:
        known = book.round()
        assert acts_in(book) == {JobStarted: 1, PlanChanged: 1, Read: 1}
    assert known.check("A1.identity").current.words == "block 20731, head 7"
    assert known.check("L1.drop").characteristic.limit.source == LEAK["source"]
