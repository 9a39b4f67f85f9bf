"""Which pictures of flat faces are made: ranges and seeds, fixed before anything was measured.

Tilt uniform from 0 to 40 degrees; field of view 130 to 240 mm across its diagonal; a lens of 26 to
70 mm (35 mm equivalent) with up to 3 % of barrel and half a per cent of pincushion, its axis up to
0.6 % of the diagonal off the middle; four to eight holes of 4 to 22 mm, six in ten with an edge
merely broken, the others chamfered; a marker or a chessboard on office paper.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from tests.rendered.drilled_plate import Array, DrilledHole, Plate, Print
from tests.rendered.plate_light import PlateSurfaces
from tests.rendered.scenes import Camera
from tests.rendered.shading import Lamp

SEED = 20261126
LIGHTS = ("ring", "one side", "window", "torch", "low")
MARKERS = (16.0, 20.0, 25.0, 30.0)
SQUARES = (4.0, 5.0, 6.0)
_APART_MM = 3.0


@dataclass(frozen=True)
class FaceScene:
    """One picture to be made; ``known`` is what its user may know of the target."""

    name: str
    plate: Plate
    camera: Camera
    tilt_deg: float
    light: str
    lamps: tuple[Lamp, ...]
    surfaces: PlateSurfaces
    ambient: float
    known: dict[str, Any]
    post: dict[str, Any]
    seed: int


def face_scene(number: int) -> FaceScene:
    """Return the scene of this number; the same every time."""
    rng = np.random.default_rng([SEED, number])
    camera, tilt = _camera(rng)
    light = LIGHTS[int(rng.integers(len(LIGHTS)))]
    lamps, ambient = _lamps(rng, light, camera.eye)
    target, known = _target(rng, camera)
    surfaces = PlateSurfaces(
        metal=rng.uniform(0.25, 0.75), paper=rng.uniform(0.75, 0.9), ink=rng.uniform(0.03, 0.08),
        below=rng.uniform(0.0, 0.4), gloss=rng.uniform(0.0, 0.4), shine=rng.uniform(8, 60),
        mark_pitch=rng.uniform(0.15, 0.6), mark_depth=rng.uniform(0.0, 0.1),
        mark_radius=rng.uniform(20, 120), blotches=rng.uniform(0.0, 0.25),
    )  # fmt: skip
    post = {
        "blur_px": rng.uniform(0.4, 1.2), "noise": rng.uniform(0.002, 0.012),
        "exposure": rng.uniform(0.75, 1.1), "curve": rng.uniform(0.0, 0.5),
        "vignette": rng.uniform(0.0, 0.25), "quality": int(rng.integers(75, 96)),
        "has_exif": bool(rng.random() < 0.6), "tint": rng.uniform(-0.04, 0.04, 2).tolist(),
    }  # fmt: skip
    holes = _holes(rng, camera, target)
    return FaceScene(
        f"r_face_{number:03}", Plate(holes, target), camera, tilt, light, lamps, surfaces, ambient,
        known, post, number,
    )  # fmt: skip


def _camera(rng: np.random.Generator) -> tuple[Camera, float]:
    width, height = (1440, 1080) if rng.random() < 0.6 else (1080, 1440)
    diagonal = float(np.hypot(width, height))
    f35 = rng.uniform(26.0, 70.0)
    focal = f35 * diagonal / 43.27
    distance = rng.uniform(130.0, 240.0) * f35 / 43.27
    tilt, around = rng.uniform(0.0, 40.0), rng.uniform(0, 2 * np.pi)
    lean = np.radians(tilt)
    z = -np.array([np.sin(lean) * np.cos(around), np.sin(lean) * np.sin(around), np.cos(lean)])
    roll = rng.uniform(0, 2 * np.pi)
    x = np.cross([np.cos(roll), np.sin(roll), 0.1], z)
    x /= np.linalg.norm(x)
    turn = np.stack([x, np.cross(z, x), z])
    axis = tuple(rng.uniform(-0.006, 0.006, 2) * diagonal)
    k1 = rng.uniform(-0.03, 0.005) / (diagonal / 2 / focal) ** 2
    return Camera(width, height, focal, k1, turn, -distance * z, f35, axis), tilt


def _seen(camera: Camera, pixels: Array) -> Array:
    """Return where (2, N) on the face pixels (N, 2) look."""
    way = camera.ways(pixels)
    return np.asarray((camera.eye[:, None] - camera.eye[2] / way[2] * way)[:2])


def _target(rng: np.random.Generator, camera: Camera) -> tuple[Print, dict[str, Any]]:
    black, module, margin, known = (
        _marker(rng) if rng.random() < 0.6 else _chessboard(rng)
    )  # fmt: skip
    height, turn = rng.uniform(0.08, 0.14), rng.uniform(0, 2 * np.pi)
    for _ in range(1000):
        share = rng.uniform(0.2, 0.8, 2)
        at = _seen(camera, (share * [camera.width, camera.height])[None])[:, 0]
        one = Print(black, module, margin, (float(at[0]), float(at[1])), turn, height)
        ends = one.on_face(*(_rectangle(one.size, margin).T))
        if _in_picture(camera, ends, 12.0):
            return one, known
    # Turned so, it is larger than the picture: another one.
    return _target(rng, camera)


def _rectangle(size: Array, margin: float) -> Array:
    w, h = size + margin
    return np.array([[-margin, -margin], [w, -margin], [w, h], [-margin, h]])


def _marker(rng: np.random.Generator) -> tuple[Any, float, float, dict[str, Any]]:
    import cv2  # noqa: PLC0415 - only for the pattern, which is OpenCV's own

    identifier, side = int(rng.integers(0, 40)), float(rng.choice(MARKERS))
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    black = np.asarray(cv2.aruco.generateImageMarker(dictionary, identifier, 6)) == 0
    known = {
        "type": "aruco", "dictionary": "DICT_4X4_50", "id": identifier, "side_mm": side
    }  # fmt: skip
    return black, side / 6, side / 5, known


def _chessboard(rng: np.random.Generator) -> tuple[Any, float, float, dict[str, Any]]:
    columns, rows, square = int(rng.integers(6, 9)), int(rng.integers(4, 6)), rng.choice(SQUARES)
    down, right = np.indices((rows + 1, columns + 1))
    known = {
        "type": "chessboard", "inner_corners": [columns, rows], "square_mm": float(square)
    }  # fmt: skip
    return (down + right) % 2 == 0, float(square), float(square), known


def _in_picture(camera: Camera, points: Array, border_px: float) -> bool:
    seen = camera.project(points)
    size = np.array([camera.width, camera.height])
    return bool(((seen > border_px) & (seen < size - border_px)).all())


def _holes(rng: np.random.Generator, camera: Camera, target: Print) -> tuple[DrilledHole, ...]:
    wanted, found = int(rng.integers(4, 9)), list[DrilledHole]()
    angles = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    for _ in range(4000):
        one = _drilled(rng, camera)
        edge = one.edge(angles, drilled=False)
        away = [np.hypot(one.x - o.x, one.y - o.y) - one.outer - o.outer for o in found]
        around = edge[:2] + (edge[:2] - [[one.x], [one.y]]) * (_APART_MM / one.outer)
        free = not target.holds(np.append(around, [[one.x], [one.y]], axis=1)).any()
        if free and min(away, default=9.0) > _APART_MM and _in_picture(camera, edge, 25.0):
            found.append(one)
        if len(found) == wanted:
            break
    return tuple(found)


def _drilled(rng: np.random.Generator, camera: Camera) -> DrilledHole:
    pixel = rng.uniform(0.04, 0.96, 2) * [camera.width, camera.height]
    x, y = _seen(camera, pixel[None])[:, 0]
    radius = 2.0 + 9.0 * rng.random() ** 1.6
    chamfered = rng.random() < 0.4
    chamfer = min(rng.uniform(0.15, 0.9), 0.25 * radius) if chamfered else rng.uniform(0.01, 0.04)
    half = float(rng.choice([30.0, 41.0, 45.0, 59.0])) if chamfered else 45.0
    return DrilledHole(
        float(x), float(y), radius, chamfer, float(np.tan(np.radians(half))),
        2 * radius * rng.uniform(1.2, 4.0), bool(rng.random() < 0.3),
    )  # fmt: skip


def _lamps(rng: np.random.Generator, light: str, eye: Array) -> tuple[tuple[Lamp, ...], float]:
    around, away = rng.uniform(0, 2 * np.pi), float(np.linalg.norm(eye))

    def lamp(high_deg: float, far: float, radius: float, power: float) -> Lamp:
        high = np.radians(high_deg)
        x, y = np.cos(high) * np.cos(around), np.cos(high) * np.sin(around)
        return Lamp((far * float(x), far * float(y), far * float(np.sin(high))), radius, power)

    if light == "ring":
        ring = [eye + 22 * np.array([np.cos(a), np.sin(a), 0]) for a in np.arange(6) * np.pi / 3]
        return tuple(Lamp(tuple(at.tolist()), 6.0, 0.17 * (away / 100) ** 2) for at in ring), 0.15
    if light == "torch":
        beside = eye + rng.normal(size=3) * 30
        return (Lamp(tuple(beside.tolist()), 5.0, 0.9 * (away / 100) ** 2),), 0.08
    if light == "window":
        return (lamp(rng.uniform(40, 75), 700.0, 200.0, 38.0),), 0.3
    if light == "low":
        return (lamp(rng.uniform(16, 32), 400.0, 20.0, 16.0),), 0.2
    return (lamp(rng.uniform(35, 60), 350.0, 30.0, 9.0),), 0.18
