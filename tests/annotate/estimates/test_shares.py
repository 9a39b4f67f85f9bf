"""Lines of a coverage's budget: what each means by hand, and that they come to the total."""

from dataclasses import replace
from math import hypot

import numpy as np
import pytest
from msgspec import structs
from numpy.testing import assert_allclose
from scipy import integrate
from shapely import affinity
from shapely.geometry import LineString

from annotate.beside import Beside, Repeats, Sight
from annotate.estimates.repeats import MARKING, PEOPLE
from annotate.estimates.shares import LEAN, NOT_LINEAR, Levers, Told, deviation, levers, lines
from annotate.marks import Layer
from annotate.result import Coverage
from annotate.routes.accepted import measure
from annotate.routes.outlined import OUTLINE
from annotate.sight.priors import Prior
from annotate.sight.ways import Ways
from tests.annotate.drilled import Drilled
from tests.annotate.routes.test_outlined import drawn
from tests.annotate.test_coverage import givens_of, layer_of, number

SCENE = Drilled(tilt_deg=12.0, tilt_towards_deg=35.0, offset=(1.5, 0.7), r_far=4.4)
REPEATS = Repeats(2.5, 9.0, 1.8, 8.0, 1.6, 6.0)


def told(q: np.ndarray, covered: np.ndarray, weight: np.ndarray, *, both: bool = False) -> Told:
    """Samples whose lean is their first unknown."""
    likelier = q[:, 0] >= 0
    ways = Ways(likelier, float(weight[likelier].sum()), both, np.array([1.0, 0.0]), square=False)
    tilt = np.stack([q[:, 0], np.zeros(len(q))], axis=1)
    return Told(q, covered, weight, tilt, ways, np.empty((len(q), 0)))


def test_where_all_is_linear_levers_are_those_of_least_squares() -> None:
    # Residuals A q - b, two priors of three: C = (A'A + priors)^-1, levers g C A' and g C.
    rng = np.random.default_rng(3)
    many, on = rng.normal(size=(7, 3)), np.array([1.0, 0.0, 1.0])
    slope = rng.normal(size=3) * 0.01
    covariance = np.linalg.inv(many.T @ many + np.diag(on))
    q = rng.multivariate_normal(np.zeros(3), covariance, 40_000)
    weight = np.full(len(q), 1 / len(q))
    found = levers(lambda x: x @ many.T - 1.0, told(q, 0.3 + q @ slope, weight), on)
    assert_allclose(found.residuals, slope @ covariance @ many.T, atol=3e-4)
    assert_allclose(found.priors, (slope @ covariance) * on, atol=3e-4)
    assert_allclose(found.carry, covariance @ many.T, atol=0.02)
    # Nothing is left for the lean or for what is not linear but what chance leaves.
    assert found.lean + found.rest < 0.03 * (slope @ covariance @ slope)


def test_a_lever_is_the_derivative_of_the_mean_by_an_error_of_its_residual() -> None:
    """Of a strange distribution, far from linear, by integrals."""

    def mean(error: float, which: int) -> float:
        def left(t: float) -> list[float]:
            out = [(t * t - 0.4) / 0.3, t + 0.2, 2 * np.sin(t)]
            out[which] += error
            return out

        def density(t: float) -> float:
            return float(np.exp(-0.5 * sum(r * r for r in left(t))))

        whole = integrate.quad(density, -4, 4)[0]
        return float(integrate.quad(lambda t: np.exp(-t) * density(t), -4, 4)[0] / whole)

    t = np.linspace(-4, 4, 8001)
    left = np.stack([(t * t - 0.4) / 0.3, t + 0.2, 2 * np.sin(t)], axis=1)
    weight = np.exp(-0.5 * (left**2).sum(axis=1))
    weight /= weight.sum()
    found = levers(lambda q: left[np.searchsorted(t, q[:, 0])],
                   told(t[:, None], np.exp(-t), weight), np.zeros(1))  # fmt: skip
    centred = left - weight @ left
    largest = np.linalg.eigvalsh((centred * weight[:, None]).T @ centred)[-1]
    step = 1e-4
    for which in range(3):
        slope = (mean(step, which) - mean(-step, which)) / (2 * step)
        assert -found.residuals[which] == pytest.approx(slope, rel=1e-3, abs=1e-5)
    # No direction of these spreads by more than 1, or levers along it would be told smaller.
    assert 0.5 < largest <= 1


def test_two_leans_apart_are_the_leans_own_line() -> None:
    # Half the samples lean each way; covered differs by 20 points and by nothing else.
    q = np.array([[0.2], [-0.2]] * 500)
    weight = np.full(1000, 1e-3)
    found = levers(lambda x: 0 * x, told(q, 0.4 + 0.5 * q[:, 0], weight, both=True), np.ones(1))
    assert found.lean**0.5 == pytest.approx(0.10)
    assert_allclose(found.priors, 0, atol=1e-12)
    assert found.rest == pytest.approx(0, abs=1e-12)


def test_what_bends_with_the_lean_is_the_leans_and_the_rest_is_not_linear() -> None:
    rng = np.random.default_rng(0)
    t, other = rng.normal(0, 0.1, (2, 50_000))
    q, weight = np.stack([t, other], axis=1), np.full(50_000, 2e-5)
    bent = 3 * (t * t - 0.01)
    apart = 2 * (other * other - 0.01)
    found = levers(lambda x: x[:, 1:] / 0.1, told(q, 0.3 + bent + apart, weight), np.zeros(2))
    # Three hundredths of the whole, as few samples tell it.
    near = 0.03 * np.hypot(bent.std(), apart.std())
    assert found.lean**0.5 == pytest.approx(bent.std(), abs=near)
    assert found.rest**0.5 == pytest.approx(apart.std(), abs=near)


def test_residuals_that_spread_more_than_they_may_take_no_part_of_bends() -> None:
    """Residuals of twice their deviation: what is linear in them is theirs, all bends the lean's.

    By the regression of covered on them, which is exact here: covered is its linear part, bends
    with either component of the lean, and something bent with neither.
    """
    rng = np.random.default_rng(1)
    x, y, other = rng.normal(0, 0.1, (3, 80_000))
    q, weight = np.stack([x, y, other], axis=1), np.full(80_000, 1 / 80_000)
    linear = 0.5 * x - 0.3 * y + 0.7 * other
    bent = 3 * (x * x - 0.01) - 2 * (y * y - 0.01) + 2.5 * x * y
    apart = 2 * (other * other - 0.01)
    shown = told(q, 0.3 + linear + bent + apart, weight)._replace(tilt=q[:, :2])
    found = levers(lambda some: 2 * some / 0.1, shown, np.zeros(3))
    near = 0.05 * (linear + bent + apart).std()
    assert np.linalg.norm(found.residuals) == pytest.approx(linear.std(), abs=near)
    assert found.lean**0.5 == pytest.approx(bent.std(), abs=near)
    assert found.rest**0.5 == pytest.approx(apart.std(), abs=near)
    # Nor is an unknown carried farther than it lies.
    assert_allclose(np.linalg.norm(found.carry, axis=1), q.std(axis=0), rtol=0.03)


def test_what_only_an_unknown_of_no_lean_bends_is_not_the_leans() -> None:
    # Its residual is its cube: covered goes with it in a straight line, its residual does not.
    rng = np.random.default_rng(2)
    lean, other = rng.normal(0, 0.1, (2, 50_000))
    q, weight = np.stack([lean, other], axis=1), np.full(50_000, 2e-5)
    cubed = (other / 0.1) ** 3 / np.sqrt(15)  # E z^6 = 15
    explained = np.corrcoef(np.stack([other, cubed]))[0, 1] ** 2
    assert explained == pytest.approx(9 / 15, abs=0.03)  # E z^4 squared, over E z^2 and E z^6
    found = levers(
        lambda some: (some[:, 1:] / 0.1) ** 3 / np.sqrt(15),
        told(q, 0.5 * other, weight), np.zeros(2),
    )  # fmt: skip
    assert found.rest == pytest.approx((1 - explained) * 0.05**2, rel=0.1)
    assert found.lean < 0.01 * found.rest


@pytest.mark.parametrize("covered", [0.0, 1.0])
@pytest.mark.parametrize("both", [False, True])
def test_covered_that_nothing_moves_has_no_line(covered: float, both: bool) -> None:
    """Far apart or one behind the other, covered is 1 or 0 in every sample."""
    q = np.random.default_rng(4).normal(size=(500, 2))
    shown = told(q, np.full(500, covered), np.full(500, 2e-3), both=both)
    still = shown._replace(beside=np.zeros((500, 1)))  # nor did marking again
    with np.errstate(all="raise"):
        found = levers(lambda some: some, still, np.ones(2))
    for part in (found.residuals, found.priors, found.beside, found.lean, found.rest):
        assert_allclose(part, 0.0, atol=1e-12)


def test_names_that_are_too_few_or_too_many_are_no_budget() -> None:
    found = Levers(np.array([0.03]), np.array([0.02]), np.array([0.06]), np.empty((1, 1)), 0, 0)
    prior = Prior(0, 1, "wall")
    assert len(lines(found, ["rim"], (prior,), [("again", 7.0)])) == 3
    for sources, priors, beside in (
        ([], (prior,), [("again", 7.0)]),
        (["rim"], (), [("again", 7.0)]),
        (["rim"], (prior,), []),
    ):
        with pytest.raises(ValueError, match="zip"):
            lines(found, sources, priors, beside)


def test_lines_are_in_points_largest_first_and_say_their_degrees_of_freedom() -> None:
    found = Levers(np.array([0.03, 0.04, -0.01]), np.array([0.02, 0.0]), np.array([-0.06]),
                   np.empty((0, 3)), 0.0, 0.0001)  # fmt: skip
    priors = (Prior(0, 1, "wall"), Prior(0, 1, "lens"))
    told_lines = lines(found, ["rim", "rim", "wall"], priors, [("again", 7.0)])
    assert [(each.source, round(each.points, 9), each.dof) for each in told_lines] == [
        ("again", 6.0, 7.0), ("rim", 5.0, None), ("wall", round(100 * hypot(0.01, 0.02), 9), None),
        (NOT_LINEAR, 1.0, None),
    ]  # fmt: skip


def test_a_deviation_is_weighted() -> None:
    assert deviation(np.array([0.0, 1.0]), np.array([0.75, 0.25])) == pytest.approx(0.1875**0.5)


def check_sum(found: Coverage) -> None:
    total = 100 * number(found.covered).u
    assert max(line.points for line in found.budget) <= total + 1e-9
    assert hypot(*(line.points for line in found.budget)) == pytest.approx(
        total, rel=1e-6, abs=1e-9
    )
    names = [line.source for line in found.budget]
    assert len(names) == len(set(names))


def scattered(layer: Layer) -> Layer:
    """As marks by hand are taken, however they scatter."""
    return structs.replace(
        layer, marks=tuple(structs.replace(mark, sigma_px=1.0) for mark in layer.marks)
    )


@pytest.mark.parametrize("jitter", [0.3, 1.0, 3.0, 6.0])
@pytest.mark.parametrize("tilt", [1.0, 12.0, 25.0])
@pytest.mark.parametrize("back", [0, 24])
def test_lines_come_to_the_total_however_badly_the_marks_lie(
    jitter: float, tilt: float, back: int
) -> None:
    scene = replace(SCENE, tilt_deg=tilt)
    layer = scattered(layer_of(scene, sigma=jitter, near=8, far=6, back=back, seed=5))
    for repeats in (None, REPEATS):
        found = measure(layer, givens_of(scene), seed=0, trials=2000, beside=Beside((), repeats))
        check_sum(found)
        names = {line.source for line in found.budget}
        assert (repeats is not None) == (MARKING in names) == (PEOPLE in names)


@pytest.mark.parametrize(("wide", "off", "sigma"), [(6, 3.0, 0.3), (2, 1.4, 0.3), (5, 5.0, 4.0)])
def test_lines_of_a_drawn_opening_come_to_the_total(wide: float, off: float, sigma: float) -> None:
    slot = LineString([(-wide / 2, 0), (wide / 2, 0)]).buffer(2.5)
    slot = affinity.translate(affinity.rotate(slot, 30), off, 0.3 * off)
    for tilt in (1.0, 15.0):
        scene = replace(SCENE, tilt_deg=tilt)
        found = measure(drawn(scene, slot, sigma=sigma), givens_of(scene), seed=0, trials=2000)
        check_sum(found)
        assert OUTLINE in {line.source for line in found.budget}


def test_lines_of_two_photos_as_one_come_to_the_total() -> None:
    again = replace(SCENE, tilt_towards_deg=230.0, spin_deg=75.0, aim_px=(-120.0, 90.0))
    one, two = (layer_of(each, sigma=0.8, near=10, far=7) for each in (SCENE, again))
    for repeats in (None, REPEATS):
        beside = Beside((Sight(two),), repeats)
        check_sum(measure(one, givens_of(SCENE), seed=0, trials=3000, beside=beside))


def test_an_open_lean_is_a_line_and_a_back_edge_closes_it() -> None:
    scene = replace(SCENE, tilt_deg=20.0)
    of_lean = []
    for back in (0, 24):
        layer = scattered(layer_of(scene, sigma=0.7, near=8, far=6, back=back))
        found = measure(layer, givens_of(scene), seed=0, trials=3000)
        of_lean.append(sum(line.points for line in found.budget if line.source == LEAN))
    assert of_lean[0] > 10 * of_lean[1]
