"""What the disk under a book can and can't do."""

import errno
import os
from pathlib import Path

import pytest

from store.errors import CannotWrite, NetworkFolder
from store.files import disk


def mounts(tmp_path: Path, *lines: str) -> Path:
    path = tmp_path / "mounts"
    path.write_text("".join(line + "\n" for line in lines))
    return path


@pytest.mark.parametrize(
    "kind",
    ["nfs", "nfs4", "cifs", "smb3", "9p", "fuse.sshfs", "davfs", "fuse.davfs2", "ceph", "afs"],
)
def test_a_known_network_file_system_is_refused_with_the_reason(tmp_path: Path, kind: str) -> None:
    table = mounts(tmp_path, "/dev/a / ext4 rw 0 0", f"host:/x {tmp_path} {kind} rw 0 0")
    with pytest.raises(NetworkFolder, match=f"network file system \\({kind}\\).*this computer"):
        disk.check_local(tmp_path, table)


@pytest.mark.parametrize("kind", ["ext4", "btrfs", "xfs", "tmpfs", "vfat", "ntfs3", "overlay"])
def test_a_known_local_file_system_needs_no_word(tmp_path: Path, kind: str) -> None:
    table = mounts(tmp_path, "host:/ / nfs rw 0 0", f"/dev/a {tmp_path} {kind} rw 0 0")
    assert disk.check_local(tmp_path, table) == ""


def test_an_unknown_file_system_gets_a_warning(tmp_path: Path) -> None:
    table = mounts(tmp_path, f"x {tmp_path} fuse.novelty rw 0 0")
    assert "(fuse.novelty)" in disk.check_local(tmp_path, table)
    assert "was not tested" in disk.check_local(tmp_path, tmp_path / "no such table")


def test_the_deepest_mount_decides_and_the_latest_of_equals(tmp_path: Path) -> None:
    inner = tmp_path / "share"
    inner.mkdir()
    table = mounts(
        tmp_path,
        "a / ext4 rw 0 0", f"b {inner} nfs rw 0 0", f"c {tmp_path} xfs rw 0 0",
        f"d {inner} cifs rw 0 0",
    )  # fmt: skip
    assert disk.file_system(inner / "book", table) == "cifs"
    assert disk.file_system(tmp_path / "book", table) == "xfs"
    assert disk.file_system(Path(str(inner) + "2"), table) == "xfs"


def test_a_mount_point_with_a_space_is_understood(tmp_path: Path) -> None:
    folder = tmp_path / "my share"
    folder.mkdir()
    escaped = str(folder).replace(" ", "\\040")
    table = mounts(tmp_path, "a / ext4 rw 0 0", f"b {escaped} nfs4 rw 0 0", "torn line", "")
    assert disk.file_system(folder, table) == "nfs4"


def test_a_link_is_followed_to_where_the_book_really_lies(tmp_path: Path) -> None:
    real, link = tmp_path / "real", tmp_path / "link"
    real.mkdir()
    link.symlink_to(real)
    table = mounts(tmp_path, f"a {tmp_path} ext4 rw 0 0", f"b {real} nfs rw 0 0")
    assert disk.file_system(link / "book", table) == "nfs"


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EDQUOT, "your share of the disk"),
        (errno.EROFS, "read-only"),
        (errno.EACCES, "permissions"),
        (errno.EPERM, "permissions"),
        (errno.EIO, "reports a fault"),
        (errno.EMFILE, "too many files"),
        (errno.ENFILE, "too many files"),
        (errno.ENOTDIR, "Not a directory"),
    ],
)
def test_a_failing_write_is_told_in_one_sentence(number: int, words: str) -> None:
    error = disk.cannot_write(OSError(number, os.strerror(number)), "the photo")
    assert isinstance(error, CannotWrite)
    assert str(error).startswith("the photo was not kept: ")
    assert words in str(error)
    assert str(error).count(".") == 1


def test_an_error_without_a_number_is_told_all_the_same() -> None:
    assert "a riddle" in str(disk.cannot_write(OSError("a riddle"), "it"))
    assert "a riddle" in str(disk.cannot_read(OSError("a riddle"), "it"))


def test_every_byte_is_written_though_each_call_takes_few(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = os.write
    monkeypatch.setattr(os, "write", lambda fd, data: write(fd, bytes(data[:3])))
    disk.write_text(tmp_path / "t", "every byte of it")
    disk.append_line(tmp_path / "t", "and more")  # a line of its own, though the last has no end
    assert (tmp_path / "t").read_text() == "every byte of it\nand more\n"


def test_a_line_that_got_half_written_is_taken_away_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "heads.txt"
    disk.append_line(path, "north 1 aa")
    write, calls = os.write, []

    def torn(descriptor: int, data: bytes) -> int:
        calls.append(len(data))
        if len(calls) > 1:
            raise OSError(errno.ENOSPC, "No space left on device")
        return write(descriptor, bytes(data[:4]))

    monkeypatch.setattr(os, "write", torn)
    with pytest.raises(OSError, match="No space left"):
        disk.append_line(path, "north 2 bb")
    assert path.read_text() == "north 1 aa\n"
