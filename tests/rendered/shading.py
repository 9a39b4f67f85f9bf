"""How bright the metal looks where a ray ends: lamps with an extent, gloss, marks, oil, dirt.

A plain model, not a path tracer: Lambert and a glossy lobe for each point of each lamp, its shadow
through the near hole, and an ambient part that fades into the holes.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tests.rendered.drilling import BOTTOM, FACE, FAR_WALL, FLOOR, NEAR_WALL, Array, Drilling, Hits


@dataclass(frozen=True)
class Lamp:
    """A lamp of some extent: its middle, its radius (mm), how bright."""

    place: tuple[float, float, float]
    radius: float
    power: float


@dataclass(frozen=True)
class Surfaces:
    """What the metal is like. Reflectances of the sleeve, the block's skin, the gallery."""

    sleeve: float
    block: float
    gallery: float
    gloss: float
    shine: float
    mark_pitch: float
    mark_depth: float
    blotches: float
    oil: float
    dirt: int
    lit_from_behind: float


def brightness(
    drilling: Drilling,
    hits: Hits,
    eye: Array,
    lamps: tuple[Lamp, ...],
    surfaces: Surfaces,
    ambient: float,
    rng: np.random.Generator,
) -> Array:
    """Return the linear brightness of each hit."""
    p, kind = hits.point, hits.kind
    normal = _normals(drilling, p, kind)
    normal = _marked(normal, p, kind, surfaces, rng)
    shade = np.array(
        [surfaces.sleeve, surfaces.sleeve * 0.9, surfaces.block, surfaces.gallery, 0.03]
    )
    albedo = shade[kind] * _blotches(p, surfaces, rng) * _dirt(drilling, p, kind, surfaces, rng)
    to_eye = _unit(eye[:, None] - p)
    light = ambient * _ambient(drilling, hits)
    gloss = np.zeros_like(light)
    for lamp in lamps:
        for _ in range(4):
            place = np.array(lamp.place)[:, None] + lamp.radius * rng.normal(size=p.shape) * 0.6
            way = place - p
            far2 = np.sum(way**2, axis=0)
            way = way / np.sqrt(far2)
            facing = np.clip(np.sum(normal * way, axis=0), 0, None)
            seen = _lit(drilling, p, kind, place)
            power = lamp.power / 4 * seen * 1e4 / far2
            light += power * facing
            half = _unit(way + to_eye)
            gloss += power * np.clip(np.sum(normal * half, axis=0), 0, 1) ** surfaces.shine
    shiny = np.where(kind == FACE, 1.0, 0.35) * surfaces.gloss
    found = albedo * light + shiny * gloss
    if surfaces.lit_from_behind:
        found = np.where(kind == BOTTOM, surfaces.lit_from_behind, found)
        found = found + (kind == FAR_WALL) * surfaces.lit_from_behind * 0.25
    return found


def _normals(drilling: Drilling, p: Array, kind: npt.NDArray[np.int64]) -> Array:
    axis = np.stack([np.zeros_like(p[1]), -p[1], drilling.bore_radius - p[2]])
    face = _unit(axis)
    near = _unit(np.stack([-p[0], -p[1], np.zeros_like(p[0])]))
    dx, dy = drilling.offset
    far = _unit(np.stack([dx - p[0], dy - p[1], np.zeros_like(p[0])]))
    # The broken edge of the near hole leans half way between its wall and the face.
    rho = np.hypot(p[0], p[1])
    broken = (kind == NEAR_WALL) & (rho > drilling.near_radius * 1.002)
    near = np.where(broken, _unit(near + face), near)
    found = np.where(kind == NEAR_WALL, near, face)
    return np.where(kind == FAR_WALL, far, found)


def _marked(
    normal: Array,
    p: Array,
    kind: npt.NDArray[np.int64],
    surfaces: Surfaces,
    rng: np.random.Generator,
) -> Array:
    """Return the normals rippled by the tool that turned the bore, and by the drill."""
    phases = rng.uniform(0, 2 * np.pi, 6)
    ripple = sum(
        np.sin(2 * np.pi * p[0] / surfaces.mark_pitch * (1 + 0.37 * n) + phases[n] + 0.3 * p[1])
        for n in range(3)
    )
    drill = sum(
        np.sin(2 * np.pi * p[2] / (surfaces.mark_pitch * 0.8) * (1 + 0.4 * n) + phases[3 + n])
        for n in range(3)
    )
    lean = np.zeros_like(normal)
    turned = (kind == FACE) | (kind == FLOOR)
    lean[0] = surfaces.mark_depth * np.where(turned, ripple, 0.0)
    lean[2] = surfaces.mark_depth * np.where(turned, 0.0, drill)
    return _unit(normal + lean)


def _blotches(p: Array, surfaces: Surfaces, rng: np.random.Generator) -> Array:
    waves = rng.normal(size=(14, 3)) * rng.uniform(0.3, 3.0, (14, 1))
    phases = rng.uniform(0, 2 * np.pi, 14)
    field = np.mean(
        [np.sin(wave @ p + phase) for wave, phase in zip(waves, phases, strict=True)], 0
    )
    stain = np.clip(field * 2.2, -1, 1)
    return np.clip(1 + surfaces.blotches * stain - surfaces.oil * (stain > 0.25), 0.05, None)


def _dirt(
    drilling: Drilling,
    p: Array,
    kind: npt.NDArray[np.int64],
    surfaces: Surfaces,
    rng: np.random.Generator,
) -> Array:
    found = np.ones(p.shape[1])
    for _ in range(surfaces.dirt):
        angle, size = rng.uniform(0, 2 * np.pi), rng.uniform(0.05, 0.28)
        reach = drilling.near_radius * rng.uniform(0.75, 1.5)
        x, y = reach * np.cos(angle), reach * np.sin(angle)
        near = np.hypot(p[0] - x, (p[1] - y) * rng.uniform(0.5, 2.0)) < size
        found = np.where(near & (kind != BOTTOM), rng.uniform(0.15, 0.6), found)
    return found


def _ambient(drilling: Drilling, hits: Hits) -> Array:
    """Return how much of the room's light reaches a point: less and less down a hole."""
    radius = np.where(hits.kind >= FAR_WALL, drilling.far_radius, drilling.near_radius)
    inside = hits.kind != FACE
    return np.where(inside, 0.75 / (1 + (hits.depth / radius) ** 2 * 1.3), 1.0)


def _lit(drilling: Drilling, p: Array, kind: npt.NDArray[np.int64], place: Array) -> Array:
    """Return 1 where a lamp's point is seen, 0 in shadow: its light comes through both mouths."""
    found = np.ones(p.shape[1])
    inside = np.flatnonzero(kind != FACE)
    if not inside.size:
        return found
    q, lamp = p[:, inside], place[:, inside]
    clear = np.ones(inside.size, dtype=bool)
    for below, gap in ((0.0, drilling.near_gap), (drilling.wall, drilling.near_gap)):
        share = _share_at(drilling, q, lamp, below)
        crosses = (share > 1e-6) & (share < 1)
        at = q + share * (lamp - q)
        at[2] -= 1e-6
        clear &= ~crosses | (gap(at) < 0)
    share = _share_at(drilling, q, lamp, drilling.wall)
    crosses = (share > 1e-6) & (share < 1)
    at = q + share * (lamp - q)
    at[2] = drilling.height(at[1], drilling.wall) - 1e-6
    clear &= ~crosses | (drilling.far_gap(at) < 0)
    found[inside] = clear
    return found


def _share_at(drilling: Drilling, q: Array, lamp: Array, below: float) -> Array:
    """Return where on the way to the lamp a cylinder is crossed; the way is nearly straight up."""
    share = np.zeros(q.shape[1])
    for _ in range(6):
        at = q + share * (lamp - q)
        share = share + (drilling.height(at[1], below) - at[2]) / (lamp[2] - q[2])
    return share


def _unit(v: Array) -> Array:
    return v / np.sqrt(np.sum(v**2, axis=0))
