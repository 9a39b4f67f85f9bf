"""Rims and pictures for the pane's tests: points on ellipses that are known."""

from math import cos, radians, sin

import numpy as np

from annotate.marks import Ellipse, Layer, Mark, PixelPair, Rim
from annotate.pane.canvas import PhotoCanvas
from annotate.pane.levels import levels_of

NEAR = Ellipse(400.0, 300.0, 150.0, 120.0, 20.0)
FAR = Ellipse(360.0, 340.0, 130.0, 104.0, 20.0)  # the near one's form


def on(ellipse: Ellipse, turns_deg: np.ndarray) -> tuple[PixelPair, ...]:
    """Return points of an ellipse at parameter angles, from the definition of its axes."""
    c, s = cos(radians(ellipse.angle_deg)), sin(radians(ellipse.angle_deg))
    t = np.radians(turns_deg)
    along, across = ellipse.semi_major * np.cos(t), ellipse.semi_minor * np.sin(t)
    x, y = ellipse.cx + along * c - across * s, ellipse.cy + along * s + across * c
    return tuple((float(a), float(b)) for a, b in zip(x, y, strict=True))


def near_rim(count: int = 120) -> Rim:
    return Rim("near", on(NEAR, np.arange(count) * 360 / count), 0.5, "found")


def far_rim(count: int = 60) -> Rim:
    """Return a far rim of which 150 degrees show."""
    return Rim("far", on(FAR, np.linspace(-100, 50, count)), 0.5, "found")


def layer(*marks: Mark, size: tuple[int, int] = (800, 600)) -> Layer:
    return Layer(width_px=size[0], height_px=size[1], marks=marks)


def canvas(
    qtbot, *marks: Mark, size: tuple[int, int] = (800, 600), alone: bool = True
) -> PhotoCanvas:
    """Return a canvas of 800 x 600 on a grey picture, one to one, with these marks."""
    made = PhotoCanvas()
    if alone:
        qtbot.addWidget(made)
    made.resize(800, 600)
    made.show()
    grey = np.full((size[1], size[0], 3), 90, np.uint8)
    made.set_picture(levels_of(grey))
    made.set_layer(layer(*marks, size=size))
    return made
