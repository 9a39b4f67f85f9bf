"""How both leans of the camera share a result, from best fits that are made up."""

import numpy as np
import pytest
from msgspec.structs import replace

from annotate import leans, sighting
from annotate.holes import INDEX, NAMES
from annotate.infer import Modes, Samples
from annotate.marks import ONLY_A_SIDE, Layer
from annotate.sighting import Sighting
from tests.annotate.drilled import Drilled
from tests.annotate.test_coverage import givens_of, layer_of

COUNT = len(NAMES)


def ready(*, placed: str = "found", back: int = 0, back_of_radius: float = 0.0) -> Sighting:
    """Return a scene's sighting; the back edge's uncertainty may be told in near radii."""
    scene = Drilled()
    layer = layer_of(scene, back=back)
    marks = tuple(replace(m, placed=placed) if m.which == "near" else m for m in layer.marks)
    plain = sighting.prepare(Layer(*scene.size, marks, layer.focal_35mm), givens_of(scene))
    if not back_of_radius:
        return plain
    sigma = back_of_radius * plain.near_ellipse.semi_major
    marks = tuple(replace(m, sigma_px=sigma) if m.which == "back" else m for m in marks)
    return sighting.prepare(Layer(*scene.size, marks, layer.focal_35mm), givens_of(scene))


def fits(*log_density: float, spread: float = 1.0) -> Modes:
    """Return one best fit leaning right and others leaning left."""
    q = np.zeros((len(log_density), COUNT))
    q[:, INDEX["tilt_x"]] = [1.0, *[-1.0] * (len(log_density) - 1)]
    covariance = np.repeat(np.eye(COUNT)[None], len(log_density), axis=0)
    covariance[1:] *= spread
    return Modes(q, covariance, np.array(log_density))


def drawn_from(modes: Modes) -> Samples:
    return Samples(np.repeat(modes.q[:1], 10, axis=0), np.full(10, 0.1), 10.0)


def right_share(samples: Samples) -> float:
    return float(samples.weight[samples.q[:, INDEX["tilt_x"]] > 0].sum())


def test_sixteen_to_one_becomes_two_to_one() -> None:
    both = leans.drawn(ready(), fits(0.0, -np.log(16)), drawn_from)
    assert right_share(both) == pytest.approx(2 / 3)
    assert both.weight.sum() == pytest.approx(1)
    # Kish's effective size of two groups of ten at 2:1, each of equal weights.
    assert both.effective == pytest.approx(1 / (10 * (0.2 / 3) ** 2 + 10 * (0.1 / 3) ** 2))


def test_a_back_edge_of_which_the_side_alone_is_told_is_believed_no_more() -> None:
    both = leans.drawn(ready(back=24, back_of_radius=ONLY_A_SIDE), fits(0.0, -16.0), drawn_from)
    assert right_share(both) == pytest.approx(1 / (1 + np.exp(-4)))
    told = leans.drawn(ready(back=24, back_of_radius=0.01), fits(0.0, -16.0), drawn_from)
    assert right_share(told) == 1


def test_mass_counts_and_not_the_height_alone() -> None:
    wide = 2.0 ** (8 / COUNT)  # sixteen times the volume of the other
    both = leans.drawn(ready(), fits(0.0, 0.0, spread=wide), drawn_from)
    assert right_share(both) == pytest.approx(1 / 3)


@pytest.mark.parametrize("case", [{"back": 24}, {"placed": "hand"}])
def test_back_edge_or_a_hand_is_believed_in_full(case: dict[str, object]) -> None:
    asked: list[Modes] = []

    def draw(modes: Modes) -> Samples:
        asked.append(modes)
        return drawn_from(modes)

    leans.drawn(ready(**case), fits(0.0, -3.0), draw)  # type: ignore[arg-type]
    assert [len(modes.q) for modes in asked] == [2]


def test_one_lean_is_drawn_at_once() -> None:
    alone = leans.drawn(ready(), fits(0.0), drawn_from)
    assert right_share(alone) == 1.0
