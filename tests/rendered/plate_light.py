"""How bright a drilled plate looks where a ray ends: lamps with an extent, gloss, marks, paper.

A plain model, not a path tracer; a hole's lower part lies in the shadow of its mouth.
"""

from dataclasses import dataclass

import numpy as np

from tests.rendered.drilled_plate import (
    BOTTOM,
    CHAMFER,
    FACE,
    INK,
    PAPER,
    THROUGH,
    WALL,
    Array,
    DrilledHole,
    Hits,
    Plate,
)
from tests.rendered.shading import Lamp


@dataclass(frozen=True)
class PlateSurfaces:
    """What metal and paper are like: reflectances, gloss, and the marks a cutter left."""

    metal: float
    paper: float
    ink: float
    below: float  # brightness seen through a through hole
    gloss: float
    shine: float
    mark_pitch: float
    mark_depth: float
    mark_radius: float  # of the cutter's arcs, mm
    blotches: float


def brightness(
    plate: Plate,
    hits: Hits,
    eye: Array,
    lamps: tuple[Lamp, ...],
    surfaces: PlateSurfaces,
    ambient: float,
    rng: np.random.Generator,
) -> Array:
    """Return the linear brightness of each hit."""
    p, kind = hits.point, hits.kind
    normal = _marked(_normals(plate, hits), hits, surfaces, rng)
    shade = np.full(p.shape[1], surfaces.metal) * _blotches(p, surfaces, rng)
    shade = np.where(kind == PAPER, surfaces.paper, np.where(kind == INK, surfaces.ink, shade))
    to_eye = _unit(eye[:, None] - p)
    light, gloss = ambient * _ambient(plate, hits), np.zeros(p.shape[1])
    for lamp in lamps:
        for _ in range(3):
            place = np.array(lamp.place)[:, None] + lamp.radius * rng.normal(size=3)[:, None] * 0.6
            way = place - p
            far2 = np.sum(way**2, axis=0)
            way = way / np.sqrt(far2)
            power = lamp.power / 3 * _lit(plate, hits, place) * 1e4 / far2
            light += power * np.clip(np.sum(normal * way, axis=0), 0, None)
            half = _unit(way + to_eye)
            gloss += power * np.clip(np.sum(normal * half, axis=0), 0, 1) ** surfaces.shine
    metal = (kind != PAPER) & (kind != INK)
    found = shade * light + surfaces.gloss * gloss * np.where(metal, 1.0, 0.02)
    return np.where(kind == THROUGH, surfaces.below, found)


def _normals(plate: Plate, hits: Hits) -> Array:
    normal = np.zeros_like(hits.point)
    normal[2] = 1.0
    for number, one in enumerate(plate.holes):
        here = np.flatnonzero((hits.hole == number) & np.isin(hits.kind, (CHAMFER, WALL)))
        inward = np.stack([one.x - hits.point[0, here], one.y - hits.point[1, here]])
        inward /= np.hypot(*inward)
        steep = np.where(hits.kind[here] == CHAMFER, one.slope, 0.0)
        normal[:, here] = _unit(np.stack([*inward, steep]))
    return normal


def _marked(normal: Array, hits: Hits, surfaces: PlateSurfaces, rng: np.random.Generator) -> Array:
    """Return the normals rippled by a face cutter's arcs, and by the drill round each hole."""
    p, turn = hits.point, rng.uniform(0, 2 * np.pi)
    middle = surfaces.mark_radius * np.array([np.cos(turn), np.sin(turn)])
    out = p[:2] - middle[:, None]
    reach = np.hypot(*out)
    phases = rng.uniform(0, 2 * np.pi, 6)

    def ripple(at: Array, first: int) -> Array:
        return sum(
            np.sin(2 * np.pi * at / surfaces.mark_pitch * (1 + 0.41 * n) + phases[first + n])
            for n in range(3)
        )

    lean = np.zeros_like(p)
    face = np.isin(hits.kind, (FACE, BOTTOM))
    lean[:2] = surfaces.mark_depth * np.where(face, ripple(reach, 0), 0.0) * out / reach
    drilled = np.isin(hits.kind, (CHAMFER, WALL))
    lean[2] = surfaces.mark_depth * np.where(drilled, ripple(p[2] * 1.3, 3), 0.0)
    return _unit(normal + lean)


def _blotches(p: Array, surfaces: PlateSurfaces, rng: np.random.Generator) -> Array:
    waves = rng.normal(size=(14, 2)) * rng.uniform(0.05, 1.0, (14, 1))
    phases = rng.uniform(0, 2 * np.pi, 14)
    field = np.mean(
        [np.sin(wave @ p[:2] + phase) for wave, phase in zip(waves, phases, strict=True)], 0
    )
    return np.clip(1 + surfaces.blotches * np.clip(field * 2.2, -1, 1), 0.05, None)


def _ambient(plate: Plate, hits: Hits) -> Array:
    """Return how much of the room's light reaches a point: less and less down a hole."""
    found = np.ones(hits.point.shape[1])
    for number, one in enumerate(plate.holes):
        here = hits.hole == number
        deep = -hits.point[2, here] / one.radius
        found[here] = np.where(hits.kind[here] == CHAMFER, 0.85, 0.7 / (1 + 1.3 * deep**2))
    return found


def _lit(plate: Plate, hits: Hits, place: Array) -> Array:
    """Return 1 where a lamp's point is seen, 0 in the shadow of the hole's mouth."""
    found = np.ones(hits.point.shape[1])
    for number, one in enumerate(plate.holes):
        here = np.flatnonzero(hits.hole == number)
        p = hits.point[:, here]
        clear = np.ones(here.size, dtype=bool)
        for z in (-one.edge_depth, 0.0):
            share = (z - p[2]) / (place[2] - p[2])
            at = p + np.clip(share, 0, 1) * (place - p)
            clear &= (share <= 0) | _open(one, at, z)
        found[here] = clear
    return found


def _open(one: DrilledHole, at: Array, z: float) -> "np.typing.NDArray[np.bool_]":
    reach = one.outer if z == 0 else one.radius
    return np.asarray(np.hypot(at[0] - one.x, at[1] - one.y) < reach + 1e-6)


def _unit(v: Array) -> Array:
    return np.asarray(v / np.sqrt(np.sum(v**2, axis=0)))
