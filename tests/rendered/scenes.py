"""Which pictures are made: ranges, seeds, and which of them can be answered, fixed beforehand.

Nothing here was chosen by looking at what the program makes of the pictures. Truth is uniform from
0 to 0.95 covered, the line of sight uniform from 0 to 35 degrees. A picture can be answered if at
least 12 degrees of the far rim are to be seen.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from tests.rendered.drilling import Array, Drilling
from tests.rendered.shading import Lamp, Surfaces

SEED = 20261125
ANSWERABLE_ARC_DEG = 12.0
LIGHTS = ("ring", "one side", "window", "torch", "low", "behind")


@dataclass(frozen=True)
class Camera:
    """A lens with one term of distortion (OpenCV's k1); ``turn`` takes the frame to the camera.

    ``axis`` is how far (px) the optical axis lies off the picture's middle.
    """

    width: int
    height: int
    focal_px: float
    k1: float
    turn: Array
    eye: Array
    f35: float
    axis: tuple[float, float] = (0.0, 0.0)

    def project(self, points: Array) -> Array:
        """Return pixels (N, 2) of points (3, N); (0, 0) is the centre of the first pixel."""
        x, y, z = self.turn @ (points - self.eye[:, None])
        x, y = x / z, y / z
        swell = 1 + self.k1 * (x * x + y * y)
        middle = self._middle()[:, None]
        return np.asarray((self.focal_px * np.stack([x * swell, y * swell]) + middle).T)

    def ways(self, pixels: Array) -> Array:
        """Return the directions (3, N) that pixels (N, 2) look in, in the frame of the holes."""
        bent = (pixels - self._middle()) / self.focal_px
        plain = bent.copy()
        for _ in range(12):
            plain = bent / (1 + self.k1 * np.sum(plain**2, axis=1, keepdims=True))
        return self.turn.T @ np.concatenate([plain.T, np.ones((1, len(pixels)))])

    def _middle(self) -> Array:
        return np.array([(self.width - 1) / 2, (self.height - 1) / 2]) + self.axis


@dataclass(frozen=True)
class Scene:
    """One picture to be made."""

    name: str
    drilling: Drilling
    camera: Camera
    sight_deg: float
    light: str
    lamps: tuple[Lamp, ...]
    surfaces: Surfaces
    ambient: float
    post: dict[str, Any]
    seed: int


def scene(number: int) -> Scene:
    """Return the scene of this number; the same every time."""
    rng = np.random.default_rng([SEED, number])
    drilling = _drilling(rng)
    light = LIGHTS[int(rng.integers(len(LIGHTS)))]
    camera, sight = _camera(rng, drilling)
    lamps, ambient = _lamps(rng, light, camera.eye)
    surfaces = Surfaces(
        sleeve=rng.uniform(0.25, 0.75), block=rng.uniform(0.12, 0.6),
        gallery=rng.uniform(0.04, 0.35), gloss=rng.uniform(0.0, 0.5),
        shine=rng.uniform(8, 90), mark_pitch=rng.uniform(0.08, 0.45),
        mark_depth=rng.uniform(0.0, 0.12), blotches=rng.uniform(0.0, 0.25),
        oil=rng.uniform(0.1, 0.5) if rng.random() < 0.25 else 0.0,
        dirt=int(rng.integers(1, 9)) if rng.random() < 0.3 else 0,
        lit_from_behind=rng.uniform(0.3, 1.6) if light == "behind" else 0.0,
    )  # fmt: skip
    post = {
        "blur_px": rng.uniform(0.4, 1.3), "noise": rng.uniform(0.002, 0.015),
        "exposure": rng.uniform(0.75, 1.15), "curve": rng.uniform(0.0, 0.5),
        "vignette": rng.uniform(0.0, 0.25), "quality": int(rng.integers(72, 96)),
        "has_exif": bool(rng.random() < 0.6), "tint": rng.uniform(-0.04, 0.04, 2).tolist(),
    }  # fmt: skip
    return Scene(
        f"r_hole_{number:03}",
        drilling,
        camera,
        sight,
        light,
        lamps,
        surfaces,
        ambient,
        post,
        number,
    )


def _drilling(rng: np.random.Generator) -> Drilling:
    near = rng.uniform(2.0, 5.5)
    far = near * rng.uniform(0.75, 1.6)
    wanted = rng.uniform(0.0, 0.95)
    wall = rng.uniform(1.0, 3.5)
    # Where the holes differ, a shift of up to their difference covers nothing.
    low, high = abs(near - far), near + far
    direction = rng.uniform(0, 2 * np.pi)
    made = None
    for _ in range(60):
        middle = (low + high) / 2
        made = _shifted(rng, near, far, wall, middle, direction, made)
        low, high = (middle, high) if made.covered() < wanted else (low, middle)
    assert made is not None
    return made


def _shifted(
    rng: np.random.Generator, near: float, far: float, wall: float, shift: float,
    direction: float, before: Drilling | None,
) -> Drilling:  # fmt: skip
    offset = (shift * float(np.cos(direction)), shift * float(np.sin(direction)))
    if before is not None:
        return Drilling(
            before.bore_radius, wall, near, far, offset, before.chamfer, before.edge_break,
            before.far_depth, before.chip,
        )  # fmt: skip
    chip = (rng.uniform(-np.pi, np.pi), rng.uniform(0.08, 0.3), rng.uniform(0.1, 0.4))
    return Drilling(
        bore_radius=rng.uniform(15.0, 45.0), wall=wall, near_radius=near, far_radius=far,
        offset=offset, chamfer=float(rng.choice([0.02, 0.05, 0.12, 0.3, 0.5])),
        edge_break=rng.uniform(0.01, 0.08), far_depth=rng.uniform(8.0, 40.0),
        chip=chip if rng.random() < 0.12 else None,
    )  # fmt: skip


def _camera(rng: np.random.Generator, drilling: Drilling) -> tuple[Camera, float]:
    sight = rng.uniform(0.0, 35.0)
    around, distance = rng.uniform(0, 2 * np.pi), rng.uniform(60.0, 220.0)
    lean = np.radians(sight)
    ahead = np.array([np.sin(lean) * np.cos(around), np.sin(lean) * np.sin(around), np.cos(lean)])
    eye = distance * ahead
    width, height = (1280, 960) if rng.random() < 0.6 else (960, 1280)
    span_px = rng.uniform(150, 460)
    focal = span_px * distance / (2 * drilling.near_radius)
    # The optical axis passes beside the hole, so that it does not lie in the middle.
    aside = rng.uniform(-0.16, 0.16, 2) * min(width, height) / focal * distance
    turn = _turned(eye, np.array([aside[0], aside[1], 0.0]), rng.uniform(0, 2 * np.pi))
    f35 = focal * 43.27 / float(np.hypot(width, height))
    wide = np.hypot(width, height) / 2 / focal
    k1 = rng.uniform(-0.04, 0.01) / wide**2
    return Camera(width, height, focal, k1, turn, eye, f35), sight


def _turned(eye: Array, target: Array, roll: float) -> Array:
    """Return the rotation of a camera at ``eye`` that looks at ``target``."""
    z = (target - eye) / np.linalg.norm(target - eye)
    x = np.cross([0.0, 1.0, 0.1], z)
    x /= np.linalg.norm(x)
    y = np.cross(z, x)
    c, s = np.cos(roll), np.sin(roll)
    return np.stack([c * x + s * y, c * y - s * x, z])


def _lamps(rng: np.random.Generator, light: str, eye: Array) -> tuple[tuple[Lamp, ...], float]:
    around = rng.uniform(0, 2 * np.pi)

    def lamp(high_deg: float, away: float, radius: float, power: float, turn: float = 0.0) -> Lamp:
        high, at = np.radians(high_deg), around + turn
        place = away * np.array(
            [np.cos(high) * np.cos(at), np.cos(high) * np.sin(at), np.sin(high)]
        )
        return Lamp((float(place[0]), float(place[1]), float(place[2])), radius, power)

    if light == "ring":
        return tuple(
            Lamp(tuple((eye + 18 * np.array([np.cos(a), np.sin(a), 0])).tolist()), 6.0,
                 0.22 * float(eye @ eye) / 1e4)
            for a in np.linspace(0, 2 * np.pi, 5)[:-1]
        ), 0.12  # fmt: skip
    if light == "one side":
        return (lamp(rng.uniform(35, 60), 160.0, 15.0, 1.9),), 0.15
    if light == "window":
        return (lamp(rng.uniform(40, 75), 400.0, 120.0, 11.0),), 0.3
    if light == "torch":
        beside = eye + rng.normal(size=3) * 25
        return (Lamp(tuple(beside.tolist()), 4.0, 0.8 * float(eye @ eye) / 1e4),), 0.06
    if light == "low":
        return (lamp(rng.uniform(14, 30), 180.0, 10.0, 3.4), lamp(60, 200.0, 30, 0.6, 2.4)), 0.15
    return (lamp(rng.uniform(40, 70), 200.0, 30.0, 1.5),), 0.2


def visible_arc_deg(one: Scene) -> float:
    """Return how many degrees of the far rim are to be seen through the near hole."""
    angles = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    return float(one.drilling.sees(one.camera.eye, one.drilling.far_edge(angles)).sum()) / 2
