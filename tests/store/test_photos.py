"""Photos by content: what is put in comes out, once, whole, and nothing else."""

import hashlib
import io
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from store.errors import BadPhotoId, BadRecord, CannotRead, CannotWrite, PhotoMissing
from store.files.halfmade import lock
from store.photos import CHUNK_BYTES, TEMPORARY, PhotoVault, hash_file, parse_photo_id
from tests.store.small_job import PHOTO

ID = hashlib.sha256(PHOTO).hexdigest()


@pytest.fixture
def vault(tmp_path: Path) -> PhotoVault:
    return PhotoVault(tmp_path)


def left_over(vault: PhotoVault) -> list[str]:
    return [path.name for path in vault.folder.glob(TEMPORARY + "*")]


def test_a_photo_keeps_its_bytes_under_its_hash_and_can_not_be_written(vault: PhotoVault) -> None:
    assert vault.put(io.BytesIO(PHOTO), "jpg") == (ID, len(PHOTO))
    path = vault.path(ID)
    assert path == vault.folder / ID[:2] / f"{ID}.jpg"
    assert path.read_bytes() == PHOTO
    assert path.stat().st_mode & 0o777 == 0o444
    assert left_over(vault) == []


def test_a_file_and_a_stream_are_the_same_photo(vault: PhotoVault, tmp_path: Path) -> None:
    source = tmp_path / "IMG 1.JPG"
    source.write_bytes(PHOTO)
    assert vault.put(source, "jpg") == vault.put(io.BytesIO(PHOTO), "jpg")
    assert [file.photo for file in vault.files()] == [ID]
    assert source.read_bytes() == PHOTO


def test_a_stream_is_read_from_where_it_stands_and_left_open(vault: PhotoVault) -> None:
    stream = io.BytesIO(b"skip" + PHOTO)
    stream.seek(4)
    assert vault.put(stream, "png")[0] == ID
    assert not stream.closed


@pytest.mark.parametrize("size", [0, 1, CHUNK_BYTES, CHUNK_BYTES + 1])
def test_photos_of_any_length_are_whole(vault: PhotoVault, size: int) -> None:
    content = os.urandom(size)
    photo, bytes_count = vault.put(io.BytesIO(content), "jpg")
    assert bytes_count == size
    assert vault.path(photo).read_bytes() == content
    assert hash_file(vault.path(photo)) == photo


def test_the_same_photo_keeps_the_suffix_it_came_with_first(vault: PhotoVault) -> None:
    vault.put(io.BytesIO(PHOTO), "jpg")
    vault.put(io.BytesIO(PHOTO), "jpeg")
    assert [file.suffix for file in vault.files()] == ["jpg"]


def test_a_damaged_file_is_made_whole_by_the_same_photo(vault: PhotoVault) -> None:
    vault.put(io.BytesIO(PHOTO), "jpg")
    path = vault.path(ID)
    path.chmod(0o644)
    path.write_bytes(PHOTO[:-1])
    vault.put(io.BytesIO(PHOTO), "jpg")
    assert vault.path(ID).read_bytes() == PHOTO
    assert len(list(vault.files())) == 1


@pytest.mark.parametrize("suffix", ["", ".jpg", "JPG", "jp/g", "../x", "a" * 9, "jpg\n"])
def test_a_suffix_that_is_none_is_refused(vault: PhotoVault, suffix: str) -> None:
    with pytest.raises(BadRecord):
        vault.put(io.BytesIO(PHOTO), suffix)


def test_a_source_that_can_not_be_read_is_said_so_and_leaves_nothing(
    vault: PhotoVault, tmp_path: Path
) -> None:
    with pytest.raises(CannotRead, match=r"gone\.jpg could not be read"):
        vault.put(tmp_path / "gone.jpg", "jpg")
    with pytest.raises(CannotRead, match="could not be read"):
        vault.put(_Breaking(), "jpg")
    assert left_over(vault) == []
    assert list(vault.files()) == []


class _Breaking(io.BytesIO):
    """A phone that is unplugged after the first chunk."""

    def read(self, _size: int | None = -1, /) -> bytes:
        if self.tell():
            raise OSError(5, "Input/output error")
        self.seek(1)
        return b"first chunk"


def test_no_room_is_said_before_a_byte_is_written(
    vault: PhotoVault, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("shutil.disk_usage", lambda _: _Usage(free=1_000_000))
    with pytest.raises(CannotWrite, match="the disk has 1 MB left"):
        vault.put(io.BytesIO(PHOTO), "jpg")
    assert list(vault.folder.iterdir()) == []


def test_room_for_the_file_and_a_little_more_is_needed(
    vault: PhotoVault, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source = tmp_path / "big.jpg"
    source.write_bytes(b"x" * 3000)
    monkeypatch.setattr("shutil.disk_usage", lambda _: _Usage(free=4_002_999))
    with pytest.raises(CannotWrite, match="was not kept"):
        vault.put(source, "jpg")
    monkeypatch.setattr("shutil.disk_usage", lambda _: _Usage(free=4_003_000))
    vault.put(source, "jpg")


class _Usage:
    def __init__(self, free: int) -> None:
        self.free = free


def test_a_photo_that_is_not_there_is_missing(vault: PhotoVault) -> None:
    with pytest.raises(PhotoMissing):
        vault.path(ID)
    assert ID not in vault
    vault.put(io.BytesIO(PHOTO), "jpg")
    assert ID in vault


@pytest.mark.parametrize(
    "text", ["", "ab", ID.upper(), ID + "0", ID + "\n", "../" + ID[3:], "g" + ID[1:]]
)
def test_what_is_no_sha_256_is_no_photo_id(vault: PhotoVault, text: str) -> None:
    with pytest.raises(BadPhotoId):
        parse_photo_id(text)
    with pytest.raises(BadPhotoId):
        vault.path(text)


@given(st.binary(min_size=32, max_size=32))
def test_every_sha_256_is_a_photo_id(digest: bytes) -> None:
    assert parse_photo_id(digest.hex()) == digest.hex()


def test_files_that_are_not_photos_of_the_vault_have_no_id(vault: PhotoVault) -> None:
    vault.put(io.BytesIO(PHOTO), "jpg")
    for name in ("notes.txt", f"{ID}.jpg", "zz/" + ID + ".jpg", ID[:2] + "/" + ID, "ab/x.y"):
        path = vault.folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_text("stranger")
    (vault.folder / f"{TEMPORARY}1234").write_text("half a copy")
    known = [file for file in vault.files() if file.photo]
    assert [file.path for file in known] == [vault.path(ID)]
    assert len(list(vault.files())) == 6


def test_left_over_copies_are_cleared_but_not_one_still_being_made(vault: PhotoVault) -> None:
    vault.folder.mkdir()
    (vault.folder / f"{TEMPORARY}dead").write_bytes(b"half")
    held = vault.folder / f"{TEMPORARY}live"
    code = (
        "import fcntl, os, sys; fd = os.open(sys.argv[1], os.O_CREAT | os.O_WRONLY);"
        "fcntl.flock(fd, fcntl.LOCK_EX); print('held', flush=True); sys.stdin.read()"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(held)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as other:
        assert other.stdout is not None
        assert other.stdin is not None
        assert other.stdout.readline() == b"held\n"
        assert vault.clear_temporary() == 1
        assert left_over(vault) == [held.name]
        other.stdin.close()
    assert vault.clear_temporary() == 1
    assert left_over(vault) == []


@pytest.mark.parametrize("is_gone", [True, False])
def test_a_copy_that_another_program_takes_for_left_as_it_begins_is_begun_again(
    vault: PhotoVault, monkeypatch: pytest.MonkeyPatch, *, is_gone: bool
) -> None:
    """Between the making of its file and its lock: cleared by then, or held to be cleared."""
    begun: list[str] = []

    def late(descriptor: int) -> bool:
        begun.extend(name for name in left_over(vault) if name not in begun)
        if len(begun) == 1:
            (vault.folder / begun[0]).unlink()
            return is_gone
        return lock(descriptor)

    monkeypatch.setattr("store.photos.lock", late)
    assert vault.put(io.BytesIO(PHOTO), "jpg") == (ID, len(PHOTO))
    assert len(begun) == 2
    assert left_over(vault) == []
    assert vault.path(ID).read_bytes() == PHOTO


def test_a_file_system_that_never_tells_that_a_file_is_the_same_takes_photos_too(
    vault: PhotoVault, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("store.photos.is_still", lambda path, descriptor: False)
    assert vault.put(io.BytesIO(PHOTO), "jpg") == (ID, len(PHOTO))
    assert left_over(vault) == []
    assert vault.path(ID).read_bytes() == PHOTO


def test_an_empty_vault_has_no_files(vault: PhotoVault) -> None:
    assert list(vault.files()) == []
    assert vault.clear_temporary() == 0
