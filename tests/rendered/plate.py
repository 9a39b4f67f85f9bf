"""Plain pictures of a block's face, a blank boss and a cover, for the demo: a height map, lit.

Nothing is measured on them. `python -m tests.rendered.plate FOLDER` makes the three again.
"""

import sys
from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from PIL import Image

Array = npt.NDArray[np.float64]
WIDTH, HEIGHT, SEED = 1600, 1000, 41


class Feature(NamedTuple):
    """Something round on a plate: a hole, a cup plug in its bore, a boss, a bolt. Pixels."""

    kind: str
    x: float
    y: float
    radius: float


BLOCK_SIDE = (
    *(Feature("hole", 260 + 360 * n, 640, 92) for n in range(4)),
    Feature("hole", 190, 250, 40),
    Feature("hole", 620, 210, 40),
    Feature("hole", 1010, 235, 40),
    Feature("boss", 1400, 260, 62),
    *(Feature("bolt", 440 + 360 * n, 430, 26) for n in range(3)),
)
BLANK_BOSS = (Feature("boss", 800, 500, 300), Feature("bolt", 1350, 840, 90))
COVER = (
    Feature("boss", 800, 500, 260),
    *(
        Feature("bolt", 800 + 560 * float(np.cos(a)), 500 + 370 * float(np.sin(a)), 46)
        for a in np.linspace(0.3, 0.3 + 2 * np.pi, 9)[:-1]
    ),
)


def plate(features: tuple[Feature, ...], *, cast: float, seed: int) -> Image.Image:
    """Return a plate of rough metal with these features on it, lit from the upper left."""
    rng = np.random.default_rng([SEED, seed])
    y, x = np.indices((HEIGHT, WIDTH), dtype=float)
    height = cast * _noise(rng)
    dark = np.ones_like(height)
    for feature in features:
        away = np.hypot(x - feature.x, y - feature.y)
        _add(feature, away, np.arctan2(y - feature.y, x - feature.x), height, dark)
    down, across = np.gradient(height)
    length = np.sqrt(1 + down**2 + across**2)
    lit = np.clip((1 + 0.75 * across + 0.9 * down) / length / 1.55, 0, None)
    glossy = np.clip((1 + 0.5 * across + 0.6 * down) / length / 1.28, 0, 1) ** 40
    light = (0.16 + 0.5 * lit + 0.22 * glossy) * dark
    light *= 1 - 0.25 * np.hypot(x / WIDTH - 0.4, y / HEIGHT - 0.4)
    light += 0.012 * rng.normal(size=light.shape)
    grey = np.clip(light, 0, 1)[..., None] ** (1 / 2.2) * np.array([1.0, 0.985, 0.96])
    return Image.fromarray((grey * 255 + 0.5).astype(np.uint8))


def _add(feature: Feature, away: Array, turn: Array, height: Array, dark: Array) -> None:
    """Add one feature to the height map, and to what is in the dark."""
    kind, radius = feature.kind, feature.radius
    edge = 1 / (1 + np.exp(np.clip((away - radius) / 2.2, -40, 40)))
    if kind in {"hole", "boss"}:
        rim = np.exp(-(((away - radius * 1.18) / (radius * 0.1)) ** 2))
        height += rim * radius * 0.05
    if kind == "hole":
        height -= edge * radius * 0.5
        shade = 0.08 + 0.35 * np.clip(away / radius, 0, 1) ** 6
        dark *= 1 - edge * (1 - shade)
    elif kind == "boss":
        height += edge * radius * 0.12
    else:
        six = np.cos(np.pi / 6) / np.cos((turn % (np.pi / 3)) - np.pi / 6)
        head = 1 / (1 + np.exp(np.clip((away - radius * six) / 1.6, -40, 40)))
        height += edge * radius * 0.06 + head * radius * 0.5


def _noise(rng: np.random.Generator) -> Array:
    """Return a rough skin: noise at several grains, its standard deviation about 1."""
    found = np.zeros((HEIGHT, WIDTH))
    for grain, share in ((2, 0.35), (5, 0.5), (14, 0.9), (60, 1.4)):
        coarse = rng.normal(size=(HEIGHT // grain + 3, WIDTH // grain + 3))
        picture = Image.fromarray(coarse.astype(np.float32))
        grown = picture.resize((WIDTH, HEIGHT), Image.Resampling.BICUBIC)
        found += share * np.asarray(grown, dtype=float)
    return found


def main(folder: Path) -> None:
    """Write the three pictures."""
    for name, features, cast in (
        ("block-left-side.jpg", BLOCK_SIDE, 0.5),
        ("boss-without-bore.jpg", BLANK_BOSS, 0.7),
        ("front-cover-on.jpg", COVER, 0.18),
    ):
        plate(features, cast=cast, seed=len(name)).save(folder / name, quality=82)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
