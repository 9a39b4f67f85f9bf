"""How far a found rim is believed that lies worse on its edge than rims do."""

import numpy as np
import pytest
from msgspec.structs import replace

from annotate.coverage import Coverage, measure
from annotate.errors import CannotMeasure
from annotate.fit import FitFailed, fit_ellipse
from annotate.givens import Givens
from annotate.marks import Layer, Rim
from annotate.quantity import Quantity
from annotate.sight import best_fits
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


# Of a rendered picture of our own, number 20044: eight points round the near rim and six on the far
# arc, 1 px off as a hand's are, and the border of a chamfer found as the near hole's own far edge.
NEAR = (
    (808.9, 684.1),
    (871.2, 610.5),
    (863.9, 523.2),
    (794.5, 471.0),
    (702.7, 477.9),
    (638.8, 539.3),
    (639.3, 628.2),
    (713.6, 690.3),
)
FAR = (
    (767.4, 694.1),
    (751.7, 682.2),
    (737.1, 677.6),
    (718.8, 674.0),
    (701.3, 670.5),
    (682.5, 669.3),
)
CHAMFERS = (
    (640.2, 620.8),
    (639.7, 616.9),
    (638.9, 613.1),
    (638.5, 609.3),
    (638.8, 605.3),
    (638.7, 601.5),
    (638.8, 596.7),
    (639.1, 592.8),
    (639.3, 588.9),
    (640.2, 585.2),
    (640.2, 581.2),
    (641.2, 575.5),
    (642.3, 570.8),
    (643.2, 567.0),
    (645.6, 560.6),
    (646.5, 556.7),
    (647.7, 552.9),
    (649.1, 549.2),
    (651.2, 544.7),
    (653.1, 541.2),
)


def test_a_fit_from_elsewhere_than_the_outline_says_is_made_without_the_edge_that_misled_it() -> (
    None
):
    near = Rim("near", NEAR, 1.0, chamfer=0.065)
    layer = Layer(1280, 960, (near, Rim("far", FAR, 1.0), Rim("back", CHAMFERS, 0.37, "found")))
    found = measure(layer, Givens(near_diameter=Quantity(9.3, "mm", 0.003)), trials=2000)
    outline = fit_ellipse(near.array_px(), 1.0)
    assert not isinstance(outline, FitFailed)
    ratio = outline.shape.semi_minor / outline.shape.semi_major
    # A circle looks flattened by the cosine of the line of sight (from memory).
    assert np.cos(np.radians(number(found.line_of_sight).value)) == pytest.approx(ratio, rel=0.05)
    assert "the near hole's back edge, as marked, does not fit and was left out" in found.warnings


def test_a_fit_that_stays_at_odds_with_the_outline_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(best_fits, "_AT_ODDS", 0.0)
    with pytest.raises(CannotMeasure, match="tell different lines of sight"):
        measure(PLAIN, givens_of(SCENE), trials=2000)
