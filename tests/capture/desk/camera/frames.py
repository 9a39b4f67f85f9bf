"""A source of rendered frames for tests: what a camera would give, and how it fails."""

from threading import Event

import cv2
import numpy as np

from capture.desk.camera.source import Lost, Pixels
from capture.intake.photo import decode_upright
from tests.capture.command import SAMPLES

UNPLUGGED = "Bench camera gives no more pictures: is its cable in? Put it in again, then look again"


def rendered(blur: float = 0.0) -> Pixels:
    """A rendered bearing with its oil hole, blurred by so many pixels."""
    pixels = decode_upright(SAMPLES / "bearing-2-turned.jpg")
    return np.asarray(cv2.GaussianBlur(pixels, (0, 0), blur), np.uint8) if blur else pixels


class Frames:
    """Gives the same frame until ``unplug`` is set; ``hang`` holds the read back, as drivers do."""

    def __init__(self, pixels: Pixels) -> None:
        self.pixels = pixels
        self.unplug, self.hang, self.closed = Event(), Event(), Event()
        self.hang.set()  # cleared: read waits

    def read(self) -> Pixels:
        self.hang.wait()
        if self.unplug.is_set():
            raise Lost(UNPLUGGED)
        return self.pixels

    def close(self) -> None:
        self.closed.set()
