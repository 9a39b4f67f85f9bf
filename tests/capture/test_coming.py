"""A photo that is decoded meanwhile: as read at once, and nothing of it outlives who asked."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from capture.errors import BadPhoto
from capture.intake import decode as decoding
from capture.intake.ahead import one_ahead
from capture.intake.photo import Photo, coming, read_photo
from tests.capture.test_intake import FILES, WHOLE_JPEG, jpeg_of


@pytest.fixture
def children(monkeypatch) -> list["subprocess.Popen[bytes]"]:
    """Every child that is started to decode."""
    started: list[subprocess.Popen[bytes]] = []
    start: Callable[..., subprocess.Popen[bytes]] = decoding._child

    def noted(*given: object) -> "subprocess.Popen[bytes]":
        started.append(start(*given))
        return started[-1]

    monkeypatch.setattr(decoding, "_child", noted)
    return started


def photos(tmp_path: Path, count: int) -> list[Path]:
    paths = [tmp_path / f"{number}.jpg" for number in range(count)]
    for number, path in enumerate(paths):
        path.write_bytes(jpeg_of(40 + number, 30, orientation=6))
    return paths


def parts(photo: Photo) -> tuple[object, ...]:
    assert photo.pixels is not None
    return (photo.file_name, photo.original, photo.kind, photo.camera, photo.focal_35mm,
            photo.size_px, photo.pixels.tobytes())  # fmt: skip


@pytest.mark.parametrize("path", [WHOLE_JPEG, FILES / "heic" / "arrow.heic"])
def test_it_is_what_reading_it_at_once_gives(path: Path) -> None:
    with coming(path) as photo:
        assert parts(photo()) == parts(read_photo(path))


@pytest.mark.parametrize("name", ["short.jpg", "page.jpg", "empty.jpg", "nothing.jpg"])
def test_what_is_wrong_with_it_is_said_as_it_is_asked_for_and_in_the_same_words(
    tmp_path: Path, name: str
) -> None:
    path = tmp_path / name
    whole = WHOLE_JPEG.read_bytes()
    content = {"short.jpg": whole[: len(whole) // 2], "page.jpg": b"%PDF-1.7 ...", "empty.jpg": b""}
    if name in content:
        path.write_bytes(content[name])
    with pytest.raises(BadPhoto) as at_once:
        read_photo(path)
    with coming(path) as photo, pytest.raises(BadPhoto) as meanwhile:
        photo()
    assert str(meanwhile.value) == str(at_once.value)


def test_left_unasked_it_is_ended(tmp_path: Path, children) -> None:
    path = tmp_path / "large.jpg"
    path.write_bytes(jpeg_of(800, 600))  # more than a pipe takes: the child stays at it
    with coming(path):
        assert children[0].poll() is None
    assert children[0].returncode is not None
    # Waited for as well: nothing more is left of it.
    with pytest.raises(ProcessLookupError):
        os.kill(children[0].pid, 0)


def test_one_that_takes_too_long_is_ended(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr(decoding, "WALL_SECONDS", 0.2)
    monkeypatch.setattr(decoding, "_WORK", "import time\ntime.sleep(60)\n")
    (path,) = photos(tmp_path, 1)
    with coming(path) as photo, pytest.raises(BadPhoto, match="time to decode"):
        photo()


def test_of_several_the_next_is_begun_as_one_is_taken(tmp_path: Path, children) -> None:
    paths = photos(tmp_path, 3)
    with one_ahead(paths) as each:
        begun = [len(children)]
        for path, photo in zip(paths, each, strict=True):
            begun.append(len(children))
            np.testing.assert_array_equal(photo.pixels, read_photo(path).pixels)
            children.pop()  # that of the reading just now
    assert begun == [1, 2, 3, 3]


def test_of_several_a_bad_one_is_said_in_its_turn(tmp_path: Path) -> None:
    paths = photos(tmp_path, 3)
    paths[1].write_bytes(b"")

    def names() -> Iterator[str]:
        with one_ahead(paths) as each:
            for photo in each:
                yield photo.file_name

    taken = names()
    assert next(taken) == "0.jpg"
    with pytest.raises(BadPhoto, match=r"1\.jpg"):
        next(taken)


_WAITING = """\
import sys
from pathlib import Path
from capture.intake import decode
from capture.intake.photo import coming
start = decode._child
def noted(*given):
    child = start(*given)
    print(child.pid, flush=True)
    return child
decode._child = noted
with coming(Path(sys.argv[1])):
    sys.stdin.read()
"""


@pytest.mark.parametrize("end", ["SIGINT", "SIGTERM", "SIGKILL"])
def test_it_does_not_outlive_a_program_that_is_stopped(tmp_path: Path, end: str) -> None:
    path = tmp_path / "large.jpg"
    path.write_bytes(jpeg_of(800, 600))  # more than a pipe takes: the child stays at it
    parent = subprocess.Popen(
        [sys.executable, "-c", _WAITING, str(path)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    assert parent.stdout is not None
    child = int(parent.stdout.readline())
    time.sleep(0.5)
    assert is_there(child)
    parent.send_signal(signal.Signals[end])
    parent.communicate(timeout=30)
    for _ in range(600):
        if not is_there(child):
            return
        time.sleep(0.05)
    pytest.fail(f"the child outlived {end}")


def is_there(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True
