"""Marks that scatter by known pixels: what their repeats tell follows what they do.

A rendered hole marked again and again, by people who each set all points of a rim a little too far
out or in, and by jitter. What the answers truly scatter is told by all of them; a handful must tell
the same within its own uncertainty. Both diameters are typed and the camera leans across the
offset, where both leans cover alike: else some mark in twenty settles for the other lean or another
far hole, far from the rest, and no handful shows how often that is.
"""

from typing import NamedTuple

import numpy as np
import pytest
from msgspec import structs
from scipy import stats

from annotate import coverage
from annotate.errors import CannotMeasure
from annotate.estimates.repeats import PLACED
from annotate.marks import Layer, Rim
from store.told.repeats import repeats_of, spread_of
from tests.annotate.drilled import Drilled
from tests.annotate.test_coverage import givens_of, layer_of, number

HOLE = Drilled(tilt_deg=10.0, tilt_towards_deg=111.0, offset=(1.8, 0.7), r_far=4.4)
GIVENS = givens_of(HOLE, far=True)
PEOPLE, MARKS, DRAWS = 10, 5, 60


class Pool(NamedTuple):
    """Answers of each person (K, N) over what was taken, and what they truly scatter."""

    answers: tuple[tuple[float, ...], ...]
    own: float
    people: float


def marked(sigma_px: float, habit_px: np.ndarray, rng: np.random.Generator) -> Layer:
    layer = layer_of(HOLE, sigma=1e-3, near=10, far=7)
    marks = []
    for rim, habit in zip(layer.marks, habit_px, strict=True):
        assert isinstance(rim, Rim)
        points = rim.array_px()
        out = points - points.mean(axis=0)
        out /= np.linalg.norm(out, axis=1)[:, None]
        points = points + habit * out + rng.normal(0, sigma_px, points.shape)
        marks.append(Rim(rim.which, tuple(map(tuple, points.tolist())), 1.0))
    return structs.replace(layer, marks=tuple(marks))


def pool(sigma_px: float, habit_px: float) -> Pool:
    rng = np.random.default_rng(4)
    people: list[list[float]] = []
    taken = []
    for _ in range(PEOPLE):
        habit = rng.normal(0, habit_px, 2)
        people.append([])
        while len(people[-1]) < MARKS:
            try:
                found = coverage.measure(marked(sigma_px, habit, rng), GIVENS, trials=500)
            except CannotMeasure:  # no pair of holes fits: marked again
                continue
            people[-1].append(number(found.covered).value)
            taken.append(sum(e.points**2 for e in found.budget if e.source in PLACED))
    answers = np.array(people) / (float(np.mean(taken)) ** 0.5 / 100)
    own = float(np.mean(answers.var(axis=1, ddof=1)))
    between = float(answers.mean(axis=1).var(ddof=1))
    return Pool(tuple(map(tuple, answers.tolist())), own**0.5, max(between - own / MARKS, 0) ** 0.5)


@pytest.fixture(scope="module", params=[(1.0, 0.0), (3.0, 3.0), (6.0, 0.0)], ids=str)
def known(request: pytest.FixtureRequest) -> Pool:
    return pool(*request.param)


def interval(scale: float, dof: float) -> tuple[float, float]:
    """A standard deviation's 95 % interval, from that of a chi square."""
    low, high = stats.chi2.ppf([0.975, 0.025], dof)
    return scale * (dof / low) ** 0.5, scale * (dof / high) ** 0.5


@pytest.mark.parametrize(("marks", "people"), [(2, 1), (3, 1), (5, 1), (2, 2), (3, 3), (5, 3)])
def test_a_handful_of_marks_tells_what_all_of_them_do(known: Pool, marks: int, people: int) -> None:
    rng = np.random.default_rng(0)
    hits, owns = 0, []
    for _ in range(DRAWS):
        who = rng.choice(PEOPLE, people, replace=False)
        level = {str(i): list(rng.choice(known.answers[i], marks, replace=False)) for i in who}
        spread = spread_of([level])
        assert spread is not None
        found = repeats_of(spread)
        assert isinstance(found.own, float)
        assert isinstance(found.own_dof, float)
        low, high = interval(found.own, found.own_dof)
        hits += low <= known.own <= high
        owns.append(found.own)
    # They begin at 1 and are drawn from few people, so not quite as often as 95 times in 100.
    assert hits >= 0.8 * DRAWS
    if marks * people > 10:
        assert np.median(owns) == pytest.approx(known.own, rel=0.2)


def test_all_of_them_tell_what_one_person_scatters_and_what_people_add(known: Pool) -> None:
    spread = spread_of([{str(i): list(row) for i, row in enumerate(known.answers)}])
    assert spread is not None
    found = repeats_of(spread)
    assert found.own == pytest.approx(known.own, rel=0.1)
    assert isinstance(found.people, float)
    assert isinstance(found.people_dof, float)
    low, high = interval(found.people, found.people_dof)
    assert low <= max(known.people, 0.35) <= high  # none at all can't be told from a third
    assert found.ratio == pytest.approx(np.hypot(known.own, known.people), rel=0.15)
