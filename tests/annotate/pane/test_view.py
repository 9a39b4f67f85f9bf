import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, QPointF, QRect, Qt
from PySide6.QtGui import QColor, QImage, QNativeGestureEvent, QPointingDevice, QWheelEvent
from PySide6.QtWidgets import QApplication

from annotate.marks import Point, from_corner_px, to_corner_px
from annotate.pane.levels import levels_of
from annotate.pane.view import LARGEST_ZOOM, ZoomView, point_of, scene_of
from tests.annotate.pane.rims_drawn import canvas

places = st.floats(-1e5, 1e5)


@pytest.fixture
def view(qtbot) -> ZoomView:
    made = ZoomView()
    qtbot.addWidget(made)
    made.resize(400, 300)
    made.show()
    made.set_picture(levels_of(np.zeros((1500, 2000, 3), np.uint8)))
    return made


def grey_of(view: ZoomView) -> np.ndarray:
    image = view.viewport().grab().toImage().convertToFormat(QImage.Format.Format_Grayscale8)
    flat = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1)
    return flat[:, : image.width()].astype(float)


def wheel(view: ZoomView, at: QPointF, notches: float) -> None:
    turned = QPoint(0, round(120 * notches))
    on_screen = QPointF(view.viewport().mapToGlobal(at.toPoint()))
    event = QWheelEvent(
        at,
        on_screen,
        QPoint(),
        turned,
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(view.viewport(), event)


@given(x=places, y=places)
def test_a_point_survives_the_way_to_the_scene_and_back(x, y) -> None:
    back = point_of(scene_of(Point(x, y)))
    assert (back.x_px, back.y_px) == (
        from_corner_px(to_corner_px(x)),
        from_corner_px(to_corner_px(y)),
    )
    assert back.x_px == pytest.approx(x, abs=1e-9)


def test_a_point_is_half_a_pixel_from_the_corner_that_the_scene_counts_from() -> None:
    assert scene_of(Point(0.0, 2.0)) == QPointF(0.5, 2.5)


@pytest.mark.parametrize("zoom", [8.0, 16.0, 40.0])
def test_a_pixel_is_seen_where_its_point_is_said_to_be(view, zoom) -> None:
    """The convention itself: the drawn pixel's own middle against where its Point is mapped."""
    pixels = np.zeros((40, 60, 3), np.uint8)
    pixels[17, 31] = 255
    view.set_picture(levels_of(pixels))
    view.zoom_to(Point(31.0, 17.0), zoom)
    grey = grey_of(view)
    rows, columns = np.indices(grey.shape)
    at = view.to_viewport(Point(31.0, 17.0))
    # Widget coordinates count from the corner of a screen pixel, as the scene's do.
    assert (columns * grey).sum() / grey.sum() + 0.5 == pytest.approx(at.x(), abs=0.6)
    assert (rows * grey).sum() / grey.sum() + 0.5 == pytest.approx(at.y(), abs=0.6)


def test_a_coarse_level_lies_where_the_full_one_lies(view) -> None:
    pixels = np.zeros((1500, 2000, 3), np.uint8)
    pixels[:, 1000:] = 200
    view.set_picture(levels_of(pixels))
    for zoom in (0.2, 0.45, 0.9, 2.0):
        view.zoom_to(Point(999.5, 700.0), zoom)
        edge = view.to_viewport(Point(999.5, 700.0)).x()
        row = grey_of(view)[150]
        assert (row < 100).sum() == pytest.approx(edge, abs=1.5), zoom


def test_the_wheel_enlarges_about_the_pointer(view) -> None:
    at = QPointF(300.0, 90.0)
    view.zoom_at(at, 4.0)
    before = view.to_scene(at)
    wheel(view, at, 3)
    assert view.zoom() == pytest.approx(0.2 * 4 * 1.25**3)
    moved = (view.to_scene(at) - before) * view.zoom()
    assert abs(moved.x()) <= 1.0
    assert abs(moved.y()) <= 1.0


def test_the_whole_picture_is_the_least_and_forty_the_most(view) -> None:
    wheel(view, QPointF(10, 10), -30)
    assert view.zoom() == pytest.approx(0.2)
    wheel(view, QPointF(10, 10), 60)
    assert view.zoom() == LARGEST_ZOOM


def test_a_pan_past_the_edge_is_not_saved_up(view) -> None:
    view.zoom_to(Point(1000, 750), 1.0)
    for _ in range(50):
        view.pan(QPointF(100, 0))
    assert view.to_scene(QPointF(0, 0)).x() == pytest.approx(0, abs=1)
    view.pan(QPointF(-30, 0))
    assert view.to_scene(QPointF(0, 0)).x() == pytest.approx(30, abs=1)


def test_keys_enlarge_fit_and_move(qtbot, view) -> None:
    qtbot.keyClick(view, Qt.Key.Key_Plus)
    # ZoomView alone leaves its keys to its heirs.
    assert view.zoom() == pytest.approx(0.2)
    pane = canvas(qtbot, size=(1600, 1200))
    qtbot.keyClick(pane, Qt.Key.Key_Plus)
    qtbot.keyClick(pane, Qt.Key.Key_Plus)
    assert pane.zoom() == pytest.approx(0.5 * 1.25**2)
    centre = pane.centre()
    qtbot.keyClick(pane, Qt.Key.Key_Right)
    assert (pane.centre().x_px - centre.x_px) * pane.zoom() == pytest.approx(48, abs=1)
    qtbot.keyClick(pane, Qt.Key.Key_Minus)
    qtbot.keyClick(pane, Qt.Key.Key_0)
    assert pane.zoom() == pytest.approx(0.5)


def test_a_resized_view_still_shows_the_whole_picture(view) -> None:
    view.resize(800, 600)
    assert view.zoom() == pytest.approx(0.4)


def test_a_resized_close_view_keeps_its_middle(view) -> None:
    view.zoom_to(Point(700, 500), 2.0)
    view.resize(501, 377)
    assert view.zoom() == 2.0
    assert view.centre().x_px == pytest.approx(700, abs=1)
    assert view.centre().y_px == pytest.approx(500, abs=1)


def test_two_views_follow_each_other_without_an_echo(qtbot, view) -> None:
    other = ZoomView()
    qtbot.addWidget(other)
    other.resize(400, 300)
    other.show()
    other.set_picture(levels_of(np.zeros((1500, 2000, 3), np.uint8)))
    told: list[object] = []
    view.view_changed.connect(lambda to: other.set_view(*to))
    other.view_changed.connect(told.append)
    wheel(view, QPointF(100, 100), 4)
    assert other.zoom() == pytest.approx(view.zoom())
    assert other.centre().x_px == pytest.approx(view.centre().x_px, abs=1 / view.zoom())
    assert told == []


def test_a_view_without_a_picture_shows_the_mat_and_takes_everything(qtbot, view) -> None:
    view.set_picture(None)
    wheel(view, QPointF(5, 5), 2)
    view.pan(QPointF(5, 5))
    image = view.viewport().grab(QRect(0, 0, 20, 20)).toImage()
    assert image.pixelColor(10, 10) == view.backgroundBrush().color()


def test_a_pinch_on_a_pad_enlarges_about_the_fingers(view) -> None:
    at = QPointF(300.0, 90.0)
    view.zoom_at(at, 4.0)
    before, zoom = view.to_scene(at), view.zoom()
    pinch = QNativeGestureEvent(
        Qt.NativeGestureType.ZoomNativeGesture,
        QPointingDevice.primaryPointingDevice(),
        2,
        at,
        at,
        QPointF(view.viewport().mapToGlobal(at.toPoint())),
        0.25,
        QPointF(),
    )
    QApplication.sendEvent(view.viewport(), pinch)
    assert view.zoom() == pytest.approx(zoom * 1.25)
    assert abs((view.to_scene(at) - before).x()) * view.zoom() <= 1.0


def test_two_fingers_on_a_pad_move_the_picture(view) -> None:
    view.zoom_to(Point(1000, 750), 1.0)
    left = view.to_scene(QPointF(0, 0)).x()
    event = QWheelEvent(
        QPointF(50, 50),
        QPointF(50, 50),
        QPoint(-30, 0),
        QPoint(-60, 0),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.ScrollUpdate,
        False,
    )
    QApplication.sendEvent(view.viewport(), event)
    assert view.zoom() == 1.0
    assert view.to_scene(QPointF(0, 0)).x() == pytest.approx(left + 30)


def test_another_mat_is_seen_at_once(view) -> None:
    view.set_picture(None)
    view.setBackgroundBrush(QColor("#b9b7b0"))
    assert view.viewport().grab().toImage().pixelColor(10, 10) == QColor("#b9b7b0")
