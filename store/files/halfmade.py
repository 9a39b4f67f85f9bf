"""What is being made: under a passing name, held by a lock until it is there or given up.

A program that is killed leaves what it was making behind. The lock ends with its process, so the
next one that makes the same can tell what nobody is making any more, and takes that away. Nothing
else is ever taken away, and nothing that bears its own name.
"""

import glob
import os
import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from store.files.disk import sync_folder, write_all

_SCRATCH = "benchproof-"
_CAN_TELL = os.name == "posix"  # elsewhere nothing is locked, and an open file can't be removed


def lock(descriptor: int) -> bool:
    """Lock an open file or folder as being made; False if another program holds it."""
    if not _CAN_TELL:
        return True
    import fcntl  # noqa: PLC0415 - not there on every system

    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold a file or folder as being made while the block runs; raises OSError."""
    if not _CAN_TELL:
        yield
        return
    descriptor = os.open(path, os.O_RDONLY)
    try:
        lock(descriptor)
        yield
    finally:
        os.close(descriptor)


@contextmanager
def passing_name(target: Path) -> Iterator[Path]:
    """Give a free name beside ``target`` to make it under; whatever bears it at the end is gone.

    What killed programs have left of this very target is taken away first.
    """
    clear_left_of(target)
    part = target.with_name(f".{target.name}.{secrets.token_hex(6)}.part")
    try:
        yield part
    finally:
        _clear(part)


def clear_left_of(target: Path) -> None:
    """Take away what killed programs have left of this very target, and are not making now."""
    for part in target.parent.glob(f".{glob.escape(target.name)}.*.part"):
        _clear_if_left(part)


def clear_left_below(folder: Path) -> None:
    """Take away what killed programs have left of anything below a folder of this program's own."""
    for part in folder.rglob(".*.part"):
        _clear_if_left(part)


def clear_left_scratch(place: Path) -> None:
    """Take away the folders for passing needs that killed programs have left in a place."""
    for folder in place.glob(f"{_SCRATCH}*-*"):
        if folder.is_dir():
            _clear_if_left(folder)


def replace_file(path: Path, content: bytes, mode: int = 0o644) -> None:
    """Write a file whole or not at all, durably, in the place of one that is there.

    Raises OSError; then what was there before is there still.
    """

    def take_the_place(part: Path) -> None:
        part.replace(path)

    write_whole(path, content, mode, take_the_place)


def write_whole(path: Path, content: bytes, mode: int, named: Callable[[Path], None]) -> None:
    """Write a file durably under a passing name, and have ``named`` give it its own.

    It is held until it has that: others that make the same may look for what was left meanwhile.
    Raises OSError.
    """
    while not _written(path, content, mode, named):
        pass  # another program took it for left before it was held
    sync_folder(path.parent)


def _written(path: Path, content: bytes, mode: int, named: Callable[[Path], None]) -> bool:
    with passing_name(path) as part:
        descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
        try:
            if not (lock(descriptor) and is_still(part, descriptor)):
                return False
            write_all(descriptor, content)
            os.fsync(descriptor)
            if _CAN_TELL:
                named(part)
        finally:
            os.close(descriptor)
        if not _CAN_TELL:
            named(part)
    return True


def is_still(path: Path, descriptor: int) -> bool:
    """Return whether a path still names the file or folder that is open."""
    with suppress(FileNotFoundError):
        return os.path.samestat(os.fstat(descriptor), path.stat())
    return False


class Scratch:
    """A folder for what is needed only now, where such folders lie: gone when it is closed.

    ``what`` tells what for. What killed programs have left is taken away first. In a ``with`` it
    gives its path. Raises OSError.
    """

    def __init__(self, what: str) -> None:
        import tempfile  # noqa: PLC0415 - 10 ms, for a pack or a page only

        clear_left_scratch(Path(tempfile.gettempdir()))
        self._descriptor: int | None = None
        self.path = Path(tempfile.mkdtemp(prefix=f"{_SCRATCH}{what}-"))
        while not self._hold():  # another program took it for left before it was held
            self.path = Path(tempfile.mkdtemp(prefix=f"{_SCRATCH}{what}-"))

    def close(self) -> None:
        """Take the folder away."""
        _clear(self.path)
        self._let_go()

    def __enter__(self) -> Path:
        return self.path

    def __exit__(self, *_: object) -> None:
        self.close()

    def _hold(self) -> bool:
        if not _CAN_TELL:
            return True
        with suppress(FileNotFoundError):
            self._descriptor = os.open(self.path, os.O_RDONLY)
            if lock(self._descriptor) and is_still(self.path, self._descriptor):
                return True
        self._let_go()
        return False

    def _let_go(self) -> None:
        if self._descriptor is not None:
            os.close(self._descriptor)
            self._descriptor = None


def _clear_if_left(path: Path) -> None:
    """Take away what nobody holds, if it is this user's own."""
    if not _CAN_TELL and path.is_dir():
        return  # a folder in use can't be told from one that was left
    # Another program may finish it, or take the same away, this very moment.
    with suppress(OSError):
        if path.is_symlink() or not _is_own(path):
            return
        descriptor = os.open(path, os.O_RDONLY)
        try:
            if lock(descriptor):
                _clear(path)
        finally:
            os.close(descriptor)


def _is_own(path: Path) -> bool:
    return not _CAN_TELL or path.stat().st_uid == os.geteuid()


def _clear(path: Path) -> None:
    with suppress(OSError):
        if path.is_dir():
            import shutil  # noqa: PLC0415 - as above

            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)
