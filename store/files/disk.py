"""What the disk under a book can and can't do: room, durability, whose disk it is."""

import errno
import os
import re
from pathlib import Path

from store.errors import CannotRead, CannotWrite, NetworkFolder

MOUNTS = Path("/proc/mounts")
SPARE_BYTES = 4_000_000

_NETWORK = frozenset({
    "nfs", "nfs4", "cifs", "smb3", "smbfs", "ncpfs", "afs", "ceph", "9p", "davfs", "fuse.davfs",
    "fuse.davfs2", "fuse.sshfs", "fuse.rclone", "fuse.smbnetfs", "fuse.curlftpfs", "glusterfs",
    "fuse.glusterfs", "fuse.s3fs", "fuse.gvfsd-fuse",
})  # fmt: skip
_LOCAL = frozenset({
    "ext2", "ext3", "ext4", "btrfs", "xfs", "f2fs", "zfs", "bcachefs", "jfs", "reiserfs",
    "nilfs2", "tmpfs", "ramfs", "overlay", "vfat", "exfat", "msdos", "ntfs", "ntfs3", "fuseblk",
    "fuse.ntfs-3g", "hfsplus", "apfs", "udf", "iso9660", "squashfs", "erofs",
})  # fmt: skip
_WORDS = {
    errno.ENOSPC: "the disk is full: make room and do it again",
    errno.EDQUOT: "your share of the disk is used up: make room and do it again",
    errno.EFBIG: "the file would be larger than this system allows",
    errno.EROFS: "the disk is read-only: copy the book to one that can be written to",
    errno.EACCES: "this user may not write there: check the folder's permissions",
    errno.EPERM: "this user may not write there: check the folder's permissions",
    errno.EIO: "the disk reports a fault: copy the book to another disk and check this one",
    errno.EMFILE: "too many files are open: close other programs and do it again",
    errno.ENFILE: "too many files are open: close other programs and do it again",
}


def cannot_write(error: OSError, what: str) -> CannotWrite:
    """Return the error to raise when ``what`` could not be written: one sentence, what to do."""
    words = _WORDS.get(error.errno or 0, error.strerror or str(error))
    return CannotWrite(f"{what} was not kept: {words}.")


def cannot_read(error: OSError, what: str) -> CannotRead:
    """Return the error to raise when ``what`` could not be read in; nothing was kept."""
    return CannotRead(f"{what} could not be read ({error.strerror or error}); nothing was kept.")


def check_room(folder: Path, needed_bytes: int, what: str) -> None:
    """Refuse with CannotWrite unless the disk has room for this much and a little more."""
    import shutil  # noqa: PLC0415 - 10 ms, for a photo only

    try:
        free = shutil.disk_usage(folder).free
    except OSError as error:
        raise cannot_write(error, what) from error
    if free < needed_bytes + SPARE_BYTES:
        raise CannotWrite(
            f"{what} was not kept: the disk has {free / 1e6:.0f} MB left, "
            f"{(needed_bytes + SPARE_BYTES) / 1e6:.0f} MB are needed; make room and do it again."
        )


def check_local(folder: Path, mounts: Path | None = None) -> str:
    """Return a warning about the folder's file system, empty when it is a known local one.

    Raises NetworkFolder on a known network file system: two machines' locks and writes can't be
    trusted to be seen by each other there, and acknowledged entries have been lost.
    """
    kind = file_system(folder, mounts)
    if kind in _NETWORK:
        raise NetworkFolder(
            f"{folder} lies on a network file system ({kind}), where a lock can't be trusted: "
            "keep the book on this computer's own disk; a closed book may be copied there."
        )
    if kind in _LOCAL:
        return ""
    return (
        f"{folder} lies on a file system this program does not know"
        f"{f' ({kind})' if kind else ''}: whether entries survive a power cut there was not tested."
    )


def file_system(folder: Path, mounts: Path | None = None) -> str:
    """Return the type of the file system a folder lies on ("ext4"), empty if it can't be told."""
    try:
        table = (mounts or MOUNTS).read_text(encoding="utf-8", errors="surrogateescape")
    except OSError:
        return ""
    place = folder.resolve()
    best, kind = -1, ""
    for line in table.splitlines():
        _, mount_point, its_kind, *_ = [*line.split(" "), "", "", ""]
        mounted = Path(re.sub(r"\\([0-7]{3})", lambda m: chr(int(m[1], 8)), mount_point))
        # A later line hides an earlier mount on the same point.
        if place.is_relative_to(mounted) and len(mounted.parts) >= best:
            best, kind = len(mounted.parts), its_kind
    return kind


def make_folder(folder: Path, mode: int = 0o777) -> None:
    """Make a folder, and those above it that are missing, durably; raises OSError.

    One that is there is made durable too: who made it may have been killed before that.
    """
    missing = [each for each in folder.parents if not each.exists()]
    folder.mkdir(mode=mode, parents=True, exist_ok=True)
    for each in (folder, *missing):
        sync_folder(each.parent)


def sync_folder(folder: Path) -> None:
    """Make the names in a folder durable; without effect where folders can't be synced."""
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def write_all(descriptor: int, data: bytes) -> None:
    """Write every byte: one call may write less than it was given."""
    view = memoryview(data)
    while view:
        view = view[os.write(descriptor, view) :]


def append_line(path: Path, line: str) -> None:
    """Append one line to a text file and make it durable; raises OSError.

    A line that got half written is taken away again, as far as that still works; behind one that
    a power cut has torn off, a new line is begun.
    """
    is_new = not path.exists()
    descriptor = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT, 0o644)
    try:
        size = os.fstat(descriptor).st_size
        is_torn = size > 0 and _last_byte(descriptor) != b"\n"
        try:
            write_all(descriptor, b"\n" * is_torn + line.encode() + b"\n")
        except OSError:
            os.ftruncate(descriptor, size)
            raise
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
    if is_new:
        sync_folder(path.parent)


def _last_byte(descriptor: int) -> bytes:
    os.lseek(descriptor, -1, os.SEEK_END)
    return os.read(descriptor, 1)


def write_text(path: Path, text: str) -> None:
    """Write a small text file and make it durable; raises OSError."""
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644)
    try:
        write_all(descriptor, text.encode())
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
    sync_folder(path.parent)
