"""Steps along a row of blocks: of damaged bytes, and of nothing that a lens draws."""

import io
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image

from annotate.pixels.block_steps import block_step

SAMPLES = Path(__file__).parents[3] / "sample_images"
Picture = npt.NDArray[np.uint8]


def shown(jpeg: bytes) -> Picture:
    return np.asarray(Image.open(io.BytesIO(jpeg)).convert("RGB"))


def scene(height: int = 403, width: int = 610) -> Picture:
    """Return a smooth picture with a grain, blurred as by a lens."""
    rng = np.random.default_rng(5)
    tones = cv2.GaussianBlur(rng.normal(0, 600, (height, width)), (0, 0), 14) + 120
    grey = np.clip(tones + rng.normal(0, 2, tones.shape), 20, 230).astype(np.uint8)
    return np.repeat(grey[..., None], 3, axis=2)


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.jpg")), ids=lambda path: path.stem)
def test_no_whole_picture_steps(path: Path) -> None:
    assert block_step(shown(path.read_bytes())) is None


def test_overwritten_bytes_are_seen_where_they_lie() -> None:
    whole = (SAMPLES / "bearing-1.jpg").read_bytes()
    found = []
    for at in range(70_000, 290_000, 22_000):
        damaged = bytearray(whole)
        damaged[at : at + 40] = bytes(range(37, 77))
        step = block_step(shown(bytes(damaged)))
        if step is not None:
            assert step[0] == "y"
            found.append(step[1])
    assert len(found) >= 7  # of 10: the rest change the tone by less than a step
    assert found == sorted(found)  # farther on in the file is farther down in the picture


@pytest.mark.parametrize("turns", range(4))
def test_a_step_is_found_whichever_way_the_picture_was_turned(turns: int) -> None:
    picture = scene().copy()
    picture[160:] += 12
    axis, at = block_step(np.ascontiguousarray(np.rot90(picture, turns))) or ("", 0)
    from_the_other_end = 403 - 160
    assert (axis, at) == (
        ("y", 160), ("x", 160), ("y", from_the_other_end), ("x", from_the_other_end)
    )[turns]  # fmt: skip


def test_what_a_lens_draws_is_no_step() -> None:
    assert block_step(scene()) is None
    off_the_blocks = scene().copy()
    off_the_blocks[166:] += 12
    assert block_step(off_the_blocks) is None
    edge = np.zeros((403, 610))
    edge[160:] = 60.0
    soft = (scene() * 0.5 + cv2.GaussianBlur(edge, (0, 0), 0.8)[..., None]).astype(np.uint8)
    assert block_step(soft) is None
    narrow = scene().copy()
    narrow[160:, :180] += 12
    assert block_step(narrow) is None
    grain = np.random.default_rng(2).integers(0, 256, (403, 610, 3), dtype=np.uint8)
    assert block_step(grain) is None
    assert block_step(np.zeros((1, 5, 3), np.uint8)) is None
