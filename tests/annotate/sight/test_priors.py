"""What is assumed of a sighting before its rims are marked."""

from math import exp, log

import numpy as np
import pytest

from annotate.errors import BadMark
from annotate.givens import Givens
from annotate.holes import INDEX
from annotate.marks import Ellipse, Layer, Rim
from annotate.sight.priors import ASSUMED, Prior, priors_of
from capture.entry import parse_length

ELLIPSE = Ellipse(cx=300.0, cy=200.0, semi_major=100.0, semi_minor=95.0, angle_deg=0.0)


def depth_of(near: Rim, givens: Givens) -> Prior:
    layer = Layer(640, 480, (near,))
    return priors_of(layer, givens, ELLIPSE)[INDEX["ln_depth"]]


def rim(**changes: float) -> Rim:
    turn = np.linspace(0, 6, 12)
    points = tuple((300 + 100 * float(np.cos(a)), 200 + 95 * float(np.sin(a))) for a in turn)
    return Rim("near", points, 0.3, "found", **changes)  # type: ignore[arg-type]


def test_near_rim_lies_about_as_deep_as_its_chamfer_is_wide() -> None:
    prior = depth_of(rim(chamfer=0.1), Givens(near_diameter=parse_length("8.00 mm")))
    # ISO 13715 and drawings give chamfers as width x 45 degrees: as deep as wide.
    assert exp(prior.mean) == pytest.approx(0.1 * 4.0)
    low, high = (exp(prior.mean + side * 1.96 * prior.deviation) for side in (-1, 1))
    assert low == pytest.approx(0.4 * np.tan(np.radians(29)), rel=0.03)
    assert high == pytest.approx(0.4 * np.tan(np.radians(61)), rel=0.03)


def test_without_a_plain_chamfer_the_depth_stays_open() -> None:
    prior = depth_of(rim(), Givens(near_diameter=parse_length("8.00 mm")))
    assert (prior.mean, prior.deviation) == ASSUMED["ln_depth"]


def test_unknown_diameter_leaves_the_chamfers_depth_as_open_as_itself() -> None:
    prior = depth_of(rim(chamfer=0.1), Givens())
    assert prior.mean == pytest.approx(log(0.1) + ASSUMED["ln_near"][0])
    assert prior.deviation > ASSUMED["ln_near"][1]


@pytest.mark.parametrize("width", [0.0, -0.1, 1.0, float("nan")])
def test_a_chamfer_that_cannot_be_is_refused(width: float) -> None:
    with pytest.raises(BadMark, match="chamfer"):
        rim(chamfer=width)
