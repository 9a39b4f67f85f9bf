"""The strip: what is there, what is asked for and missing, what is shown; by keys alone too."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage

from capture.desk.desk import Desk
from capture.desk.photos.strip import PhotoStrip
from capture.desk.photos.thumb import WantedThumb
from capture.plans.reader import parse_plan
from tests.capture.command import SAMPLES
from tests.capture.desk.photos.pictures import TRUNCATED
from tests.capture.desk.photos.waiting import LONG_MS, until
from tests.capture.small_plan import PLAN

ASKS = '\n[[hold_point]]\nid = "front"\nname = "Front plate"\nhides = ["C1"]\n'
ASKED = parse_plan((PLAN + ASKS + 'roles = ["which hole", "close-up"]\n').encode(), "plan.toml")


@pytest.fixture
def asked(begun) -> Desk:
    desk = begun(ASKED)
    desk.go_to_check("C1.covered")
    return desk


@pytest.fixture
def strip(asked, qtbot) -> PhotoStrip:
    made = PhotoStrip(asked)
    qtbot.addWidget(made)
    made.show_place(asked.place, asked.check, asked.round)
    asked.round_changed.connect(lambda known: made.show_place(asked.place, asked.check, known))
    made.resize(352, made.height())
    with qtbot.waitActive(made):
        made.show()
    return made


def words(strip) -> list[str]:
    return [thumb._words() for thumb in strip._thumbs]


def filed(strip, desk, qtbot, *names: str, role: str = "") -> None:
    number = len(desk.round.place("C1").photos) + len(names)
    strip._arrivals.take_paths([SAMPLES / name for name in names], role=role)
    until(qtbot, lambda: len(desk.round.place("C1").photos) == number)


def test_what_hold_points_ask_for_and_is_missing_stands_dashed(strip, asked, qtbot) -> None:
    assert words(strip) == ["which hole: none", "close-up: none"]
    assert strip._arrivals.next.role == "which hole"
    filed(strip, asked, qtbot, "bearing-1.jpg")
    assert words(strip) == ["which hole", "close-up: none"]
    assert strip._arrivals.next.role == "close-up"


def test_a_dashed_place_chooses_what_the_next_photo_is_for(strip, asked, qtbot) -> None:
    dashed = strip._thumbs[1]
    assert isinstance(dashed, WantedThumb)
    with qtbot.waitSignal(strip.chosen) as chosen:
        qtbot.mouseClick(dashed, Qt.MouseButton.LeftButton)
    assert chosen.args == [""]
    assert dashed._here
    filed(strip, asked, qtbot, "bearing-1.jpg")
    assert words(strip) == ["close-up", "which hole: none"]


def test_a_file_that_cannot_be_shown_does_not_fill_a_role(strip, asked, qtbot) -> None:
    strip._arrivals.take_paths([TRUNCATED], role="which hole")
    until(qtbot, lambda: strip._arrivals.question is not None)
    strip._arrivals.keep_anyway()
    until(qtbot, lambda: bool(asked.round.place("C1").photos))
    assert words(strip) == ["which hole", "which hole: none", "close-up: none"]


def test_arrow_keys_go_from_photo_to_photo(strip, asked, qtbot) -> None:
    filed(strip, asked, qtbot, "bearing-1.jpg", "bearing-3.jpg", role="overall")
    first, second = (p.taken.photo for p in asked.round.place("C1").photos)
    chosen: list[str] = []
    strip.chosen.connect(chosen.append)
    strip._thumbs[0].setFocus()
    qtbot.keyClick(strip._thumbs[0], Qt.Key.Key_Right)
    qtbot.keyClick(strip._thumbs[1], Qt.Key.Key_Left)
    assert chosen == [second, first]
    assert strip.shown == first
    assert strip._thumbs[0].accessibleDescription() == "shown now"
    strip.mark_shown(second)
    assert strip._thumbs[1].accessibleDescription() == "shown now"
    assert chosen == [second, first]


def test_thumbnails_are_drawn_in_their_size(strip, asked, qtbot) -> None:
    filed(strip, asked, qtbot, "bearing-1.jpg")
    until(qtbot, lambda: not strip._thumbs[0]._image.isNull())
    image: QImage = strip._thumbs[0]._image
    assert (image.width(), image.height()) == (104, 64)


def test_a_struck_photo_stands_last_and_frees_its_role(strip, asked, qtbot) -> None:
    filed(strip, asked, qtbot, "bearing-1.jpg", role="which hole")
    filed(strip, asked, qtbot, "bearing-3.jpg", role="overall")
    entry = asked.round.place("C1").photos[0].stamp.entry
    with qtbot.waitSignal(asked.round_changed, timeout=LONG_MS):
        asked.act(lambda j: j.strike(entry, "wrong hole"))
    assert words(strip) == ["overall", "which hole, struck", "which hole: none", "close-up: none"]
    assert strip._thumbs[1].accessibleName() == "photo, which hole, struck"


def test_the_focus_stays_when_nothing_of_the_photos_changed(strip, asked, qtbot) -> None:
    filed(strip, asked, qtbot, "bearing-1.jpg")
    strip._thumbs[0].setFocus()
    with qtbot.waitSignal(asked.round_changed, timeout=LONG_MS):
        asked.act(lambda j: j.reading("P1.bore", "40.012"))
    assert strip._thumbs[0].hasFocus()
