"""Rims found from one click, against the true outlines in pixels: which edge was taken for which.

Per picture how far the points lie from the true rims, and by cause what went wrong. The truth
comes from the scene's JSON, or from the renderer's own scene where the picture is one of its.
"""

import json
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
from msgspec import Struct

from annotate.edges import NotFound, Rims, find_rims
from annotate.marks import Point, Rim
from annotate.optics.lens import focal_px
from annotate.wall_hint import wall_hint
from capture.entry import parse_length
from capture.errors import BadPhoto
from capture.intake.photo import read_photo
from capture.layers import bare_layer
from tests.bench.scenes import Scene, scene_groups
from tests.rendered.scenes import scene as rendered_scene

Array = np.ndarray[Any, np.dtype[np.float64]]
_TURN = np.linspace(0, 2 * np.pi, 360, endpoint=False)
ANSWERABLE_ARC_DEG = 12.0
_WRONG = 0.012  # of the near radius, beyond 1.5 px: farther off is another edge


class Outlines(Struct, frozen=True):
    """Closed polygons (N, 2) in pixels: the drilled edges, the chamfer's top, the near hole's end.

    ``broken`` is the far hole's edge where it was broken; ``arc_deg``: how much of the far rim is
    to be seen.
    """

    near: Array
    outer: Array
    back: Array
    far: Array
    broken: Array
    arc_deg: float

    @property
    def radius_px(self) -> float:
        """Half the mean width of the near rim."""
        return float(np.hypot(*(self.near - self.near.mean(axis=0)).T).mean())


class Told(Struct, frozen=True):
    """What is said of one picture: the near and the far rim in a word, and in pixels."""

    near: str
    far: str
    line: str


def true_outlines(answer: Path) -> Outlines:
    """Return the true outlines of one picture."""
    told = json.loads(answer.read_text(encoding="utf-8"))
    arc = told["truth"]["gallery_rim_visible_arc_deg"]
    if told["name"].startswith("r_hole_"):
        one = rendered_scene(int(told["name"].removeprefix("r_hole_")))
        drilling, x, y = one.drilling, np.cos(_TURN), np.sin(_TURN)
        wide = drilling.near_radius + drilling.chamfer_at(x, y)
        near_y = drilling.near_radius * y
        top = np.stack([wide * x, wide * y, drilling.height(wide * y)])
        end = np.stack([drilling.near_radius * x, near_y, drilling.height(near_y, drilling.wall)])
        flared = drilling.far_radius + drilling.edge_break
        broken_x, broken_y = drilling.offset[0] + flared * x, drilling.offset[1] + flared * y
        broken = np.stack([broken_x, broken_y, drilling.height(broken_y, drilling.wall)])
        edges = (drilling.near_edge(_TURN), top, end, drilling.far_edge(_TURN), broken)
        return Outlines(*(one.camera.project(edge) for edge in edges), arc)
    keys = ("bearing_edge_inner_px", "bearing_edge_outer_px", "bearing_back_rim_px")
    truth = told["truth"]
    far = np.array(truth["gallery_rim_px"])
    middle, swell = far.mean(axis=0), 2 * truth["gallery_edge_break_mm"] / truth["d_gallery_mm"]
    broken = far + swell * (far - middle)  # nearly: its depth is left out
    near, outer, back = (np.array(truth[k]) for k in keys)
    return Outlines(near, outer, back, far, broken, arc)


def off_px(points: Array, outline: Array) -> Array:
    """Return how far points lie outside a closed outline, in pixels (inside: negative)."""
    import cv2  # noqa: PLC0415 - only this bench needs it

    around = np.ascontiguousarray(outline, np.float32)[:, None]
    return np.array(
        [-cv2.pointPolygonTest(around, (float(x), float(y)), measureDist=True) for x, y in points]
    )


def _seen_share(points: Array, truth: Outlines) -> float:
    """Return the share of the visible far arc that found points run along."""
    seen = (off_px(truth.far, truth.near) < 0) & (off_px(truth.far, truth.back) < 0)
    if not seen.any():
        return 0.0
    gap = np.linalg.norm(truth.far[seen][:, None] - points[None], axis=2).min(axis=1)
    return float(np.mean(gap < max(4.0, 0.06 * truth.radius_px)))


def _which(points: Array, truth: Outlines, most_px: float, order: tuple[str, ...]) -> str:
    """Return the name of the true edge that points lie on, the first in ``order`` that fits."""
    for name in order:
        if float(np.median(np.abs(off_px(points, getattr(truth, name))))) < most_px:
            return name
    return "another edge"


def _near_told(near: Rim, truth: Outlines, most_px: float) -> tuple[str, str]:
    points = near.array_px()
    off = off_px(points, truth.near)
    which = _which(points, truth, most_px, ("near", "outer", "back", "far"))
    figures = f"{np.median(off):+7.2f} {np.quantile(np.abs(off), 0.9):6.2f} {near.sigma_px:5.2f}"
    return which, figures


def _far_told(rims: Rims, truth: Outlines, most_px: float) -> tuple[str, str]:
    if rims.far is None:
        return rims.far_state, ""
    points = rims.far.array_px()
    off = off_px(points, truth.far)
    which = _which(points, truth, most_px, ("far", "broken", "back", "near", "outer"))
    figures = (
        f"{np.median(off):+7.2f} {np.quantile(np.abs(off), 0.9):6.2f} {rims.far.sigma_px:5.2f}"
        f" {_seen_share(points, truth):5.0%}"
    )
    return which, figures


def look_at(answer: Path, scene: Scene, *, walled: bool) -> Told:
    """Return what was found in one picture, with the wall and near diameter typed or without."""
    truth = true_outlines(answer)
    most_px = max(1.5, _WRONG * truth.radius_px)
    photo = read_photo(scene.picture)
    if photo.pixels is None:
        raise BadPhoto(f"{photo.file_name} {photo.unreadable}")
    hint = None
    if walled:
        typed = (f"{scene.known_near_mm:.2f} mm", scene.typed_wall)
        hint = wall_hint(*map(parse_length, typed), focal_px(bare_layer(photo)))
    rims = find_rims(photo.pixels, Point(*scene.click), hint)
    if isinstance(rims, NotFound):
        line = f"{'refused':14} {rims.reason}"
        return Told("refused", "no near rim", line)
    near, near_figures = _near_told(rims.near, truth, most_px)
    far, far_figures = _far_told(rims, truth, most_px)
    back = ""
    if rims.back is not None:
        points = rims.back.array_px()
        back = _which(points, truth, most_px, ("back", "far", "near", "outer"))
        back += f" {np.median(off_px(points, truth.back)):+.2f}"
    line = (
        f"{near:13}{near_figures:>22}   {truth.arc_deg:4.0f} {far:13}{far_figures:28} "
        f"back: {back or '-'}"
    )
    return Told(near, far, line)


def print_found(folder: Path, *, walled: bool = False) -> None:
    """Print one line for each picture of a folder and its sub-folders, and the sums."""
    groups = list(scene_groups(folder))
    for name, scenes in groups:
        sums: Counter[str] = Counter()
        holes = [s for s in scenes if s.kind == "oil_hole"]
        print(f"\n{name}: off the true rim in px, + outside: median, 90 % of |off|, stated sigma")
        for scene in holes:
            answer = scene.picture.with_suffix(".json")
            told = look_at(answer, scene, walled=walled)
            arc = true_outlines(answer).arc_deg
            seen = "seen" if arc >= ANSWERABLE_ARC_DEG else "hidden"
            sums[f"near rim: {told.near}"] += 1
            sums[f"far rim, {seen}: {told.far}"] += 1
            print(f"{scene.name:14}{told.line}", flush=True)
        print(f"\n{name}: {len(holes)} pictures")
        for what, count in sorted(sums.items()):
            print(f"{count:5} {what}")
