"""How both leans of the camera share a result, from best fits that are made up."""

import numpy as np
import pytest
from msgspec.structs import replace

from annotate import holes
from annotate.holes import INDEX, NAMES
from annotate.marks import ONLY_A_SIDE, Layer
from annotate.mathematics.infer import Modes, Samples
from annotate.sight import leans, sighting
from annotate.sight.priors import BACK
from annotate.sight.sighting import Sighting
from tests.annotate.drilled import Drilled
from tests.annotate.test_coverage import givens_of, layer_of

COUNT = len(NAMES)


def ready(*, placed: str = "found", back: int = 0) -> Sighting:
    scene = Drilled()
    layer = layer_of(scene, back=back)
    marks = tuple(replace(m, placed=placed) if m.which == "near" else m for m in layer.marks)
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


def seen_to(side: float, placed: str = "found") -> Sighting:
    """Return a sighting with a back edge on one side of which no more is told."""
    plain = ready(placed=placed)
    state = plain.state(fits(0.0, 0.0).q[[0 if side > 0 else 1]])
    edge = holes.rim_px(state, plain.camera, "back")[0][:20]
    return plain._replace(side=np.asarray(edge))


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_the_side_that_the_back_edge_is_on_counts_fifty_to_one(side: float) -> None:
    both = leans.drawn(seen_to(side), fits(0.0, 0.0), drawn_from)
    assert right_share(both) == pytest.approx(50 / 51 if side > 0 else 1 / 51)
    against = leans.drawn(seen_to(side), fits(0.0, -4 * np.log(50)), drawn_from)
    assert right_share(against) == pytest.approx(2500 / 2501 if side > 0 else 1 / 2)
    # What a hand placed is believed in full.
    by_hand = leans.drawn(seen_to(side, "hand"), fits(0.0, -np.log(50)), drawn_from)
    assert right_share(by_hand) == pytest.approx(2500 / 2501 if side > 0 else 1 / 2)


def test_a_found_back_edge_of_which_the_side_alone_is_told_is_not_fitted() -> None:
    plain = ready(back=24)
    assert plain.back is not None
    size = plain.near_ellipse.semi_major

    def marked(placed: str, sigma_px: float) -> Sighting:
        marks = tuple(
            replace(m, placed=placed, sigma_px=sigma_px) if m.which == "back" else m
            for m in plain.layer.marks
        )
        return sighting.prepare(replace(plain.layer, marks=marks), plain.givens)

    loose = marked("found", ONLY_A_SIDE * size)
    assert loose.back is None
    assert loose.side.tolist() == [list(p) for p in plain.back.points_px]
    assert not any(source == BACK for source in sighting.sources(loose))
    told = marked("found", 0.5 * ONLY_A_SIDE * size)
    assert told.back is not None
    assert not len(told.side)
    # A hand sees which edge it marks, however roughly.
    assert marked("hand", ONLY_A_SIDE * size).back is not None


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
