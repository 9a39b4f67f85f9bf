"""How long one frame of the photo canvas takes, against one blit of a picture as large."""

import time
from collections.abc import Callable

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPixmap
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from annotate.marks import Layer, Point, Rim
from annotate.pane.canvas import PhotoCanvas
from annotate.pane.levels import levels_of
from tests.bench.desk_waiting import timed

WIDE, HIGH = 8000, 6000  # 48 MP
_MOVES = 200
_CANVAS = (992, 664)
_GRAIN = 40


def print_frames() -> None:
    """Print frame times while the photo is panned and a rim of it is dragged."""
    peer = _blit()
    canvas = PhotoCanvas()
    canvas.resize(*_CANVAS)
    canvas.set_picture(levels_of(texture()))
    canvas.set_layer(Layer(WIDE, HIGH))
    canvas.show()
    QTest.qWaitForWindowExposed(canvas)
    print(
        f"\none frame at {_CANVAS[0]} x {_CANVAS[1]} of {WIDE * HIGH / 1e6:.0f} MP, {_MOVES} moves:"
        " median, worst, processor's median, ratio"
    )
    print(f"  {'a blit of the same size':<34}{1e3 * peer:6.2f} ms")
    middle = Point(WIDE / 2, HIGH / 2)
    views: tuple[tuple[str, Callable[[], None]], ...] = (
        ("panning, three times the whole", lambda: canvas.zoom_to(middle, 3 * canvas.zoom())),
        ("panning at one to one", lambda: canvas.zoom_to(middle, 1.0)),
    )
    for words, look in views:
        canvas.fit_whole()
        look()
        _print_moves(words, canvas, QPoint(500, 330), peer)
    canvas.fit_whole()
    near = _ring("near", 900, 850)
    canvas.set_rims(near, _ring("far", 620, 600))
    canvas.repaint()
    x, y = near.points_px[0]
    handle = canvas.to_viewport(Point(x, y)).toPoint()
    before = canvas.layer()
    _print_moves("dragging a handle of a rim", canvas, handle, peer)
    if canvas.layer() == before:
        raise RuntimeError("nothing was dragged")


def _blit() -> float:
    """Return the seconds that Qt takes to draw a picture of the canvas's size."""
    plain = QPixmap(*_CANVAS)
    plain.fill(Qt.GlobalColor.gray)

    class Blit(QWidget):
        def paintEvent(self, _: QPaintEvent) -> None:  # noqa: N802 - Qt's name
            painter = QPainter(self)
            painter.drawPixmap(0, 0, plain)
            painter.end()

    blit = Blit()
    blit.resize(*_CANVAS)
    blit.show()
    QTest.qWaitForWindowExposed(blit)
    return float(np.median([timed(blit.repaint) for _ in range(_MOVES)]))


def _print_moves(words: str, canvas: PhotoCanvas, start: QPoint, peer: float) -> None:
    view = canvas.viewport()
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    taken, worked = [], []
    for n in range(_MOVES):
        at = start + QPoint(round(60 * np.sin(n / 9)), round(40 * np.cos(n / 13)))
        before = time.thread_time()
        taken.append(timed(lambda at=at: _move(view, at)))
        worked.append(time.thread_time() - before)
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=start + QPoint(30, 30))
    typical = float(np.median(taken))
    print(
        f"  {words:<34}{1e3 * typical:6.2f} ms {1e3 * max(taken):6.1f} ms"
        f" {1e3 * float(np.median(worked)):6.2f} ms {typical / peer:5.1f}"
    )


def _move(view: QWidget, at: QPoint) -> None:
    QTest.mouseMove(view, at)
    view.repaint()


def _ring(which: str, wide: float, high: float) -> Rim:
    angles = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    points = tuple(
        (float(WIDE / 2 + wide * np.cos(a)), float(HIGH / 2 + high * np.sin(a))) for a in angles
    )
    return Rim(which, points, 0.3, placed="found")  # type: ignore[arg-type] # near or far


def texture() -> npt.NDArray[np.uint8]:
    """Return a picture of 48 MP with fine grain and large shapes, RGB."""
    dice = np.random.default_rng(20261126)
    coarse = dice.integers(60, 190, (HIGH // _GRAIN, WIDE // _GRAIN, 3), dtype=np.uint8)
    picture = np.repeat(np.repeat(coarse, _GRAIN, axis=0), _GRAIN, axis=1)
    picture += dice.integers(0, 24, (HIGH, WIDE, 1), dtype=np.uint8)
    return picture
