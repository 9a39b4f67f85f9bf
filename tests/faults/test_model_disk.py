"""The model of a disk under a power cut: what was made durable stays, what was not may be lost."""

import random
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.faults.model_disk import SECTOR, ModelDisk
from tests.faults.write_log import Write, writes_in

PHOTO = bytes(range(256)) * 10
TRIES = 60
MADE = (Write("create", "new"), Write("write", "new", data=PHOTO))
FILED = (Write("rename", "new", "photo"), Write("sync", "/"))


def outcomes(folder: Path, writes: Sequence[Write]) -> set[bytes | None]:
    """Return everything that may lie under "photo" after a power cut, None for nothing."""
    (folder / "at first").mkdir()
    found = set()
    for number in range(TRIES):
        model = ModelDisk(folder / "at first")
        for write in writes:
            model.do(write)
        model.after_cut(folder / str(number), random.Random(number))  # noqa: S311 - no secret
        path = folder / str(number) / "photo"
        found.add(path.read_bytes() if path.exists() else None)
    return found


def test_a_file_synced_before_it_was_named_is_whole(tmp_path: Path) -> None:
    assert outcomes(tmp_path, [*MADE, Write("sync", "new"), *FILED]) == {PHOTO}


def test_a_file_named_before_it_was_synced_may_be_empty_or_torn(tmp_path: Path) -> None:
    found = outcomes(tmp_path, [*MADE, *FILED])
    assert {PHOTO, b""} <= found
    torn = found - {PHOTO, b"", None}
    assert torn
    assert all(part and len(part) % SECTOR == 0 for part in torn)


def test_a_name_that_was_not_synced_may_be_lost(tmp_path: Path) -> None:
    writes = [*MADE, Write("sync", "new"), Write("rename", "new", "photo")]
    assert outcomes(tmp_path, writes) == {PHOTO, None}


def test_an_older_file_is_there_or_the_newer_never_half_of_each(tmp_path: Path) -> None:
    older = [Write("create", "photo"), Write("write", "photo", data=b"older"),
             Write("sync", "photo"), Write("sync", "/")]  # fmt: skip
    writes = [*older, *MADE, Write("sync", "new"), Write("rename", "new", "photo")]
    assert outcomes(tmp_path, writes) == {b"older", PHOTO}


def test_a_file_in_a_folder_whose_name_was_lost_is_lost(tmp_path: Path) -> None:
    (tmp_path / "at first").mkdir()
    found = set()
    for number in range(TRIES):
        model = ModelDisk(tmp_path / "at first")
        for write in (Write("mkdir", "ab"), Write("create", "ab/photo"), Write("sync", "ab")):
            model.do(write)
        model.after_cut(tmp_path / str(number), random.Random(number))  # noqa: S311 - no secret
        found.add((tmp_path / str(number) / "ab/photo").exists())
    assert found == {True, False}


def test_what_strace_saw_is_read(tmp_path: Path) -> None:
    def hexed(text: str) -> str:
        return "".join(f"\\x{each:02x}" for each in text.encode())

    seen = "\n".join([
        f'openat(AT_FDCWD, "{hexed(str(tmp_path / "heads.txt"))}", O_WRONLY|O_APPEND, 0644) = 5',
        f'write(5, "{hexed("north 2")}", 7) = 7',
        "fsync(5) = 0",
        f'write(1, "{hexed("kept")}", 4) = 4',
        "close(5) = 0",
        f'write(5, "{hexed("a pipe, now")}", 11) = 11',
        f'openat(AT_FDCWD, "{hexed("gone")}", O_RDONLY) = -1 ENOENT (No such file or directory)',
        f'rename("{hexed("heads.txt")}", "{hexed("old")}") = 0',
    ])  # fmt: skip
    assert writes_in(seen, tmp_path, {"heads.txt": 8}) == [
        Write("write", "heads.txt", at=8, data=b"north 2"),
        Write("sync", "heads.txt"),
        Write("say", data=b"kept"),
        Write("rename", "heads.txt", "old"),
    ]


def test_a_call_that_is_not_known_is_no_omission(tmp_path: Path) -> None:
    name = "".join(f"\\x{each:02x}" for each in b"photo")
    seen = f'openat(AT_FDCWD, "{name}", O_WRONLY|O_CREAT, 0644) = 5\nsendfile(5, 4, NULL, 9) = 9\n'
    with pytest.raises(RuntimeError, match="not known"):
        writes_in(seen, tmp_path, {})
