"""Where frames come from: a camera by OpenCV, or anything that gives pictures. No Qt."""

from typing import Protocol

import numpy as np
import numpy.typing as npt

from capture.desk.camera.devices import Device

Pixels = npt.NDArray[np.uint8]
_WIDE, _HIGH = 4096, 2160  # asked for; a camera gives the nearest it has
_FAILURES = 5  # reads in a row: one is a hiccup


class Lost(Exception):
    """The camera gives no picture; the text says why and what to do."""


class FrameSource(Protocol):
    """Gives one picture after another, in the thread that made it."""

    def read(self) -> Pixels:
        """Return the next picture, (H, W, 3) RGB; waits for it. Raises Lost."""
        ...

    def close(self) -> None:
        """Let the camera go."""
        ...


class VideoSource:
    """A camera, or a video file, read by OpenCV; opening and reading take long.

    Raises Lost where it can't be opened.
    """

    def __init__(self, where: int | str, name: str) -> None:
        import cv2  # noqa: PLC0415 - heavy, only where a camera is wanted

        self._name = name
        # What can't be opened is told in the window, not on a terminal.
        cv2.utils.logging.setLogLevel(cv2.utils.logging.LOG_LEVEL_SILENT)
        self._capture: cv2.VideoCapture = cv2.VideoCapture(where)
        if not self._capture.isOpened():
            self._capture.release()
            raise Lost(
                f"{name} can't be opened: another program may use it. Close that, or put the cable "
                "in again, then look again"
            )
        if isinstance(where, int):
            # Uncompressed, a large picture comes twice a second over a USB 2 cable.
            self._capture.set(cv2.CAP_PROP_FOURCC, cv2.VideoWriter.fourcc(*"MJPG"))
            self._capture.set(cv2.CAP_PROP_FRAME_WIDTH, _WIDE)
            self._capture.set(cv2.CAP_PROP_FRAME_HEIGHT, _HIGH)

    def read(self) -> Pixels:
        """Return the next picture, (H, W, 3) RGB; raises Lost."""
        import cv2  # noqa: PLC0415 - the same

        for _ in range(_FAILURES):
            there, frame = self._capture.read()
            if there and frame is not None and frame.ndim == 3:  # noqa: PLR2004 - rows, columns, colours
                return np.asarray(cv2.cvtColor(frame, cv2.COLOR_BGR2RGB), np.uint8)
        raise Lost(
            f"{self._name} gives no more pictures: is its cable in? Put it in again, then look "
            "again"
        )

    def close(self) -> None:
        """Let the camera go."""
        self._capture.release()


def open_camera(device: Device) -> FrameSource:
    """Return the source of a camera's frames; raises Lost."""
    return VideoSource(device.index, device.name)
