"""What is one picture and what are two: copies saved again, turned, lighter; and small moves."""

import io

import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image

from capture.twice import is_one_picture, same_as, small_picture
from tests.annotate.holes_drawn import Drawn, but

Picture = npt.NDArray[np.uint8]


def colour(drawn: Drawn) -> Picture:
    return np.repeat(drawn.picture()[..., None], 3, axis=2)


PICTURE = colour(Drawn())


def saved_again(picture: Picture, quality: int) -> Picture:
    kept = io.BytesIO()
    Image.fromarray(picture).save(kept, "JPEG", quality=quality)
    return np.asarray(Image.open(kept))


@pytest.mark.parametrize(
    "copy",
    [
        saved_again(PICTURE, 50),
        saved_again(saved_again(PICTURE, 75), 90),
        np.asarray(Image.fromarray(PICTURE).resize((210, 170))),
        np.rot90(PICTURE),
        np.rot90(PICTURE, 2),
        (PICTURE * 0.9).astype(np.uint8),
    ],
    ids=["saved again", "twice", "half the size", "turned", "upside down", "darker"],
)
def test_a_copy_is_the_same_picture(copy: Picture) -> None:
    assert is_one_picture(small_picture(np.ascontiguousarray(copy)), small_picture(PICTURE))


@pytest.mark.parametrize(
    "other",
    [
        but(Drawn(), centre=(206.3, 171.6)),  # the camera moved by 0.7 % of its picture
        but(Drawn(), turn_deg=40.0),
        but(Drawn(), far=(0.45, 0.40, 0.9)),
        but(Drawn(), radius_px=80.0),
    ],
    ids=["moved", "turned", "leaned", "nearer"],
)
def test_a_photo_from_a_little_elsewhere_is_another(other: Drawn) -> None:
    small = small_picture(colour(other))
    assert not is_one_picture(small, small_picture(PICTURE))
    assert same_as(small, [small_picture(PICTURE)]) is None
    assert same_as(small, [small_picture(PICTURE), small]) == 1


def test_of_pictures_that_show_nothing_it_cannot_be_told() -> None:
    grey = [np.full((60, 80, 3), tone, np.uint8) for tone in (90, 90)]
    assert not is_one_picture(*(small_picture(each) for each in grey))
