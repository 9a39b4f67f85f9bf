"""A scene -> its picture (JPEG) and its known answer (JSON), in the form that the bench reads."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from PIL import Image

from tests.rendered.drilling import Array, trace
from tests.rendered.scenes import ANSWERABLE_ARC_DEG, Scene, visible_arc_deg
from tests.rendered.shading import brightness

Picture = npt.NDArray[np.uint8]

_SAMPLES = 2  # each way: four rays a pixel
_CLOSE = 1.4
_POINT_SIGMA_PX = 1.0


def make(one: Scene, folder: Path) -> None:
    """Write NAME.jpg and NAME.json into a folder."""
    exif = Image.Exif()
    if one.post["has_exif"]:
        exif[0xA405] = round(one.camera.f35)
        exif.get_ifd(0x8769)[0xA405] = round(one.camera.f35)
    path = folder / f"{one.name}.jpg"
    Image.fromarray(developed(one)).save(path, quality=one.post["quality"], exif=exif)
    answer = folder / f"{one.name}.json"
    answer.write_text(json.dumps(known_answer(one), indent=1) + "\n", encoding="utf-8")


def developed(one: Scene) -> Picture:
    """Return the picture as a camera would keep it, (height, width, 3)."""
    rng = np.random.default_rng([one.seed, 7])
    return toned(_exposed(one, rng), one.post, rng)


def toned(linear: Array, post: dict[str, Any], rng: np.random.Generator) -> Picture:
    """Return the light on a sensor (height, width) as a camera would keep it, in colour."""
    linear = _blurred(linear, post["blur_px"])
    linear *= post["exposure"] / max(float(np.quantile(linear, 0.93)), 1e-6) * 0.8
    down, across = np.indices(linear.shape)
    off = np.hypot(across / linear.shape[1] - 0.5, down / linear.shape[0] - 0.5)
    linear *= 1 - post["vignette"] * (2 * off**2)
    linear += post["noise"] * rng.normal(size=linear.shape) * np.sqrt(0.2 + np.clip(linear, 0, 1))
    tone = np.clip(linear, 0, 1) ** (1 / 2.2)
    tone = tone + post["curve"] * (tone * tone * (3 - 2 * tone) - tone)
    red, blue = post["tint"]
    coloured = np.stack([tone * (1 + red), tone, tone * (1 + blue)], axis=-1)
    return (np.clip(coloured, 0, 1) * 255 + 0.5).astype(np.uint8)


def _exposed(one: Scene, rng: np.random.Generator) -> Array:
    """Return the light on every pixel: four rays near the hole, one where only the face is."""
    camera = one.camera
    down, across = np.indices((camera.height, camera.width))
    pixels = np.stack([across.ravel(), down.ravel()], axis=1).astype(float)
    light, reach = _seen(one, pixels + rng.uniform(-0.4, 0.4, pixels.shape))
    close = np.flatnonzero(reach < _CLOSE * one.drilling.near_radius)
    fine = np.zeros(close.size)
    for i in range(_SAMPLES):
        for j in range(_SAMPLES):
            within = (np.array([i, j]) + 0.5) / _SAMPLES - 0.5
            jitter = rng.uniform(-0.2, 0.2, (close.size, 2))
            fine += _seen(one, pixels[close] + within + jitter)[0]
    light[close] = fine / _SAMPLES**2
    return light.reshape(camera.height, camera.width)


def _seen(one: Scene, pixels: Array) -> tuple[Array, Array]:
    """Return the light that comes along rays, and how far from the near axis they end."""
    eye = one.camera.eye
    hits = trace(one.drilling, eye, one.camera.ways(pixels))
    same_stains = np.random.default_rng([one.seed, 11])
    light = brightness(one.drilling, hits, eye, one.lamps, one.surfaces, one.ambient, same_stains)
    return np.minimum(light, 6.0), np.hypot(hits.point[0], hits.point[1])


def _blurred(linear: Array, sigma_px: float) -> Array:
    reach = int(np.ceil(4 * sigma_px))
    bell = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma_px) ** 2)
    bell /= bell.sum()
    for axis in (0, 1):
        width = [(reach, reach) if a == axis else (0, 0) for a in (0, 1)]
        padded = np.pad(linear, width, mode="edge")
        linear = sum(
            weight * np.take(padded, np.arange(linear.shape[axis]) + at, axis=axis)
            for at, weight in enumerate(bell)
        )
    return linear


def known_answer(one: Scene) -> dict[str, Any]:
    """Return what is true of the picture, and what a user may know of it."""
    drilling, rng = one.drilling, np.random.default_rng([one.seed, 13])
    arc = visible_arc_deg(one)
    near, far = _points(one, rng, arc)
    typed = 0.05 * round(2 * drilling.near_radius / 0.05)
    return {
        "name": one.name,
        "kind": "oil_hole",
        "image": {
            "file": f"{one.name}.jpg",
            "width": one.camera.width,
            "height": one.camera.height,
        },
        "known": {"bearing_hole_diameter_mm": round(typed, 2), "marker": None},
        "click": _click(one),
        "click_points": {"sigma_px": _POINT_SIGMA_PX, "bearing_rim": near, "gallery_rim": far},
        "light": {"type": one.light},
        "truth": {
            "bearing_bore_radius_mm": drilling.bore_radius,
            "wall_thickness_mm": drilling.wall,
            "d_bearing_mm": 2 * drilling.near_radius,
            "d_gallery_mm": 2 * drilling.far_radius,
            "chamfer_mm": drilling.chamfer,
            "area_bearing_mm2": float(np.pi * drilling.near_radius**2),
            "area_gallery_mm2": float(np.pi * drilling.far_radius**2),
            "open_area_mm2": drilling.open_area(),
            "offset_mm": float(np.hypot(*drilling.offset)),
            "view_angle_at_hole_deg": one.sight_deg,
            "gallery_rim_visible_arc_deg": arc,
            "gallery_rim_visible": arc >= ANSWERABLE_ARC_DEG,
        },
        "flags": [] if arc >= ANSWERABLE_ARC_DEG else ["gallery_rim_not_visible"],
    }


def _points(
    one: Scene, rng: np.random.Generator, arc: float
) -> tuple[list[list[float]], list[list[float]]]:
    """Return what a hand would put: eight points on the near edge, six on the far arc."""
    around = np.linspace(0, 2 * np.pi, 8, endpoint=False) + rng.uniform(0, 0.5)
    near = one.camera.project(one.drilling.near_edge(around))
    far = np.empty((0, 2))
    if arc >= ANSWERABLE_ARC_DEG:
        far = one.camera.project(one.drilling.far_edge(_longest_arc(one)))
    return tuple(
        (points + rng.normal(scale=_POINT_SIGMA_PX, size=points.shape)).round(2).tolist()
        for points in (near, far)
    )


def _longest_arc(one: Scene) -> Array:
    """Return six angles along the longest visible piece of the far rim."""
    angles = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    seen = one.drilling.sees(one.camera.eye, one.drilling.far_edge(angles))
    start = 0 if seen.all() else int(np.flatnonzero(~seen)[0])
    best, run = (0, 0), 0
    for step in range(1, 721):
        run = run + 1 if seen[(start + step) % 720] else 0
        best = max(best, (run, start + step))
    length, end = best
    return np.radians((end - length * np.linspace(0.92, 0.08, 6)) / 2)


def _click(one: Scene) -> list[float]:
    """Return a point inside the hole as it is seen: the middle of what is open, else of it all."""
    reach = one.drilling.near_radius * np.sqrt(np.linspace(0.01, 0.98, 24))
    turn = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    rho, phi = (grid.ravel() for grid in np.meshgrid(reach, turn))
    x, y = rho * np.cos(phi), rho * np.sin(phi)
    back = np.stack([x, y, one.drilling.height(y, one.drilling.wall)])
    opened = one.drilling.sees(one.camera.eye, back) & (one.drilling.far_gap(back) < 0)
    shown = opened if opened.any() else one.drilling.sees(one.camera.eye, back)
    middle = back[:, shown].mean(axis=1)
    u, v = one.camera.project(middle[:, None])[0]
    return [round(float(u), 2), round(float(v), 2)]
