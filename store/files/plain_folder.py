"""A book's folder holds plain files and folders: a link, a pipe or a stranger's journal does harm.

A link leads writing out of the book, a pipe holds whoever opens it for ever. SQLite acts on what
lies beside a database before the first line is read: a journal may name another file, which SQLite
then deletes ("Database File Format" of sqlite.org, section 3), and a write-ahead log may hold
other rows than the database. This program makes neither, so both are refused unopened.
"""

import errno
import os
import stat
from pathlib import Path

from store.errors import Damaged
from store.files.locked_file import read_aside

# What a rollback journal ends with when it names a journal above it (section 3, same page).
_ENDS_WITH_NAME = bytes.fromhex("d9d505f920a163d7")
_FILE_FORMAT = slice(18, 20)  # 1 for a rollback journal, 2 for a write-ahead log (section 1.3.3)


def check_plain(root: Path, database: str) -> None:
    """Raise Damaged if a book's folder, or what lies beside its database, is not plain."""
    with os.scandir(root) as listed:
        strange = min((each.name for each in listed if not _is_plain(each)), default="")
    if strange:
        raise Damaged(
            f"{strange!a} in {root} is a link, a pipe or a device: a book holds plain files "
            "and folders only; take it out, or go back to a sound copy."
        )
    path = root / database
    if (root / f"{database}-wal").exists() or _is_for_a_log(path):
        raise Damaged(
            f"{database} in {root} was written by another program, with a write-ahead log, which "
            "is not read: go back to a sound copy."
        )
    if _names_another_file(root / f"{database}-journal"):
        raise Damaged(
            f"{database}-journal in {root} names another file to be deleted, which no book's "
            "journal does: take it out, or go back to a sound copy."
        )


def not_plain(root: Path) -> list[str]:
    """Return the path of everything below a folder that is neither file nor folder, in order."""
    found: list[str] = []
    waiting = [root]
    while waiting:
        with os.scandir(waiting.pop()) as listed:
            for each in listed:
                if each.is_dir(follow_symlinks=False):
                    waiting.append(Path(each.path))
                elif not _is_plain(each):
                    found.append(Path(each.path).relative_to(root).as_posix())
    return sorted(found)


def _is_plain(each: "os.DirEntry[str]") -> bool:
    try:
        mode = each.stat(follow_symlinks=False).st_mode
    except FileNotFoundError:
        return True  # gone since it was listed: another program that writes makes and takes away
    return stat.S_ISREG(mode) or stat.S_ISDIR(mode)


def _is_for_a_log(database: Path) -> bool:
    if not database.exists():
        return False
    with read_aside(database) as file:
        return 2 in file.read(_FILE_FORMAT.stop)[_FILE_FORMAT]  # noqa: PLR2004 - see above


def _names_another_file(journal: Path) -> bool:
    try:
        with journal.open("rb") as file:
            file.seek(-len(_ENDS_WITH_NAME), os.SEEK_END)
            return file.read() == _ENDS_WITH_NAME
    except OSError as error:
        if error.errno in {errno.ENOENT, errno.EINVAL}:  # none there, or shorter than that
            return False
        raise
