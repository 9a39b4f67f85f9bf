"""The five signs are told apart by their shapes alone, down to 16 pixels."""

from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from capture.desk.look.palette import DARK, LIGHT, Palette
from capture.desk.look.signs import paint_sign, paint_slip

STATES = ("within", "outside", "too close to call", "not measured", "no limit")


def drawn(state: str, side: int, palette: Palette = LIGHT, *, suspect: bool = False) -> np.ndarray:
    """Return how far each pixel is from the sheet, 0 to 1, colour taken away."""
    image = QImage(side, side, QImage.Format.Format_Grayscale8)
    image.fill(QColor(palette.sheet))
    sheet = image.pixelColor(0, 0).value()
    painter = QPainter(image)
    if state == "waived":
        paint_slip(painter, QRectF(0, 0, side, side), palette)
    else:
        paint_sign(painter, QRectF(0, 0, side, side), state, palette, suspect=suspect)  # type: ignore[arg-type] # a state
    painter.end()
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(side, image.bytesPerLine())
    return np.abs(rows[:, :side].astype(float) - sheet) / max(sheet, 255 - sheet)


@pytest.mark.parametrize("side", [16, 20, 32])
def test_any_two_differ_in_grey(qapp, side: int) -> None:
    pictures = {state: drawn(state, side) for state in (*STATES, "waived")}
    for one, other in combinations(pictures, 2):
        differing = np.abs(pictures[one] - pictures[other]).sum() / side**2
        assert differing > 0.04, (one, other)


def test_proud_is_above_the_face_and_flush_is_not(qapp) -> None:
    above = slice(0, 15)  # of 40: the face lies at 17
    middle = slice(12, 28)
    assert drawn("outside", 40)[above, middle].mean() > 0.4
    assert drawn("within", 40)[above, middle].mean() == 0


def test_a_suspect_plug_is_cut_short(qapp) -> None:
    whole, cut = drawn("within", 40), drawn("within", 40, suspect=True)
    assert cut[24:29, 14:26].mean() < whole[24:29, 14:26].mean() - 0.4
    assert np.array_equal(cut[:22], whole[:22])


def test_a_dark_theme_draws_the_same_shapes(qapp) -> None:
    for state in STATES:
        light, dark = drawn(state, 32, LIGHT) > 0.05, drawn(state, 32, DARK) > 0.05
        assert (light & dark).sum() / light.sum() > 0.8, state
