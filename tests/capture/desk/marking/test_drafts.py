"""Marks that are not accepted yet are gone on with, after leaving and after a crash."""

from PySide6.QtCore import Qt

from annotate.marks import Layer
from capture.desk.errands import wait_for_all
from capture.desk.marking.drafts import Draft, Drafts
from capture.desk.marking.screen import MarkingScreen
from capture.desk.where import Where
from tests.capture.desk.marking.conftest import all_words, go_to, place
from tests.capture.samples import HOLES

HOLE = HOLES["bearing-3.jpg"]


def test_marks_left_behind_are_there_again(demo, filed, opened, qtbot) -> None:
    photo, other = filed("bearing-3.jpg"), filed("bearing-1.jpg", "B1")
    screen = opened("B3.covered", photo)
    place(screen, Qt.Key.Key_N, HOLE["near_points"], qtbot)
    layer = screen.canvas.layer()
    go_to(screen, demo, Where("marking", "B1.covered", photo=other), qtbot)
    assert screen.canvas.layer().marks == ()
    go_to(screen, demo, Where("marking", "B3.covered", photo=photo), qtbot)
    qtbot.waitUntil(lambda: screen.canvas.layer() == layer)
    assert "Marks placed before, not accepted yet." in all_words(screen)


def test_a_window_that_died_has_lost_nothing(demo, filed, opened, qtbot, tmp_path) -> None:
    photo = filed("bearing-3.jpg")
    screen = opened("B3.covered", photo)
    place(screen, Qt.Key.Key_N, HOLE["near_points"], qtbot)
    layer = screen.canvas.layer()
    drafts = tmp_path / "drafts"
    # Nobody leaves or closes anything: the file is there by itself.
    qtbot.waitUntil(lambda: any(drafts.glob("*.json")))

    another = MarkingScreen(demo, drafts)
    qtbot.addWidget(another)
    another.show()
    go_to(another, demo, Where("marking", "B3.covered", photo=photo), qtbot)
    qtbot.waitUntil(lambda: another.canvas.layer() == layer)
    assert another.placing.note == "marks placed before, not accepted yet"
    assert demo.round.check("B3.covered").attempts == ()
    wait_for_all()


def draft(**other: str) -> Draft:
    fields = {"book": "/b", "key": "B3.covered", "photo": "f" * 64, "by": "R. Ansell", **other}
    return Draft(layer=Layer(width_px=10, height_px=10), typed={"wall": "2 mm"}, **fields)


def test_a_draft_is_found_by_its_book_check_photo_and_first_marks_only(tmp_path) -> None:
    Drafts(tmp_path).keep(draft())
    fresh = Drafts(tmp_path)
    assert fresh.find("/b", "B3.covered", "f" * 64, by="anybody") == draft()
    assert fresh.find("/other", "B3.covered", "f" * 64, by="R. Ansell") is None
    assert fresh.find("/b", "B1.covered", "f" * 64, by="R. Ansell") is None
    assert fresh.find("/b", "B3.covered", "f" * 64, by="R. Ansell", second_to="e") is None
    fresh.drop("/b", "B3.covered", "f" * 64)
    assert Drafts(tmp_path).find("/b", "B3.covered", "f" * 64, by="R. Ansell") is None


def test_second_marks_are_offered_to_their_own_hand_only(tmp_path) -> None:
    drafts = Drafts(tmp_path)
    drafts.keep(draft(by="M. Dorn", second_to="e" * 64))
    found = lambda by: drafts.find(  # noqa: E731 - said three times below
        "/b", "B3.covered", "f" * 64, by=by, second_to="e" * 64
    )
    assert found("M. Dorn") is not None
    assert found("R. Ansell") is None


def test_a_spoilt_file_is_as_good_as_none_and_a_full_disk_keeps_it_at_hand(tmp_path) -> None:
    drafts = Drafts(tmp_path)
    drafts.keep(draft())
    (file,) = tmp_path.glob("*.json")
    whole = file.read_bytes()
    for spoilt in (whole[:20], whole.replace(b"R. Ansell", b"\xff. Ansell")):
        file.write_bytes(spoilt)
        assert Drafts(tmp_path).find("/b", "B3.covered", "f" * 64, by="x") is None

    (tmp_path / "a file").write_text("no folder")
    kept_here = Drafts(tmp_path / "a file" / "below")
    assert not kept_here.keep(draft())
    assert kept_here.find("/b", "B3.covered", "f" * 64, by="x") == draft()
