"""Which kinds of picture a hit rate is told for: light, visible arc, line of sight."""

import re
from collections.abc import Iterable, Iterator

from tests.bench.scenes import Scene
from tests.rendered.scenes import ANSWERABLE_ARC_DEG

WIDE_ARC_DEG = 90.0
_ARCS = ((0.0, ANSWERABLE_ARC_DEG), (ANSWERABLE_ARC_DEG, 60.0), (60.0, WIDE_ARC_DEG),
         (WIDE_ARC_DEG, 180.0), (180.0, 361.0))  # fmt: skip
_SHORT_DEG, _LONG_DEG = 30.0, 240.0  # arcs that our own pictures have few of
_SIGHTS = ((0.0, 5.0), (5.0, 12.0), (12.0, 20.0), (20.0, 28.0), (28.0, 90.0))


def strata_of(scene: Scene) -> Iterator[str]:
    """Yield the name of every stratum a picture of two holes belongs to."""
    yield f"light: {scene.light}"
    yield from (f"arc: {low:.0f} to {high:.0f} deg" for low, high in _ARCS
                if low <= scene.true_arc_deg < high)  # fmt: skip
    yield from (f"line of sight: {low:.0f} to {high:.0f} deg" for low, high in _SIGHTS
                if low <= scene.true_sight_deg < high)  # fmt: skip


def answerable(scene: Scene) -> bool:
    """Return whether enough of the far rim shows for an answer to be asked for."""
    return scene.true_arc_deg >= ANSWERABLE_ARC_DEG


def wide_arc(scene: Scene) -> bool:
    """Return whether so much of the far rim shows that the interval should be narrow."""
    return scene.true_arc_deg > WIDE_ARC_DEG


def in_order(stratum: str) -> tuple[str, float, str]:
    """Return what strata are sorted by: their kind, then their bounds as numbers."""
    kind, _, bounds = stratum.partition(":")
    low = re.search(r"\d+", bounds)
    return kind, float(low.group()) if low else 0.0, bounds


def make_up(scenes: Iterable[Scene]) -> str:
    """Return in words what pictures of two holes have few or none of; "" for none of them."""
    holes = [scene for scene in scenes if scene.kind == "oil_hole"]
    if not holes:
        return ""
    short = sum(scene.true_arc_deg < _SHORT_DEG for scene in holes)
    long = sum(scene.true_arc_deg > _LONG_DEG for scene in holes)
    marked = sum(scene.known_target is not None for scene in holes)
    sizes = sorted({round(scene.megapixels, 1) for scene in holes})
    size = " to ".join(f"{each:g}" for each in dict.fromkeys((sizes[0], sizes[-1])))
    return (
        f"of {len(holes)} pictures of two holes the far rim shows less than {_SHORT_DEG:.0f} "
        f"degrees on {short} and more than {_LONG_DEG:.0f} on {long}; {marked} have a printed "
        f"marker; all are of {size} megapixels: of what is not there the table tells nothing"
    )
