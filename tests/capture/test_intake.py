"""Photos in: what a file really is, whether it is all there, and which way is up.

Sources of the files and what is known of them: files/SOURCES.md. EXIF orientation: EXIF 2.32
(CIPA DC-008), tag 0x0112. Pillow's own ``exif_transpose`` is the oracle for the turn.
"""

import hashlib
import io
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from capture.errors import BadPhoto
from capture.intake import wholeness
from capture.intake.decode import Decoded, Refused, decode, turned_upright
from capture.intake.kind import HEIC, JPEG, PNG, recognise
from capture.intake.photo import decode_upright, read_photo
from capture.intake.wholeness import what_is_missing

FILES = Path(__file__).parent / "files"
WHOLE_JPEG = FILES / "hostile" / "exif_gps_typeerror.jpg"  # a real 800 x 531 photo


def jpeg_of(width: int, height: int, orientation: int = 1) -> bytes:
    rng = np.random.default_rng(width * 10_000 + height)
    picture = Image.fromarray(rng.integers(0, 256, (height, width, 3), dtype=np.uint8))
    exif = Image.Exif()
    exif[0x0112] = orientation
    out = io.BytesIO()
    picture.save(out, "JPEG", exif=exif)
    return out.getvalue()


def png_claiming(width: int, height: int) -> bytes:
    """A PNG of a few bytes whose head claims any size, with sound check sums."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    pixels = zlib.compress(bytes(1000))
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_turn_is_that_of_an_independent_library(orientation: int) -> None:
    original = jpeg_of(5, 3, orientation)
    decoded = decode(original, JPEG)
    assert isinstance(decoded, Decoded)
    oracle = ImageOps.exif_transpose(Image.open(io.BytesIO(original)))
    np.testing.assert_array_equal(decoded.pixels, np.asarray(oracle))


@pytest.mark.parametrize("orientation", range(2, 9))
def test_eight_published_orientations_show_the_same_picture(orientation: int) -> None:
    folder = FILES / "exif-orientation"
    upright = decode_upright(folder / "hopper.jpg").mean(axis=2)
    turned = decode_upright(folder / f"hopper_orientation_{orientation}.jpg").mean(axis=2)
    # 3.5-3.7 grey levels is the published pictures' own difference (two JPEG encodings).
    assert np.abs(upright - turned).mean() < 4.0


def test_a_quarter_turn_swaps_width_and_height() -> None:
    photo = read_photo(FILES / "exif-orientation" / "orientation_rectangle.jpg")
    assert (photo.width_px, photo.height_px) == (1, 2)


def test_a_turned_heic_is_turned_once_and_its_arrow_points_up() -> None:
    photo = read_photo(FILES / "heic" / "arrow.heic")
    assert (photo.width_px, photo.height_px) == (3024, 4032)
    assert photo.pixels is not None
    ink = photo.pixels[::8, ::8].mean(axis=2) < 60  # the drawn outline, not the ruled paper
    top, bottom = np.flatnonzero(ink.any(axis=1))[[0, -1]]
    left, right = np.flatnonzero(ink.any(axis=0))[[0, -1]]
    assert bottom - top > right - left  # longer than wide: the shaft is upright
    widths = [np.ptp(np.flatnonzero(row)) for row in ink[top : bottom + 1] if row.any()]
    assert np.argmax(widths) < len(widths) * 0.6  # widest (the barbs) in the upper part


def test_the_camera_tells_make_time_and_focal_length() -> None:
    photo = read_photo(FILES / "heic" / "arrow.heic")
    assert photo.camera.startswith("Apple iPhone 8")
    assert photo.camera_time == "2018-07-31T14:52:07"
    assert photo.focal_35mm == 28.0


def test_a_focal_length_that_no_camera_has_is_not_known(tmp_path: Path) -> None:
    for focal, taken in ((1, None), (8, 8.0), (26, 26.0), (9999, None)):
        exif = Image.Exif()
        exif.get_ifd(0x8769)[0xA405] = focal
        Image.new("RGB", (16, 16)).save(tmp_path / "x.jpg", exif=exif)
        assert read_photo(tmp_path / "x.jpg").focal_35mm == taken


def test_tones_of_more_than_8_bits_are_told_in_words(tmp_path: Path) -> None:
    Image.fromarray(np.full((9, 9), 30_000, np.uint16)).save(tmp_path / "deep.png")
    with pytest.raises(BadPhoto) as refused:
        read_photo(tmp_path / "deep.png")
    assert "deep.png holds grey tones of more than 8 bits" in str(refused.value)
    assert "as a PNG of 8 bits a channel" in str(refused.value)
    assert "I;16" not in str(refused.value)


def test_original_bytes_are_untouched(tmp_path: Path) -> None:
    before = WHOLE_JPEG.read_bytes()
    photo = read_photo(WHOLE_JPEG)
    assert photo.original == before == WHOLE_JPEG.read_bytes()
    assert len(hashlib.sha256(photo.original).hexdigest()) == 64


def test_the_suffix_follows_the_content_not_the_name(tmp_path: Path) -> None:
    misnamed = tmp_path / "hole.heic"
    misnamed.write_bytes(WHOLE_JPEG.read_bytes())
    photo = read_photo(misnamed)
    assert (photo.kind, photo.kind.suffix, photo.file_name) == (JPEG, "jpg", "hole.heic")


@pytest.mark.parametrize(
    "name",
    ["broken_exif_dpi.jpg", "exif-dpi-zerodivision.jpg", "exif_gps_typeerror.jpg",
     "invalid-exif.jpg"],
)  # fmt: skip
def test_a_broken_exif_block_does_not_cost_the_picture(name: str) -> None:
    assert decode_upright(FILES / "hostile" / name).ndim == 3


@pytest.mark.parametrize(
    ("folder", "name", "told"),
    [
        ("hostile", "truncated_jpeg.jpg", "is cut short"),
        ("hostile", "truncated_image.png", "is cut short"),
        ("hostile", "broken.png", "is cut short"),
        ("hostile", "broken_data_stream.png", "is damaged"),
        ("hostile", "decompression_bomb.gif", "is a GIF picture"),
        ("hostile", "decompression_bomb.ico", "of unknown kind"),
        ("hostile", "crash-c1b2595b8b0b92cc5f38b6635e98e3a119ade807.sgi", "of unknown kind"),
        ("hostile", "oom-225817ca0f8c663be7ab4b9e717b02c661e66834.tif", "is a TIFF"),
        ("heic", "truncated.heic", "is cut short (1 bytes are missing)"),
        ("heic", "corrupted.heic", "is cut short"),
        ("heic", "empty.heic", "is empty"),
    ],
)
def test_a_bad_file_is_refused_in_one_sentence(folder: str, name: str, told: str) -> None:
    with pytest.raises(BadPhoto) as refusal:
        read_photo(FILES / folder / name)
    sentence = str(refusal.value)
    assert told in sentence
    assert sentence.startswith(name)
    assert "\n" not in sentence
    assert sentence.count(": ") == 1  # what it is: what to do


def test_a_pdf_called_jpg_is_called_a_pdf(tmp_path: Path) -> None:
    page = tmp_path / "bore.jpg"
    page.write_bytes(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n")
    with pytest.raises(BadPhoto, match=r"bore\.jpg is a PDF document, whatever its name says"):
        read_photo(page)


@pytest.mark.parametrize("width", [20_000, 60_000])
def test_a_picture_above_the_pixel_cap_is_refused_before_its_pixels(
    tmp_path: Path, width: int
) -> None:
    bomb = tmp_path / "bomb.png"
    bomb.write_bytes(png_claiming(width, width))
    with pytest.raises(BadPhoto, match="megapixels, and at most 220 are read"):
        read_photo(bomb)


def test_a_picture_that_needs_too_much_memory_costs_only_the_child() -> None:
    # Half the cap in pixels, in a child that may use a quarter of what they need.
    original = png_claiming(10_000, 11_000)
    refused = decode(original, PNG, memory_bytes=120 << 20)
    assert isinstance(refused, Refused)
    assert "memory" in refused.reason


def test_a_missing_file_and_a_folder_are_told_apart(tmp_path: Path) -> None:
    with pytest.raises(BadPhoto, match="there is no file"):
        read_photo(tmp_path / "nothing.jpg")
    with pytest.raises(BadPhoto, match="is not a file"):
        read_photo(tmp_path)


def test_what_does_not_decode_can_be_kept_but_has_no_pixels() -> None:
    cut = FILES / "hostile" / "truncated_jpeg.jpg"
    photo = read_photo(cut, keep_anyway=True)
    assert photo.original == cut.read_bytes()
    assert photo.pixels is None
    assert (photo.width_px, photo.height_px) == (None, None)
    assert "cut short" in photo.unreadable


def test_an_empty_file_is_not_kept_even_when_asked(tmp_path: Path) -> None:
    empty = tmp_path / "empty.jpg"
    empty.touch()
    with pytest.raises(BadPhoto, match="is empty"):
        read_photo(empty, keep_anyway=True)


def test_no_cut_jpeg_is_whole() -> None:
    whole = WHOLE_JPEG.read_bytes()
    end = whole.rindex(b"\xff\xd9")
    cuts = range(3, end + 2, 17)
    assert [cut for cut in cuts if not what_is_missing(whole[:cut], JPEG)] == []
    assert what_is_missing(whole, JPEG) == ""
    assert what_is_missing(whole + b"anything after the end", JPEG) == ""


def test_no_cut_heic_is_whole() -> None:
    whole = (FILES / "heic" / "arrow.heic").read_bytes()
    cuts = [*range(12, 6000, 7), *range(6000, len(whole), 9973), len(whole) - 1]
    assert [cut for cut in cuts if not what_is_missing(whole[:cut], HEIC)] == []
    assert what_is_missing(whole, HEIC) == ""


def test_no_cut_png_is_whole_and_no_flipped_byte_passes() -> None:
    whole = png_claiming(30, 30)
    assert [cut for cut in range(8, len(whole)) if not what_is_missing(whole[:cut], PNG)] == []
    for place in range(8, len(whole)):
        flipped = bytearray(whole)
        flipped[place] ^= 1
        assert what_is_missing(bytes(flipped), PNG) != ""


def test_an_index_that_repeats_itself_for_ever_is_refused_at_once() -> None:
    # 'iloc' with sizes of 0: each stretch costs the file no byte (a hostile file made by hand).
    item = struct.pack(">HHH", 1, 0, 65535)
    iloc = struct.pack(">I4s", 8 + 8 + len(item), b"iloc") + struct.pack(">IHH", 0, 0, 1) + item
    meta = struct.pack(">I4sI", 12 + len(iloc), b"meta", 0) + iloc
    hostile = struct.pack(">I4s4sI", 16, b"ftyp", b"heic", 0) + meta
    assert recognise(hostile) == HEIC
    assert "repeats itself" in what_is_missing(hostile, HEIC)


def heic_of_boxes(count: int) -> bytes:
    return struct.pack(">I4s4sI", 16, b"ftyp", b"heic", 0) + struct.pack(">I4s", 8, b"free") * count


def test_a_file_of_nothing_but_pieces_is_refused_and_not_walked_for_minutes() -> None:
    jpeg, png, many = jpeg_of(16, 16), png_claiming(10, 10), wholeness.MOST_PIECES + 1
    empty = struct.pack(">I4sI", 0, b"tEXt", zlib.crc32(b"tEXt"))
    for original, kind in (
        (png[:33] + empty * many + png[33:], PNG),
        (heic_of_boxes(many), HEIC),
        (jpeg[:-2] + b"\xff\x00" * 5_000_000 + jpeg[-2:], JPEG),
    ):
        assert "is made of more than" in what_is_missing(original, kind)


def test_a_progressive_picture_drawn_over_and_over_is_refused() -> None:
    out = io.BytesIO()
    Image.new("RGB", (64, 64)).save(out, "JPEG", progressive=True)
    whole = out.getvalue()
    assert what_is_missing(whole, JPEG) == ""
    last = whole[whole.rindex(b"\xff\xda") : -2]
    hostile = whole[:-2] + last * wholeness.MOST_SCANS + whole[-2:]
    assert "is drawn over more than 100 times" in what_is_missing(hostile, JPEG)


def test_a_jpeg_that_claims_more_pixels_than_its_bytes_can_hold_is_refused() -> None:
    """A decoder fills what is not there with grey: pixels that no lens saw."""
    whole = jpeg_of(40, 40)
    at = whole.index(b"\xff\xc0") + 5
    claiming = whole[:at] + struct.pack(">HH", 60_000, 3000) + whole[at + 4 :]
    assert "claims 3000 x 60000 pixels" in what_is_missing(claiming, JPEG)
    # The emptiest picture that libjpeg writes has room for all of its blocks.
    out = io.BytesIO()
    Image.new("L", (4000, 3000)).save(out, "JPEG", quality=1, optimize=True, progressive=True)
    assert what_is_missing(out.getvalue(), JPEG) == ""


def test_upright_rows_are_contiguous_and_untouched_when_already_upright() -> None:
    rows = np.arange(24, dtype=np.uint8).reshape(2, 4, 3)
    assert turned_upright(rows, 1) is rows
    for orientation in range(1, 9):
        assert turned_upright(rows, orientation).flags.c_contiguous
