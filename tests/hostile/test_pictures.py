"""Pictures made to do harm: pixels or one sentence, in this process and within bounds."""

import io
import json
import os
import struct
import zlib
from itertools import islice
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from capture.errors import BadPhoto
from capture.intake.decode import Decoded, Refused, decode
from capture.intake.kind import HEIC, JPEG, PNG, Kind, recognise
from capture.intake.photo import read_photo
from capture.intake.wholeness import what_is_missing
from tests.capture.command import run
from tests.hostile.mutants import mutants
from tests.hostile.pictures import read_all
from tests.hostile.seed_pictures import FILES, published_hostile, sound_pictures

_SOI, _EOI = b"\xff\xd8", b"\xff\xd9"


def exif_of(entries: dict[int, tuple[int, bytes]], *, sub: dict[int, tuple[int, bytes]]) -> bytes:
    """Return a big-endian TIFF block (TIFF 6.0, section 2) of tags: number -> (type, value)."""
    sizes = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1, 10: 8}

    def folder(tags: dict[int, tuple[int, bytes]], at: int) -> bytes:
        head, tail = struct.pack(">H", len(tags)), b""
        after = at + 2 + 12 * len(tags) + 4
        for tag, (kind, value) in sorted(tags.items()):
            count = len(value) // sizes[kind]
            told = (
                value.ljust(4, b"\0") if len(value) <= 4 else struct.pack(">I", after + len(tail))
            )
            head += struct.pack(">HHI", tag, kind, count) + told
            tail += value if len(value) > 4 else b""
        return head + bytes(4) + tail

    first = folder({**entries, 0x8769: (4, bytes(4))}, 8)
    first = folder({**entries, 0x8769: (4, struct.pack(">I", 8 + len(first)))}, 8)
    return b"Exif\0\0MM\0*" + struct.pack(">I", 8) + first + folder(sub, 8 + len(first))


def jpeg_with(block: bytes) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (6, 4), (200, 30, 30)).save(out, "JPEG", exif=block)
    return out.getvalue()


def short(value: int) -> tuple[int, bytes]:
    return 3, struct.pack(">H", value)


def ratio(above: int, below: int) -> tuple[int, bytes]:
    return 5, struct.pack(">II", above, below)


def text(value: bytes) -> tuple[int, bytes]:
    return 2, value + b"\0"


TIME = text(b"2026:03:02 09:00:00")
ABSURD: dict[str, tuple[dict[int, tuple[int, bytes]], dict[int, tuple[int, bytes]]]] = {
    "orientation 0": ({0x0112: short(0)}, {}),
    "orientation 9": ({0x0112: short(9)}, {}),
    "orientation 65535": ({0x0112: short(65535)}, {}),
    "an orientation in words": ({0x0112: text(b"up")}, {}),
    "a focal length of 0/0": ({}, {0xA405: ratio(0, 0)}),
    "a focal length of 1/0": ({}, {0xA405: ratio(1, 0)}),
    "a focal length of 65535 mm": ({}, {0xA405: short(65535)}),
    "a focal length of 0": ({}, {0xA405: short(0)}),
    "a negative focal length": ({}, {0xA405: (10, struct.pack(">ii", -28, 1))}),
    "a focal length in words": ({}, {0xA405: text(b"wide")}),
    "four focal lengths": ({}, {0xA405: (3, struct.pack(">4H", 1, 2, 3, 4))}),
    "a month of 13": ({}, {0x9003: text(b"2026:13:40 25:61:61")}),
    "a time of blanks": ({}, {0x9003: text(b"    :  :     :  :  ")}),
    "a camera that moves the cursor": (
        {0x010F: text(b"\x1b[2J\x07Acme"), 0x0110: text(b"\xe2\x80\xae9")}, {},
    ),
    "a camera of 60,000 letters": ({0x0110: text(b"m" * 60_000)}, {}),
    "where it was taken": ({0x8825: (4, struct.pack(">I", 8))}, {0x9003: TIME}),
    "an exposure of 0/0": ({}, {0x829A: ratio(0, 0), 0x9003: TIME}),
}  # fmt: skip


@pytest.mark.parametrize("name", ABSURD)
def test_absurd_claims_of_a_camera_cost_nothing_but_themselves(name: str) -> None:
    entries, sub = ABSURD[name]
    decoded = decode(jpeg_with(exif_of(entries, sub=sub)), JPEG)
    assert isinstance(decoded, Decoded)
    assert decoded.pixels.shape == (4, 6, 3)  # not turned by what is no turn
    assert decoded.focal_35mm is None
    assert decoded.camera.isprintable()
    assert len(decoded.camera) <= 161
    assert not any("\u202a" <= letter <= "\u202e" for letter in decoded.camera)


def test_a_sound_claim_is_read_all_the_same() -> None:
    """So that the refusals above are of what was put in on purpose."""
    block = exif_of(
        {0x0112: short(6), 0x010F: text(b"Acme")}, sub={0xA405: short(28), 0x9003: TIME}
    )
    decoded = decode(jpeg_with(block), JPEG)
    assert isinstance(decoded, Decoded)
    assert decoded.pixels.shape == (6, 4, 3)
    assert (decoded.camera, decoded.focal_35mm) == ("Acme", 28.0)
    assert decoded.camera_time == "2026-03-02T09:00:00"


def sources() -> list[tuple[Kind, bytes]]:
    sound = [(recognise(data), data) for data in sound_pictures()]
    return [*sound, (HEIC, (FILES / "heic" / "arrow.heic").read_bytes())]


def test_not_one_of_a_thousand_cut_pictures_is_accepted() -> None:
    tried, accepted = 0, []
    for kind, whole in sources():
        assert what_is_missing(whole, kind) == ""
        end = whole.rindex(_EOI) + 2 if kind is JPEG else len(whole)
        for part in range(1, 91):
            cut = whole[: end * part // 91]
            tried += 1
            if recognise(cut) is kind and not what_is_missing(cut, kind):
                accepted.append((kind.name, len(whole), len(cut)))
    assert tried >= 1000
    assert accepted == []


def chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def with_chunk(name: bytes, body: bytes) -> bytes:
    out = io.BytesIO()
    Image.new("L", (4, 4)).save(out, "PNG")
    return out.getvalue()[:33] + chunk(name, body) + out.getvalue()[33:]


def claiming(width: int, height: int, *, depth: int = 8, colour: int = 2) -> bytes:
    head = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b""))
        + chunk(b"IEND", b"")
    )  # fmt: skip


_BOMB = zlib.compress(bytes(200_000_000), 9)
HARMFUL: dict[str, tuple[bytes, str]] = {
    "a text of 200 MB": (with_chunk(b"zTXt", b"k\0\0" + _BOMB), "damaged"),
    "a colour profile of 200 MB": (with_chunk(b"iCCP", b"k\0\0" + _BOMB), "damaged"),
    "a PNG of no width": (claiming(0, 10), "damaged|cut short"),
    "a PNG of 2^31 pixels a side": (claiming(2**31 - 1, 2**31 - 1), "megapixels|damaged"),
    "a PNG of a depth of 3": (claiming(10, 10, depth=3), "damaged"),
    "a PNG without pixels": (claiming(10, 10), "damaged|cut short"),
    "a HEIC of one box": (struct.pack(">I4s4sI", 16, b"ftyp", b"heic", 0), "no index"),
    "a HEIC whose box is smaller than its head": (
        struct.pack(">I4s4sI", 16, b"ftyp", b"heic", 0) + struct.pack(">I4s", 4, b"meta"),
        "damaged",
    ),
    "a JPEG of its ends alone": (_SOI + b"\xff\xe0\0\2" + _EOI, "damaged"),
    "a web page called a picture": (b"<!DOCTYPE html><script>1</script>", "web page"),
    "a program called a picture": (b"\x7fELF" + bytes(200), "unknown kind"),
    "a zip that is a JPEG's name": (b"PK\3\4" + bytes(200), "ZIP"),
}  # fmt: skip


@pytest.mark.parametrize("name", HARMFUL)
def test_a_harmful_picture_is_refused_in_one_sentence(tmp_path: Path, name: str) -> None:
    content, words = HARMFUL[name]
    (tmp_path / "hole.jpg").write_bytes(content)
    with pytest.raises(BadPhoto, match=words) as refused:
        read_photo(tmp_path / "hole.jpg")
    assert "\n" not in str(refused.value)
    assert str(refused.value).isprintable()


def test_what_lies_behind_a_picture_is_kept_and_never_read(tmp_path: Path) -> None:
    """A picture that is an archive or a page as well is a picture here, and nothing else."""
    for behind in (b"PK\3\4 and more", b"<script>alert(1)</script>", b"%PDF-1.7"):
        original = sound_pictures()[0] + behind
        path = tmp_path / "both.png"
        path.write_bytes(original)
        photo = read_photo(path)
        assert photo.kind is JPEG
        assert photo.original == original
        assert photo.pixels is not None


def test_a_pipe_or_a_device_is_no_photo_and_holds_nobody(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    (tmp_path / "zero.jpg").symlink_to("/dev/zero")
    (tmp_path / "loop.jpg").symlink_to(tmp_path / "loop.jpg")
    for name in ("pipe.jpg", "zero.jpg", "loop.jpg"):
        with pytest.raises(BadPhoto):
            read_photo(tmp_path / name)
        for verb in ("measure", "coverage"):
            done = run(verb, tmp_path / name, "--click", "5,5", "--json")
            assert done.code in {2, 3}


def test_published_pictures_and_their_mutants_kill_nothing(tmp_path: Path) -> None:
    """15,000 more: ``python -m tests.hostile.pictures``."""
    seeds = [*sound_pictures(), *(each for each in published_hostile() if 0 < len(each) < 60_000)]
    done = read_all([*published_hostile(), *islice(mutants(seeds, seed=2), 80)], tmp_path, 2)
    assert [each for each in done if each.died] == []
    assert len({each.said for each in done}) > 4


def test_what_a_child_says_is_json_whatever_the_picture_says() -> None:
    block = exif_of({0x010F: text(b'"}\n{"width":1}')}, sub={})
    decoded = decode(jpeg_with(block), JPEG)
    assert isinstance(decoded, Decoded)
    assert json.loads(json.dumps(decoded.camera)) == '"}{"width":1}'


def test_a_bomb_costs_the_child_alone() -> None:
    refused: Any = decode(claiming(14_000, 14_000), PNG, memory_bytes=200 << 20)
    assert isinstance(refused, Refused)
