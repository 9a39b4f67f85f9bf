"""A scene of a flat face -> its picture (JPEG) and its known answer (JSON), as the bench reads."""

import json
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from tests.rendered.drilled_plate import Array, trace
from tests.rendered.faces import FaceScene
from tests.rendered.picture import toned
from tests.rendered.plate_light import brightness

_SAMPLES = 3  # each way, where an edge may be
_CLOSE_MM = 0.8


def make_face(one: FaceScene, folder: Path) -> None:
    """Write NAME.jpg and NAME.json into a folder."""
    exif = Image.Exif()
    if one.post["has_exif"]:
        exif[0xA405] = round(one.camera.f35)
        exif.get_ifd(0x8769)[0xA405] = round(one.camera.f35)
    rng = np.random.default_rng([one.seed, 7])
    picture = toned(_exposed(one, rng), one.post, rng)
    path = folder / f"{one.name}.jpg"
    Image.fromarray(picture).save(path, quality=one.post["quality"], exif=exif)
    answer = json.dumps(face_answer(one), indent=1) + "\n"
    (folder / f"{one.name}.json").write_text(answer, encoding="utf-8")


def _exposed(one: FaceScene, rng: np.random.Generator) -> Array:
    """Return the light on every pixel: nine rays where an edge may be, one elsewhere."""
    camera = one.camera
    down, across = np.indices((camera.height, camera.width))
    pixels = np.stack([across.ravel(), down.ravel()], axis=1).astype(float)
    light, at = _seen(one, pixels + rng.uniform(-0.4, 0.4, pixels.shape))
    close = one.plate.target.holds(at)
    for hole in one.plate.holes:
        close |= np.hypot(at[0] - hole.x, at[1] - hole.y) < hole.outer + _CLOSE_MM
    near = np.flatnonzero(close)
    fine = np.zeros(near.size)
    for i in range(_SAMPLES):
        for j in range(_SAMPLES):
            within = (np.array([i, j]) + 0.5) / _SAMPLES - 0.5
            jitter = rng.uniform(-0.5, 0.5, (near.size, 2)) / _SAMPLES
            fine += _seen(one, pixels[near] + within + jitter)[0]
    light[near] = fine / _SAMPLES**2
    return light.reshape(camera.height, camera.width)


def _seen(one: FaceScene, pixels: Array) -> tuple[Array, Array]:
    """Return the light that comes along rays, and where (2, N) they meet the face."""
    eye = one.camera.eye
    way = one.camera.ways(pixels)
    hits = trace(one.plate, eye, way)
    same_stains = np.random.default_rng([one.seed, 11])
    light = brightness(one.plate, hits, eye, one.lamps, one.surfaces, one.ambient, same_stains)
    return np.minimum(light, 6.0), (eye[:, None] - eye[2] / way[2] * way)[:2]


def face_answer(one: FaceScene) -> dict[str, Any]:
    """Return what is true of the picture, and what a user may know of it."""
    holes = one.plate.holes
    rng = np.random.default_rng([one.seed, 13])
    clicks = [_click(one, number, rng) for number in range(len(holes))]
    apart = [
        {"a": a, "b": b, "mm": float(np.hypot(p.x - q.x, p.y - q.y))}
        for a, p in enumerate(holes)
        for b, q in enumerate(holes)
        if a < b
    ]
    return {
        "name": one.name,
        "kind": "flat_face",
        "image": {
            "file": f"{one.name}.jpg",
            "width": one.camera.width,
            "height": one.camera.height,
        },
        "known": {"target": one.known},
        "light": {"type": one.light},
        "truth": {
            "tilt_deg": one.tilt_deg,
            "holes": [
                {
                    "id": number,
                    "rim_diameter_mm": 2 * hole.outer,
                    "drill_diameter_mm": 2 * hole.radius,
                    "chamfer_mm": hole.chamfer,
                    "centre_mm": [hole.x, hole.y],
                    "depth_mm": hole.depth,
                    "click": click,
                }
                for number, (hole, click) in enumerate(zip(holes, clicks, strict=True))
            ],
            "distances": apart,
        },
        "flags": [],
    }


def _click(one: FaceScene, number: int, rng: np.random.Generator) -> list[float]:
    """Return a place in the middle of a hole as it is seen, give or take a quarter of it."""
    hole = one.plate.holes[number]
    reach, turn = 0.25 * hole.radius * rng.random(), rng.uniform(0, 2 * np.pi)
    x, y = hole.x + reach * np.cos(turn), hole.y + reach * np.sin(turn)
    u, v = one.camera.project(np.array([[x], [y], [0.0]]))[0]
    return [round(float(u), 2), round(float(v), 2)]
