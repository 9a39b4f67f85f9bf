"""The least that a program could do with a photo: Pillow decodes it, OpenCV takes one gradient.

Run as ``python -m tests.bench.peer FILE`` it does that and ends.
"""

import sys
from pathlib import Path

import cv2
import numpy as np
from PIL import Image


def decode_and_gradient(file: Path) -> None:
    """Decode a picture and take the gradient of the whole of it."""
    with Image.open(file) as picture:
        pixels = np.asarray(picture)
    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    cv2.magnitude(cv2.Sobel(grey, cv2.CV_32F, 1, 0), cv2.Sobel(grey, cv2.CV_32F, 0, 1))


if __name__ == "__main__":
    decode_and_gradient(Path(sys.argv[1]))
