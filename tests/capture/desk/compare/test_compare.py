"""Two photos side by side: which two, moved together, each alone, changed, left again."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication

from annotate.marks import Point
from capture.desk.compare.link import Link, View
from capture.desk.compare.screen import LINKED, UNLINKED, CompareScreen
from capture.desk.errands import wait_for_all
from capture.desk.shelf import shelf_of
from capture.desk.where import Where
from capture.intake.photo import read_photo
from tests.capture.command import SAMPLES


@pytest.fixture
def file(demo, qtbot) -> Callable[..., str]:
    """File a sample picture at a location; return the photo's id."""

    def file_(name: str, location: str, role: str = "close-up") -> str:
        photo = read_photo(SAMPLES / name)
        kept = []
        demo.act(lambda j: j.add_photo(photo, location=location, role=role), then=kept.append)
        qtbot.waitUntil(lambda: bool(kept))
        return kept[0].evidence.photo

    return file_


@pytest.fixture
def compare(demo, qtbot) -> Callable[..., CompareScreen]:
    """Open the screen on two photos and wait until both are there."""

    def open_(photo: str, other: str = "") -> CompareScreen:
        screen = CompareScreen(demo)
        qtbot.addWidget(screen)
        screen.resize(976, 752)
        screen.show()
        qtbot.waitExposed(screen)
        where = Where("compare", "B2.covered", photo=photo, other=other)
        demo.go(where)
        screen.enter(where)
        qtbot.waitUntil(lambda: screen.link is not None)
        wait_for_thumbs(demo, qtbot)
        return screen

    yield open_
    wait_for_all()


@pytest.fixture
def two(file, compare) -> CompareScreen:
    """Found on the left, turned on the right: before and after."""
    before = file("bearing-2-found.jpg", "B2")
    after = file("bearing-2-turned.jpg", "B2")
    screen = compare(after)
    assert screen.left.chosen.photo.taken.photo == before
    assert screen.right.chosen.photo.taken.photo == after
    return screen


def wait_for_thumbs(demo, qtbot) -> None:
    """Wait until the strips have all of their pictures."""
    qtbot.waitUntil(lambda: shelf_of(demo)._making is None)


def wheel(screen, side, notches: int) -> None:
    """Turn the wheel over the middle of a side."""
    view = side.canvas.viewport()
    middle = QPointF(view.rect().center())
    event = QWheelEvent(
        middle, view.mapToGlobal(middle), QPoint(), QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase,
        False,
    )  # fmt: skip
    QApplication.sendEvent(view, event)


def test_both_are_enlarged_and_moved_together(two, qtbot) -> None:
    left, right = two.left, two.right
    before = left.view
    wheel(two, right, 5)
    assert left.view.zoom / before.zoom == pytest.approx(1.25**5)
    qtbot.mousePress(right.canvas.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(200, 200))
    qtbot.mouseMove(right.canvas.viewport(), QPoint(210, 190))
    qtbot.mouseMove(right.canvas.viewport(), QPoint(260, 160))
    qtbot.mouseRelease(right.canvas.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(260, 160))
    # Two pictures of one size, whole at first: the same part of both is shown.
    assert left.view.centre.x_px == pytest.approx(right.view.centre.x_px, abs=1.0)
    assert left.view.centre.y_px == pytest.approx(right.view.centre.y_px, abs=1.0)
    qtbot.keyClick(left.canvas, Qt.Key.Key_Plus)
    assert right.view.zoom == pytest.approx(left.view.zoom)


def test_unlinked_each_is_laid_right_and_linked_again_they_stay_so(two, qtbot) -> None:
    left, right = two.left, two.right
    qtbot.keyClick(two, Qt.Key.Key_L)
    assert two._told.text() == UNLINKED
    # The hole of each picture in the middle (sample_images/answers.toml: click).
    left.canvas.zoom_to(Point(798, 663), 1.5)
    right.canvas.zoom_to(Point(771, 543), 1.0)
    assert left.view.zoom == pytest.approx(1.5)
    qtbot.keyClick(two, Qt.Key.Key_L)
    assert two._told.text() == LINKED
    wheel(two, left, 2)
    assert right.view.zoom == pytest.approx(1.25**2)
    assert right.view.centre.x_px == pytest.approx(771, abs=1.5)
    assert right.view.centre.y_px == pytest.approx(543, abs=1.5)


def test_swap_whole_and_leave(two, demo, qtbot) -> None:
    was = two.left.chosen, two.right.chosen
    wheel(two, two.left, 3)
    qtbot.keyClick(two, Qt.Key.Key_S)
    assert (two.right.chosen, two.left.chosen) == was
    qtbot.waitUntil(lambda: two.link is not None)
    wheel(two, two.left, 3)
    two._whole()
    assert two.left.view.zoom == pytest.approx(two.right.view.zoom)
    qtbot.keyClick(two, Qt.Key.Key_Escape)
    assert demo.where == Where("location", "B2.covered")


def test_a_photo_of_another_location_is_chosen_from_its_strip(two, file, demo, qtbot) -> None:
    third = file("bearing-1.jpg", "B1")
    fourth = file("bearing-3.jpg", "B1", "which hole")
    two.show_round(demo.round)
    wait_for_thumbs(demo, qtbot)
    pick = two.left._pick
    pick.set_text("B1")
    pick.edited.emit()
    assert two.left.chosen.photo.taken.photo == third
    wait_for_thumbs(demo, qtbot)
    thumb = next(t for t in two.left.strip._thumbs if t.photo.taken.photo == fourth)
    qtbot.mouseClick(thumb, Qt.MouseButton.LeftButton)
    assert two.left.chosen.photo.taken.photo == fourth
    qtbot.waitUntil(lambda: two.link is not None)
    assert two.left.caption.text.startswith("B1  ·  which hole")
    # A tall picture beside a broad one: both whole, and linked as they lie.
    assert two.link.left.zoom > 0


def test_the_only_photo_of_a_location_stands_alone(file, demo, qtbot) -> None:
    only = file("bearing-2-found.jpg", "B2")
    screen = CompareScreen(demo)
    qtbot.addWidget(screen)
    screen.enter(Where("compare", "B2.covered", photo=only))
    assert screen.left.chosen is None
    assert screen.left.caption.text == "no photo"
    wait_for_all()


def test_a_link_is_a_map_from_one_photo_to_the_other() -> None:
    # 2 px of the left photo are 1 px of the right one, and (100, 50) lies on (300, 200).
    link = Link(View(Point(100, 50), 1.0), View(Point(300, 200), 2.0))
    right = link.right_of(View(Point(140, 70), 3.0))
    assert (right.centre, right.zoom) == (Point(320, 210), 6.0)
    assert link.left_of(right) == View(Point(140, 70), 3.0)
