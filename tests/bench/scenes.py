"""Pictures with a known answer: what the tool may see, kept apart from what is true.

A scene is NAME.jpg beside NAME.json. Of the JSON the tool may see ``known``, ``click`` and
``click_points``; in the "wall and bore given" mode also the wall and the bore, as somebody would
type them. Everything else is the answer.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

from msgspec import Struct

from tests.bench.sight_line import true_parallax_mm

PixelPair = tuple[float, float]


class Hole(Struct, frozen=True):
    """One hole of a flat face: where it was clicked, and what is true of it (mm)."""

    click: PixelPair
    drill_diameter_mm: float
    rim_diameter_mm: float


class Scene(Struct, frozen=True):
    """One picture. ``known_*`` and clicks may be shown to the tool, ``true_*`` may not."""

    name: str
    kind: Literal["oil_hole", "flat_face"]
    picture: Path
    known_near_mm: float | None = None
    known_target: dict[str, Any] | None = None
    click: PixelPair = (0.0, 0.0)
    near_points: tuple[PixelPair, ...] = ()
    far_points: tuple[PixelPair, ...] = ()
    point_sigma_px: float = 1.0
    typed_wall: str = ""
    typed_bore: str = ""
    true_covered: float = 0.0
    true_offset_mm: float = 0.0
    true_open_area_mm2: float = 0.0
    true_pin_mm: float = 0.0
    true_parallax_mm: PixelPair | None = None  # right, down
    true_arc_deg: float = 0.0  # of the far rim that is to be seen
    true_sight_deg: float = 0.0  # line of sight at the hole to its axis
    light: str = ""
    true_holes: tuple[Hole, ...] = ()
    true_distances_mm: tuple[tuple[int, int, float], ...] = ()
    flags: tuple[str, ...] = ()
    megapixels: float = 0.0


def read_scene(answer: Path) -> Scene:
    """Return one scene from its JSON file; the picture lies beside it."""
    told = json.loads(answer.read_text(encoding="utf-8"))
    picture = answer.with_name(told["image"]["file"])
    if told["kind"] == "oil_hole":
        return _oil_hole(told, picture)
    return _flat_face(told, picture)


def _oil_hole(told: dict[str, Any], picture: Path) -> Scene:
    truth, known, points = told["truth"], told["known"], told["click_points"]
    smaller = min(truth["area_bearing_mm2"], truth["area_gallery_mm2"])
    diameters = (truth["d_bearing_mm"], truth["d_gallery_mm"])
    passing = sum(diameters) / 2 - truth["offset_mm"]
    return Scene(
        name=told["name"],
        kind="oil_hole",
        picture=picture,
        known_near_mm=known.get("bearing_hole_diameter_mm"),
        known_target=known.get("marker"),
        click=tuple(told["click"]),
        near_points=tuple(tuple(p) for p in points["bearing_rim"]),
        far_points=tuple(tuple(p) for p in points["gallery_rim"]),
        point_sigma_px=points["sigma_px"],
        # As read off a calliper: two decimals, and the bore as a diameter.
        typed_wall=f"{truth['wall_thickness_mm']:.2f} mm",
        typed_bore=f"{2 * truth['bearing_bore_radius_mm']:.2f} mm",
        true_covered=1 - truth["open_area_mm2"] / smaller,
        true_offset_mm=truth["offset_mm"],
        true_open_area_mm2=truth["open_area_mm2"],
        true_pin_mm=min(max(passing, 0.0), *diameters),
        true_parallax_mm=true_parallax_mm(told),
        true_arc_deg=truth["gallery_rim_visible_arc_deg"],
        true_sight_deg=truth["view_angle_at_hole_deg"],
        light=told["light"]["type"],
        flags=tuple(told["flags"]),
        megapixels=told["image"]["width"] * told["image"]["height"] / 1e6,
    )


def _flat_face(told: dict[str, Any], picture: Path) -> Scene:
    holes = sorted(told["truth"]["holes"], key=lambda hole: int(hole["id"]))
    places = {hole["id"]: at for at, hole in enumerate(holes)}
    return Scene(
        name=told["name"],
        kind="flat_face",
        picture=picture,
        known_target=told["known"]["target"],
        true_holes=tuple(
            Hole(tuple(h["click"]), h["drill_diameter_mm"], h["rim_diameter_mm"]) for h in holes
        ),
        true_distances_mm=tuple(
            (places[d["a"]], places[d["b"]], d["mm"]) for d in told["truth"]["distances"]
        ),
        flags=tuple(told["flags"]),
        megapixels=told["image"]["width"] * told["image"]["height"] / 1e6,
    )


def scene_groups(
    folder: Path, first: int = 0, count: int | None = None
) -> Iterator[tuple[str, list[Scene]]]:
    """Yield (name, scenes) of a folder and then of each sub-folder that holds any.

    Of each, ``count`` pictures (None: all) from the ``first`` on, in the order of their names.
    """
    last = None if count is None else first + count
    for place in (folder, *sorted(p for p in folder.rglob("*") if p.is_dir())):
        answers = [p for p in sorted(place.glob("*.json")) if p.with_suffix(".jpg").exists()]
        if answers[first:last]:
            yield place.name, [read_scene(answer) for answer in answers[first:last]]
