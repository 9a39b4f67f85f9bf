"""A size measured freely, filed as a reading of a check of its location."""

from math import sqrt

import pytest
from PySide6.QtCore import Qt

from annotate.quantity import Quantity
from capture.desk.desk import Desk
from capture.desk.marking.filed_size import Target, doubts_of, reading_text, targets_of
from capture.plans.reader import parse_plan
from store.characteristic import Doubt
from tests.capture.desk.marking.conftest import SLOW_MS, all_words, press

CONTROL = Qt.KeyboardModifier.ControlModifier
PLAN = """format = 1

[job]
number = "T-9"
engine = "Bench rig, one cylinder"
customer = "Ada Quill"
shop = "Back Lane Bench"

[[gauge]]
id = "rule-1"
kind = "steel rule"
resolution = "0.5 mm"
permissible_error = "0.2 mm"

[[location]]
id = "C1"
name = "Cam bearing 1, oil hole"
  [[location.check]]
  id = "covered"
  kind = "coverage"
  question = "How much of the hole is covered?"
  [[location.check]]
  id = "groove"
  kind = "length"
  question = "How wide is the groove?"
  unit = "mm"
  limit = { at_least = "2.0 mm", source = "builder's own" }
  [[location.check]]
  id = "edge"
  kind = "depth"
  question = "How deep does the edge sit?"
  datum = "bearing face"
  gauge = "rule-1"
"""


@pytest.fixture
def demo(begun) -> Desk:
    """A plan whose location takes a coverage, a length and a depth."""
    return begun(parse_plan(PLAN.encode(), "plan.toml"))


def measure_distance(screen, length: str, qtbot) -> None:
    """Place a scale of a true length over 300 px, and a distance of as many."""
    page = screen.column.measure
    qtbot.keyClick(screen, Qt.Key.Key_M)
    qtbot.keyClick(screen, Qt.Key.Key_S)
    press(screen, (600, 700), qtbot)
    press(screen, (900, 700), qtbot)
    qtbot.keyClicks(page._boxes["length"].box, length)
    qtbot.keyClick(page._boxes["length"].box, Qt.Key.Key_Return, CONTROL)
    qtbot.keyClick(screen, Qt.Key.Key_D)
    press(screen, (600, 760), qtbot)
    press(screen, (900, 760), qtbot)
    qtbot.waitUntil(page.filing.isVisible, timeout=SLOW_MS)


def test_a_distance_is_filed_as_a_reading_with_photo_and_doubt(demo, filed, opened, qtbot) -> None:
    photo = filed("bearing-3.jpg", location="C1")
    screen = opened("C1.covered", photo)
    told: list[str] = []
    demo.told.connect(told.append)
    measure_distance(screen, "3.0 mm", qtbot)
    filing = screen.column.measure.filing
    assert "File it as a reading of" in all_words(screen)
    choices = [filing.check.box.itemData(n) for n in range(filing.check.box.count())]
    assert choices == ["C1.groove", "C1.edge BELOW", "C1.edge PROUD"]
    marks = screen.canvas.layer().marks
    qtbot.keyClick(screen, Qt.Key.Key_F)
    qtbot.waitUntil(lambda: demo.round.check("C1.groove").current is not None)
    read = demo.round.check("C1.groove").current.record
    assert read.photos == (photo,)
    assert read.gauge == ""
    (doubt,) = read.doubts
    assert doubt.what == "measured on this photo"
    # The distance is as long as the scale, which is 3.0 mm; presses land on whole screen pixels.
    assert read.quantity.value == pytest.approx(3.0, abs=0.1)
    # A rectangle's standard uncertainty is its half-width over root 3 (JCGM 100:2008, 4.3.7).
    assert read.quantity.u >= doubt.half_width.value / sqrt(3)
    qtbot.waitUntil(lambda: any("the marks themselves stay a draft" in words for words in told))
    assert screen.canvas.layer().marks == marks
    assert demo.round.check("C1.covered").attempts == ()


def test_what_looks_like_a_slip_is_asked_about_at_its_check(demo, filed, opened, qtbot) -> None:
    photo = filed("bearing-3.jpg", location="C1")
    done: list[object] = []
    demo.act(lambda journey: journey.reading("C1.groove", "3.0 mm"), then=done.append)
    qtbot.waitUntil(lambda: bool(done))
    screen = opened("C1.covered", photo)
    refused: list[str] = []
    demo.refused.connect(refused.append)
    measure_distance(screen, "30 mm", qtbot)
    qtbot.keyClick(screen, Qt.Key.Key_F)
    qtbot.waitUntil(lambda: bool(refused))
    assert "looks like a slip" in refused[0]
    assert demo.where.key == "C1.groove"
    assert len(demo.round.check("C1.groove").attempts) == 1


def test_where_no_check_takes_an_angle_it_says_so(demo, filed, opened, qtbot) -> None:
    screen = opened("C1.covered", filed("bearing-3.jpg", location="C1"))
    assert targets_of("angle", screen.placing.sitting.place) == ()
    assert targets_of("area", screen.placing.sitting.place) == ()
    assert [t.key for t in targets_of("diameter", screen.placing.sitting.place)] == ["C1.groove"]


def test_text_and_doubt_of_a_size() -> None:
    size = Quantity(1.234, "mm", u=0.05)
    deep = Target("C1.edge", "edge", side="PROUD")
    text = reading_text(size, deep)
    assert text.startswith("1.2")
    assert text.endswith(" mm PROUD")
    (doubt,) = doubts_of(size)
    assert doubt == Doubt("measured on this photo", Quantity(0.05 * sqrt(3), "mm"))
    assert doubts_of(Quantity(1.0, "mm")) == ()
