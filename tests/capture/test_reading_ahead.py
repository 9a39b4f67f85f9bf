"""Photos that are only filed: checked without their pixels, and read ahead in order."""

import io
from pathlib import Path
from threading import Event

import pytest
from PIL import Image

from capture.errors import BadPhoto
from capture.intake.ahead import read_ahead
from capture.intake.photo import Photo, checked, read_photo

_TRANSPOSED = 6  # EXIF 2.32, tag 0x0112: a quarter turn


def jpeg(path: Path, *, turn: int = 1, width: int = 640, height: int = 360) -> Path:
    exif = Image.Exif()
    exif[0x0112] = turn
    picture = Image.linear_gradient("L").resize((width, height)).convert("RGB")
    picture.save(path, "JPEG", exif=exif)
    return path


@pytest.mark.parametrize("turn", [1, 3, _TRANSPOSED, 8])
def test_what_is_checked_is_told_as_what_is_read(tmp_path: Path, turn: int) -> None:
    path = jpeg(tmp_path / "a.jpg", turn=turn)
    whole, light = read_photo(path), checked(path)
    assert whole.pixels is not None
    assert light.pixels is None
    assert (light.width_px, light.height_px) == (whole.width_px, whole.height_px)
    assert (light.width_px, light.height_px) == whole.pixels.shape[1::-1]
    assert light.original == whole.original
    assert not light.unreadable


def test_a_photo_cut_short_is_refused_without_its_pixels_too(tmp_path: Path) -> None:
    whole = jpeg(tmp_path / "a.jpg").read_bytes()
    cut = tmp_path / "cut.jpg"
    for length in range(200, len(whole), 997):
        cut.write_bytes(whole[:length])
        with pytest.raises(BadPhoto):
            checked(cut)
        assert checked(cut, keep_anyway=True).unreadable


def test_a_png_is_checked_whole(tmp_path: Path) -> None:
    out = io.BytesIO()
    Image.new("RGB", (90, 40), (9, 90, 200)).save(out, "PNG")
    path = tmp_path / "a.png"
    path.write_bytes(out.getvalue())
    assert (checked(path).width_px, checked(path).height_px) == (90, 40)


def test_photos_come_in_the_order_given_and_a_bad_one_in_its_place(tmp_path: Path) -> None:
    paths = [tmp_path / f"{number}.jpg" for number in range(9)]

    def read(path: Path) -> Photo:
        if path.stem in {"0", "4"}:
            raise BadPhoto(f"{path.name} is empty")
        return Photo(path.name, b"", kind=None)  # type: ignore[arg-type] # never looked at here

    found = list(read_ahead(paths, read))
    assert [path for path, _ in found] == paths
    assert [path.stem for path, photo in found if isinstance(photo, BadPhoto)] == ["0", "4"]


def test_the_next_is_read_while_one_is_filed_and_never_many(tmp_path: Path) -> None:
    begun: list[str] = []
    third = Event()

    def read(path: Path) -> Photo:
        begun.append(path.stem)
        if path.stem == "2":
            third.set()
        return Photo(path.name, b"", kind=None)  # type: ignore[arg-type] # never looked at here

    paths = [tmp_path / f"{number}.jpg" for number in range(40)]
    coming = read_ahead(paths, read)
    next(coming)
    assert third.wait(60)
    assert len(begun) <= 5
    coming.close()
    assert len(begun) <= 5
