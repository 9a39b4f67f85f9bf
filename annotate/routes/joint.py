"""Several sightings of one hole as one set of unknowns and residuals for ``infer``."""

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from annotate.holes import INDEX, NAMES, Array
from annotate.marks import Rim
from annotate.mathematics.infer import Modes
from annotate.sight import sighting
from annotate.sight.priors import ARC, BACK, FAR, NEAR_RIM, SCALE, Prior
from annotate.sight.rim_noise import bias_px
from annotate.sight.sighting import Sighting

P = len(NAMES)
LENS = ("ln_focal", "distortion", "axis_u", "axis_v")
CAMERA = ("centre_u", "centre_v", "ln_size", "tilt_x", "tilt_y")
_MOST_STARTS = 96


class Joint:
    """The unknowns of several sightings of one hole as one vector, and their residuals.

    The first sighting's unknowns come first, all of them; then for each further one its camera,
    its turn about the hole's axis (radians, flat), and its lens where that is its own. Each is
    scaled by its sighting's prior.
    """

    def __init__(self, readies: Sequence[Sighting]) -> None:
        self.readies = readies
        first = readies[0]
        self.priors = list(first.priors)
        on, period = list(first.priors_on), list(first.period)
        self._places: list[dict[str, int]] = []  # of each further sighting: name -> place in q
        for ready in readies[1:]:
            names = [*CAMERA, *own_lens(first, ready)]
            places = {name: len(self.priors) + i for i, name in enumerate(names)}
            places["turn"] = len(self.priors) + len(names)
            self._places.append(places)
            own = [ready.priors[INDEX[name]] for name in names]
            self.priors += [*own, Prior(0.0, 1.0, ARC)]
            on += [*(float(ready.priors_on[INDEX[name]]) for name in names), 0.0]
            period += [*([0.0] * len(names)), 2 * np.pi]
        self.priors_on, self.period = np.array(on), np.array(period)
        self.loose = np.ones(len(on))
        self._kept = [_kept(ready, first=not i) for i, ready in enumerate(readies)]
        self.sources = [
            sighting.sources(ready)[i]
            for ready, kept in zip(readies, self._kept, strict=True)
            for i in kept
        ]
        self._whiteners = _habits(readies, self._kept)

    def states(self, q: Array) -> list[Array]:
        """Return the unknowns (K, P) of each sighting, in the units of holes.NAMES."""
        first = self.readies[0]
        state = first.state(q[:, :P])
        found = [state]
        for ready, places in zip(self.readies[1:], self._places, strict=True):
            other = np.empty_like(state)
            for name in NAMES:
                place, prior = places.get(name), ready.priors[INDEX[name]]
                here = state[:, INDEX[name]]
                other[:, INDEX[name]] = (
                    here if place is None else prior.mean + prior.deviation * q[:, place]
                )
            turn = q[:, places["turn"]]
            cos, sin = np.cos(turn), np.sin(turn)
            x, y = state[:, INDEX["far_x"]], state[:, INDEX["far_y"]]
            other[:, INDEX["far_x"]] = cos * x - sin * y
            other[:, INDEX["far_y"]] = sin * x + cos * y
            other[:, INDEX["bore_turn"]] = state[:, INDEX["bore_turn"]] + turn
            found.append(other)
        return found

    def residuals(self, q: Array) -> Array:
        """Return what is left over (K, M) in all the photos, each in its standard deviation."""
        parts = [
            sighting.residuals(ready, (state - ready.mean) / ready.deviation)[:, kept]
            for ready, state, kept in zip(self.readies, self.states(q), self._kept, strict=True)
        ]
        value = np.concatenate(parts, axis=1)
        for at, whitener in self._whiteners:
            value[:, at] = value[:, at] @ whitener.T
        return value

    def starts(self, own: Sequence[Modes]) -> Array:
        """Return starts (K, P'): every photo's best fits with every other's, turned to suit."""
        found = [np.pad(q, (0, len(self.priors) - P)) for q in own[0].q]
        for ready, modes, places in zip(self.readies[1:], own[1:], self._places, strict=True):
            found = [
                with_turn
                for q in found
                for mode in modes.q
                for with_turn in self._with(q, ready, mode, places)
            ]
        return np.array(found[:_MOST_STARTS])

    def _with(
        self, q: Array, ready: Sighting, mode: Array, places: dict[str, int]
    ) -> Sequence[Array]:
        """Return q with a further sighting's own unknowns, once for each turn worth trying."""
        state, other = self.readies[0].state(q[None, :P])[0], ready.state(mode[None])[0]
        away = [np.arctan2(s[INDEX["far_y"]], s[INDEX["far_x"]]) for s in (state, other)]
        bore = other[INDEX["bore_turn"]] - state[INDEX["bore_turn"]]
        turns = [away[1] - away[0]]
        if not ready.turn_known:
            turns += [bore, bore + np.pi]
        found = []
        for turn in turns:
            start = q.copy()
            for name, place in places.items():
                start[place] = turn if name == "turn" else mode[INDEX[name]]
            start[places["turn"]] -= 2 * np.pi * np.round(turn / (2 * np.pi))
            found.append(start)
        return found


def own_lens(first: Sighting, other: Sighting) -> tuple[str, ...]:
    """Return which of a further photo's lens unknowns are its own, not the first's."""
    sizes = [(s.camera.width_px, s.camera.height_px) for s in (first, other)]
    same = sorted(sizes[0]) == sorted(sizes[1]) and (first.lens is None) == (other.lens is None)
    if not same or first.layer.focal_35mm != other.layer.focal_35mm:
        return LENS
    # A picture taken upright has its axis off to another side.
    return () if sizes[0] == sizes[1] else ("axis_u", "axis_v")


def _kept(ready: Sighting, *, first: bool) -> Array:
    """Return which residuals of a sighting count: what is assumed of all photos counts once."""
    once = {FAR, SCALE}
    named = enumerate(sighting.sources(ready))
    return np.array([i for i, source in named if first or source not in once])


def _rims(ready: Sighting) -> tuple[tuple[str, Rim | None, Array], ...]:
    return (
        (NEAR_RIM, ready.near, ready.whiteners[0]),
        (ARC, ready.far, ready.whiteners[1]),
        (BACK, ready.back, ready.whiteners[2]),
    )


def habit(ready: Sighting, which: str) -> tuple[str, Array]:
    """Return how a rim was placed, and what one deviation of its bias does to its residuals."""
    _, rim, whitener = next(each for each in _rims(ready) if each[0] == which)
    if rim is None or not rim.points_px:
        return "", np.empty(0)
    bias = bias_px(rim, ready.near_ellipse.semi_major)
    return rim.placed, whitener @ np.full(len(whitener), bias)


def _habits(readies: Sequence[Sighting], kept: Sequence[Array]) -> list[tuple[Array, Array]]:
    """Return, for each kind of rim, where its residuals stand and what makes them independent.

    Within one photo they are; of two photos whose rims were placed alike u and v are what one
    deviation of the bias does to each, and u v' is their covariance.
    """
    found = []
    begins = np.cumsum([0, *map(len, kept)])
    for which in (NEAR_RIM, ARC, BACK):
        at, blocks = [], []
        for ready, keep, begin in zip(readies, kept, begins[:-1], strict=True):
            sources = np.array(sighting.sources(ready))[keep]
            at.append(begin + np.flatnonzero(sources == which))
            blocks.append(habit(ready, which))
        everywhere = np.concatenate(at)
        covariance = np.eye(len(everywhere))
        ends = np.cumsum([0, *(len(u) for _, u in blocks)])
        for i, j in combinations(range(len(blocks)), 2):
            (how, u), (other, v) = blocks[i], blocks[j]
            if how and how == other:
                covariance[ends[i] : ends[i + 1], ends[j] : ends[j + 1]] = np.outer(u, v)
                covariance[ends[j] : ends[j + 1], ends[i] : ends[i + 1]] = np.outer(v, u)
        if len(everywhere):
            found.append((everywhere, np.linalg.inv(np.linalg.cholesky(covariance))))
    return found
