"""Which kinds of picture a hit rate is told for: light, visible arc, line of sight."""

from collections.abc import Iterator

from tests.bench.scenes import Scene
from tests.rendered.scenes import ANSWERABLE_ARC_DEG

WIDE_ARC_DEG = 90.0
_ARCS = ((0.0, ANSWERABLE_ARC_DEG), (ANSWERABLE_ARC_DEG, 60.0), (60.0, WIDE_ARC_DEG),
         (WIDE_ARC_DEG, 180.0), (180.0, 361.0))  # fmt: skip
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
