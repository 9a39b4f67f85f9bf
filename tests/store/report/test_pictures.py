import errno
import hashlib
import io
from pathlib import Path

import pytest
from PIL import Image

from annotate.drawings.overlay import Box
from store.errors import CannotRead, StoreError
from store.report.page.copies import copies
from store.report.pictures import Wanted, print_copy
from store.report.typeset import ReportFailed, in_child, typeset

RED, GREEN, BLUE, GREY = (220, 20, 20), (20, 200, 20), (20, 20, 220), (128, 128, 128)
# How an upright picture is stored under each EXIF orientation (tag 0x0112, Exif 2.32, 4.6.4):
# what a camera must do so that the turn named by the tag gives the upright picture again.
STORED = {
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


def upright(width: int, height: int) -> Image.Image:
    """Red, green, blue and grey quarters, left to right and top to bottom."""
    picture = Image.new("RGB", (width, height), GREY)
    picture.paste(RED, (0, 0, width // 2, height // 2))
    picture.paste(GREEN, (width // 2, 0, width, height // 2))
    picture.paste(BLUE, (0, height // 2, width // 2, height))
    return picture


def stored(picture: Image.Image, folder: Path, orientation: int = 1) -> tuple[str, str]:
    turn = STORED[orientation]
    turned = picture if turn is None else picture.transpose(turn)
    exif = Image.Exif()
    exif[0x0112] = orientation
    out = io.BytesIO()
    turned.save(out, "JPEG", quality=95, subsampling=0, exif=exif)
    path = folder / f"photo{orientation}.jpg"
    path.write_bytes(out.getvalue())
    return str(path), hashlib.sha256(out.getvalue()).hexdigest()


def colour_at(picture: Image.Image, x: float, y: float) -> tuple[int, ...]:
    found = picture.getpixel((int(x * picture.width), int(y * picture.height)))
    assert isinstance(found, tuple)

    def distance(colour: tuple[int, ...]) -> int:
        return sum((a - b) ** 2 for a, b in zip(colour, found, strict=True))

    return min((RED, GREEN, BLUE, GREY), key=distance)


@pytest.mark.parametrize("orientation", sorted(STORED))
@pytest.mark.parametrize("size", [(400, 240), (2400, 1440)])
def test_a_photo_is_turned_upright_once(
    tmp_path: Path, orientation: int, size: tuple[int, int]
) -> None:
    source, photo = stored(upright(*size), tmp_path, orientation)
    assert print_copy(Wanted("out.jpg", source, photo, 60.0), tmp_path) == ""
    with Image.open(tmp_path / "out.jpg") as made:
        assert (made.width, made.height) == (200, 120)  # 60 pt at 240 to the inch
        assert not made.getexif()
        corners = [colour_at(made, x, y) for y in (0.2, 0.8) for x in (0.2, 0.8)]
    assert corners == [RED, GREEN, BLUE, GREY]


@pytest.mark.parametrize("orientation", [1, 6, 8])
def test_the_box_is_in_pixels_of_the_upright_picture(tmp_path: Path, orientation: int) -> None:
    # The box straddles all four quarters unevenly: its own corners tell where it was cut.
    source, photo = stored(upright(2000, 1200), tmp_path, orientation)
    box = Box(900, 500, 400, 300)
    assert print_copy(Wanted("out.jpg", source, photo, 40.0, box), tmp_path) == ""
    with Image.open(tmp_path / "out.jpg") as made:
        assert made.width / made.height == pytest.approx(4 / 3, rel=0.02)
        # the seam lies at (1000 - 900) / 400 and (600 - 500) / 300
        assert colour_at(made, 0.22, 0.30) == RED
        assert colour_at(made, 0.28, 0.30) == GREEN
        assert colour_at(made, 0.22, 0.37) == BLUE
        assert colour_at(made, 0.28, 0.37) == GREY


def test_a_small_photo_is_not_blown_up(tmp_path: Path) -> None:
    source, photo = stored(upright(60, 40), tmp_path)
    assert print_copy(Wanted("out.jpg", source, photo, 300.0), tmp_path) == ""
    with Image.open(tmp_path / "out.jpg") as made:
        assert made.size == (60, 40)


def test_an_altered_photo_is_never_printed(tmp_path: Path) -> None:
    source, photo = stored(upright(400, 240), tmp_path)
    data = bytearray(Path(source).read_bytes())
    data[-40] ^= 1
    Path(source).write_bytes(data)
    assert "altered" in print_copy(Wanted("out.jpg", source, photo, 60.0), tmp_path)
    assert not (tmp_path / "out.jpg").exists()


def test_a_missing_photo_is_said_to_be_missing(tmp_path: Path) -> None:
    gone = Wanted("out.jpg", str(tmp_path / "gone.jpg"), "0" * 64, 60.0)
    assert "missing" in print_copy(gone, tmp_path)


def test_a_cut_off_photo_is_not_filled_up_with_invented_pixels(tmp_path: Path) -> None:
    source, _ = stored(upright(1200, 720), tmp_path)
    data = Path(source).read_bytes()[:-3000]
    Path(source).write_bytes(data)
    wanted = Wanted("out.jpg", source, hashlib.sha256(data).hexdigest(), 60.0)
    assert "cannot be decoded" in print_copy(wanted, tmp_path)
    assert not (tmp_path / "out.jpg").exists()


# A file of the kernel's whose first byte can't be read: EIO (proc(5)).
UNREADABLE = "/proc/self/mem"


def test_a_photo_that_can_not_be_read_now_is_not_called_missing(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="Input/output error"):
        print_copy(Wanted("out.jpg", UNREADABLE, "0" * 64, 200), tmp_path)
    assert print_copy(Wanted("out.jpg", str(tmp_path / "none"), "0" * 64, 200), tmp_path) == (
        "its file is missing from the book"
    )


@pytest.mark.parametrize("error", [OSError(errno.EMFILE, "Too many open files"), ImportError("x")])
def test_a_decoder_that_can_not_be_loaded_now_is_not_the_photos_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    source, digest = stored(upright(40, 30), tmp_path)

    def fail(*_: object, **__: object) -> None:
        raise error

    with monkeypatch.context() as broken:
        broken.setattr(Image, "open", fail)
        with pytest.raises(type(error)):
            print_copy(Wanted("out.jpg", source, digest, 200), tmp_path)
    assert print_copy(Wanted("out.jpg", source, digest, 200), tmp_path) == ""


def test_no_page_is_made_while_a_photo_can_not_be_read(tmp_path: Path) -> None:
    """What is printed and signed would say for ever that a photo is missing."""
    wanted = Wanted("p.jpg", UNREADABLE, "0" * 64, 200)
    with pytest.raises(CannotRead, match="report could not be made now: input/output error"):
        typeset(tmp_path, {}, (wanted,), at="2026-03-05T16:40:00+01:00")
    with pytest.raises(CannotRead, match="page could not be made now: input/output error"):
        copies(tmp_path, ((wanted, 100),))


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("raise OSError(24, 'Too many open files', 'late.py')", CannotRead),
        ("raise ImportError('libx.so: cannot read file data: Input/output error')", CannotRead),
        ("raise FileNotFoundError(2, 'No such file or directory', 'x')", ReportFailed),
        ("raise ValueError('no such thing')", ReportFailed),
    ],
)
def test_a_child_that_could_not_even_be_loaded_is_told_apart(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, said: str, kind: type[StoreError]
) -> None:
    (tmp_path / "late_child.py").write_text(said)
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    with pytest.raises(kind) as caught:
        in_child("late_child", tmp_path, "report", 60, None, None)
    assert caught.type is kind
    assert "Errno 24" not in str(caught.value)
