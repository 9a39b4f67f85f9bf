"""How much work one frame is, on 48 megapixels."""

import time

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt

from annotate.marks import Ellipse, Point, Rim
from annotate.pane.canvas import PhotoCanvas
from annotate.pane.levels import PictureLevels, levels_of
from annotate.pane.picture import Picture
from annotate.pane.rim_fit import fit_rim
from tests.annotate.pane.rims_drawn import layer, on

FRAME_S = 0.016
NEAR = Ellipse(4000.0, 3000.0, 900.0, 810.0, 10.0)
FAR = Ellipse(3700.0, 2700.0, 1000.0, 900.0, 10.0)


@pytest.fixture(scope="module")
def large() -> PictureLevels:
    return levels_of(np.random.default_rng(0).integers(0, 256, (6000, 8000, 3), dtype=np.uint8))


@pytest.fixture
def pane(qtbot, large) -> PhotoCanvas:
    made = PhotoCanvas()
    qtbot.addWidget(made)
    made.resize(992, 664)
    made.show()
    made.set_picture(large)
    noise = np.random.default_rng(1).normal(0, 0.5, (240, 2))
    near = np.array(on(NEAR, np.arange(120) * 3.0)) + noise[:120]
    far = np.array(on(FAR, np.linspace(0, 170, 120))) + noise[120:]
    rims = [
        Rim(which, tuple(map(tuple, points.tolist())), 0.5, "found")
        for which, points in (("near", near), ("far", far))
    ]
    made.set_layer(layer(*rims, size=(8000, 6000)))
    return made


def exposures(monkeypatch) -> list[tuple[float, float]]:
    """Return the sizes of what is painted of the picture from now on, as they come."""
    painted: list[tuple[float, float]] = []
    real = Picture.draw

    def noted(picture, painter, exposed, zoom) -> None:
        painted.append((exposed.width(), exposed.height()))
        real(picture, painter, exposed, zoom)

    monkeypatch.setattr(Picture, "draw", noted)
    return painted


def press_on_handle(qtbot, pane: PhotoCanvas) -> QPoint:
    at = pane.to_viewport(Point(*pane._editing.handles(0)[2])).toPoint()
    qtbot.mousePress(pane.viewport(), Qt.MouseButton.LeftButton, pos=at)
    return at


def test_a_drag_fits_no_rim_anew_until_the_button_is_let_go(qtbot, pane, monkeypatch) -> None:
    fits: list[Rim] = []

    def counted(rim, near=None):
        fits.append(rim)
        return fit_rim(rim, near)

    monkeypatch.setattr("annotate.pane.outlines.fit_rim", counted)
    start = press_on_handle(qtbot, pane)
    fits.clear()
    for k in range(1, 20):
        qtbot.mouseMove(pane.viewport(), start + QPoint(k, k))
    assert fits == []
    qtbot.mouseRelease(pane.viewport(), Qt.MouseButton.LeftButton, pos=start + QPoint(19, 19))
    assert fits


def test_our_own_work_in_a_drag_fits_into_a_frame(qtbot, pane) -> None:
    """Of this thread alone, so that a busy machine does not fail it; painting is measured below."""
    start = press_on_handle(qtbot, pane)
    spent = []
    for k in range(1, 30):
        before = time.thread_time()
        pane._go_on(pane._press, start.toPointF() + QPoint(k, k % 7).toPointF())
        spent.append(time.thread_time() - before)
    assert np.median(spent) < FRAME_S


def test_a_picture_in_place_is_painted_once_and_not_at_each_frame(qtbot, pane, monkeypatch) -> None:
    painted = exposures(monkeypatch)
    pane.zoom_to(Point(4000, 3000), 0.3)
    pane.viewport().repaint()
    start = press_on_handle(qtbot, pane)
    painted.clear()
    for k in range(1, 6):
        pane._go_on(pane._press, start.toPointF() + QPoint(k, k).toPointF())
        pane.viewport().repaint()
    # The magnifier alone, 34 px of the picture wide.
    assert painted
    assert max(max(size) for size in painted) < 40


def test_a_pan_paints_what_comes_into_view(qtbot, pane, monkeypatch) -> None:
    pane.zoom_to(Point(4000, 3000), 1.0)
    pane.viewport().repaint()
    painted = exposures(monkeypatch)
    pane.pan(QPoint(10, 0).toPointF())
    pane.viewport().repaint()
    assert painted
    assert max(min(size) for size in painted) <= 12
