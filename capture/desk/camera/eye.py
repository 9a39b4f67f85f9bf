"""A thread that looks through a camera and keeps the newest frame. The window never waits for it.

It is a plain daemon thread and no QThread: a camera that was pulled out may hold its read for ten
seconds, nobody waits for that, and the program may end meanwhile.
"""

from collections.abc import Callable
from threading import Event, Lock, Thread
from time import monotonic
from typing import NamedTuple

import numpy as np
from PySide6.QtCore import QObject, QTimer, Signal

from capture.desk.camera.source import FrameSource, Lost, Pixels
from capture.desk.photos.sharpness import edge_width_px

SILENT_MS = 3000
_FRAME_S = 1 / 40  # a file gives its frames faster than anybody can look at them
_FIGURE_S = 0.4
_SHOWN_PX = 1280  # a live picture is shown no larger: to shrink it in the window would hold that up


class Frame(NamedTuple):
    """A picture, how wide its edges were when last looked at, and a small copy to be shown."""

    pixels: Pixels
    width_px: float | None
    small: Pixels


class _Turn:
    """One opening of one camera: what its thread and the window share."""

    def __init__(self, opens: Callable[[], FrameSource], before: Thread | None) -> None:
        self.opens, self.before = opens, before
        self.stop = Event()
        self.lock = Lock()
        self.frame: Frame | None = None
        self.told = False


class Eye(QObject):
    """One camera at a time. ``seen`` says that there is a newer frame, ``lost`` why there is none.

    ``silent`` says that the camera has given nothing for some seconds, and may yet.
    """

    seen = Signal()
    lost = Signal(str)
    silent = Signal()
    _came = Signal(object)
    _ended = Signal(object, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._turn: _Turn | None = None
        self._thread: Thread | None = None
        self._silence = QTimer(self)
        self._silence.setInterval(SILENT_MS)
        self._silence.setSingleShot(True)
        self._silence.timeout.connect(self.silent)
        self._came.connect(self._tell)
        self._ended.connect(self._end)

    def look(self, opens: Callable[[], FrameSource]) -> None:
        """Look through another camera from now on; it is opened in the thread."""
        self.stop()
        turn = self._turn = _Turn(opens, self._thread)
        self._thread = Thread(target=self._run, args=(turn,), name="camera", daemon=True)
        self._thread.start()
        self._silence.start()

    def stop(self) -> None:
        """Look no more. The camera is let go by its thread, and nobody waits for that."""
        if self._turn is not None:
            self._turn.stop.set()
        self._turn = None
        self._silence.stop()

    @property
    def is_looking(self) -> bool:
        """Whether a camera is open, or being opened."""
        return self._turn is not None

    def take(self) -> Frame | None:
        """Return the newest frame, None if there is none yet."""
        turn = self._turn
        if turn is None:
            return None
        with turn.lock:
            turn.told = False
            return turn.frame

    def _tell(self, turn: _Turn) -> None:
        if turn is self._turn:
            self._silence.start()
            self.seen.emit()

    def _end(self, turn: _Turn, why: str) -> None:
        if turn is self._turn:
            self.stop()
            self.lost.emit(why)

    def _run(self, turn: _Turn) -> None:
        """Look until told to stop; in the thread."""
        if turn.before is not None:
            turn.before.join()  # the same camera can't be opened before it is let go
        try:
            source = turn.opens()
            try:
                self._look_on(turn, source)
            finally:
                source.close()
        except Lost as lost:
            self._send(self._ended.emit, turn, str(lost))
        except Exception as error:  # noqa: BLE001 - a driver's fault must not end the window
            why = f"the camera failed ({type(error).__name__}): put its cable in, then look again"
            self._send(self._ended.emit, turn, why)

    def _look_on(self, turn: _Turn, source: FrameSource) -> None:
        looked_at, width = 0.0, None
        while not turn.stop.is_set():
            began = monotonic()
            pixels = source.read()
            if began - looked_at >= _FIGURE_S:
                looked_at, width = began, edge_width_px(pixels)
            small = _shrunk(pixels)
            with turn.lock:
                turn.frame, tell = Frame(pixels, width, small), not turn.told
                turn.told = True
            if tell:
                self._send(self._came.emit, turn)
            turn.stop.wait(max(0.0, _FRAME_S - (monotonic() - began)))

    def _send(self, emit: Callable[..., object], *what: object) -> None:
        try:
            emit(*what)
        except RuntimeError:
            return  # the window is gone already


def _shrunk(pixels: Pixels) -> Pixels:
    import cv2  # noqa: PLC0415 - heavy, only where a camera is wanted

    high, wide = pixels.shape[:2]
    scale = _SHOWN_PX / max(high, wide)
    if scale >= 1:
        return pixels
    size = (max(1, round(wide * scale)), max(1, round(high * scale)))
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), np.uint8)
