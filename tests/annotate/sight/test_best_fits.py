"""How far a found rim is believed that lies worse on its edge than rims do."""

import numpy as np
import pytest
from msgspec.structs import replace

from annotate.coverage import Coverage, measure
from annotate.marks import Layer, Rim
from tests.annotate.drilled import Drilled
from tests.annotate.test_coverage import givens_of, layer_of, number

SCENE = Drilled()
PLAIN = layer_of(SCENE, near=120, far=60, back=60, sigma=0.02)


def wavy(rim: Rim, size_px: float, placed: str) -> Rim:
    """Return a rim whose points swing across it, five times along it."""
    points = rim.array_px()
    out = points - points.mean(axis=0)
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    swing = size_px * np.sin(np.linspace(0, 10 * np.pi, len(points)))[:, None]
    pairs = tuple(map(tuple, (points + swing * out).tolist()))
    return replace(rim, points_px=pairs, sigma_px=0.3, placed=placed)


def measured(which: str, size_px: float, placed: str = "found") -> Coverage:
    marks = tuple(
        wavy(m, size_px if m.which == which else 0.0, placed) if isinstance(m, Rim) else m
        for m in PLAIN.marks
    )
    layer = Layer(PLAIN.width_px, PLAIN.height_px, marks, PLAIN.focal_35mm)
    return measure(layer, givens_of(SCENE), trials=2000)


def test_found_rim_that_wavers_is_believed_less() -> None:
    calm, swung = number(measured("far", 0.0).covered), number(measured("far", 0.45).covered)
    assert swung.u > 1.15 * calm.u


def test_hand_that_wavers_so_little_is_believed_as_stated() -> None:
    calm = number(measured("far", 0.0, "hand").covered)
    swung = number(measured("far", 0.45, "hand").covered)
    assert swung.u == pytest.approx(calm.u, rel=0.12)
