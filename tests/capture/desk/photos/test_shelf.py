"""The shelf: decoded elsewhere, kept at hand within a bound, and never past the gate."""

from typing import Any

import numpy as np
import pytest

from annotate.pane.levels import levels_of
from capture.desk.shelf import Shelf, shelf_of
from capture.errors import BadPhoto
from capture.intake.photo import decode_upright, look_at, read_photo
from store.evidence import PhotoTaken
from store.photos import PhotoVault
from tests.capture.command import FILES, SAMPLES
from tests.capture.desk.photos.pictures import HEIC, TRUNCATED
from tests.capture.desk.photos.waiting import until


@pytest.fixture
def taken(small, qtbot) -> list[PhotoTaken]:
    small.act(lambda j: [j.add_photo(read_photo(SAMPLES / name), location="C1", role="close-up")
                         for name in ("bearing-1.jpg", "bearing-3.jpg")])  # fmt: skip
    until(qtbot, lambda: len(small.round.place("C1").photos) == 2)
    return [photo.taken for photo in small.round.place("C1").photos]


def test_levels_come_later_the_first_time_and_at_once_the_second(small, taken, qtbot) -> None:
    shelf = Shelf(small)
    got: list[Any] = []
    shelf.levels(taken[0], got.append, got.append)
    shelf.levels(taken[0], got.append, got.append)
    assert got == []
    until(qtbot, lambda: len(got) == 2)
    shelf.levels(taken[0], got.append, got.append)
    assert got[0] is got[1] is got[2]
    assert (got[0].levels[0] == decode_upright(SAMPLES / "bearing-1.jpg")).all()


def test_what_was_not_looked_at_longest_goes_first_and_the_bound_holds(small, taken, qtbot) -> None:
    one = levels_of(decode_upright(SAMPLES / "bearing-1.jpg"))
    shelf = Shelf(small, held_bytes=round(2.5 * one.held_bytes))
    shelf.put("a", one)
    shelf.put("b", one)
    assert shelf.held("a") is one
    shelf.put("c", one)
    assert shelf.held("b") is None
    assert shelf.held("a") is one
    assert shelf.held_bytes == 2 * one.held_bytes
    tiny = Shelf(small, held_bytes=1)
    tiny.put("a", one)
    assert tiny.held("a") is one


def test_a_photo_that_is_gone_is_told_to_all_who_asked(small, taken, qtbot) -> None:
    PhotoVault(small.root).path(taken[0].photo).unlink()
    got: list[Any] = []
    refused: list[Any] = []
    shelf_of(small).levels(taken[0], got.append, refused.append)
    shelf_of(small).levels(taken[0], got.append, refused.append)
    until(qtbot, lambda: len(refused) == 2)
    assert got == []
    assert "is not among the book's photos" in refused[0].sentence
    seen: list[Any] = []
    shelf_of(small).thumbnail(taken[0], 104, 64, seen.append)
    until(qtbot, lambda: bool(seen))
    assert seen[0].isNull()


def test_a_thumbnail_is_the_pictures_middle_in_the_size_asked_for(small, taken, qtbot) -> None:
    seen: list[Any] = []
    shelf_of(small).thumbnail(taken[0], 104, 64, seen.append)
    until(qtbot, lambda: bool(seen))
    image = seen[0]
    assert (image.width(), image.height()) == (104, 64)
    whole = decode_upright(SAMPLES / "bearing-1.jpg")  # 1200 x 1600: cut above and below
    middle = whole[800 - 369 : 800 + 369]
    colour = image.pixelColor(52, 32)
    around = middle[369 - 8 : 369 + 8, 592:608].mean(axis=(0, 1))
    assert np.allclose([colour.red(), colour.green(), colour.blue()], around, atol=14)
    shelf_of(small).thumbnail(taken[0], 104, 64, seen.append)
    assert seen[1] is image


def test_there_is_one_shelf_for_a_desk(small) -> None:
    assert shelf_of(small) is shelf_of(small)


# --- the coarse picture goes through the same gate --------------------------------------------


@pytest.mark.parametrize("turn", range(2, 9))
def test_a_coarse_picture_stands_upright_as_the_whole_one_does(turn) -> None:
    path = FILES / "exif-orientation" / f"hopper_orientation_{turn}.jpg"
    whole, coarse = decode_upright(path), look_at(path, 32)
    high, wide = coarse.shape[:2]
    assert 32 <= max(high, wide) <= 64
    shrunk = whole[: whole.shape[0] // high * high, : whole.shape[1] // wide * wide]
    blocks = shrunk.reshape(high, shrunk.shape[0] // high, wide, shrunk.shape[1] // wide, 3)
    assert np.abs(blocks.mean(axis=(1, 3)) - coarse).mean() < 16


def test_a_coarse_picture_of_half_a_file_is_refused(tmp_path) -> None:
    with pytest.raises(BadPhoto, match="is cut short"):
        look_at(TRUNCATED, 64)
    whole = (SAMPLES / "bearing-1.jpg").read_bytes()
    for part in (0.02, 0.3, 0.7, 0.999):
        (tmp_path / "cut.jpg").write_bytes(whole[: round(part * len(whole))])
        with pytest.raises(BadPhoto, match="is cut short"):
            look_at(tmp_path / "cut.jpg", 64)


def test_a_coarse_heic_and_what_is_no_photo(tmp_path) -> None:
    assert 64 <= max(look_at(HEIC, 64).shape) <= 128
    (tmp_path / "a.jpg").write_bytes(b"GIF89a")
    with pytest.raises(BadPhoto, match="is a GIF picture"):
        look_at(tmp_path / "a.jpg", 64)
