"""A stranger's pack on the table: unpacked into a folder of its own, or looked at where it is.

Nothing is written outside that folder, nothing in the pack is run or opened as a database, and no
link is followed.
"""

import os
import stat
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from store.errors import BadPack, NotAPack
from store.files.disk import check_room
from store.files.halfmade import Scratch
from store.pack.bag import DECLARATION_NAME, MANIFEST_NAME, TAG_MANIFEST_NAME
from store.pack.names import check_names
from store.pack.zip_entries import (
    LARGEST_FILE_BYTES,
    LARGEST_PACK_BYTES,
    MOST_FILES,
    check_entries,
    files_of,
)
from store.photos import CHUNK_BYTES

Tell = Callable[[int, int], None]


@contextmanager
def staged(path: Path, tell: Tell) -> Iterator[Path]:
    """Give the folder of a pack, which holds bagit.txt; a zip's is gone when the block ends.

    ``tell`` gets (unpacked, of). Raises NotAPack, BadPack with the reason, CannotWrite when there
    is no room.
    """
    if path.is_dir() and not path.is_symlink():
        _check_folder(path)
        yield path
        return
    if not path.is_file():
        raise NotAPack(f"{path} is no pack: there is no such file or folder")
    try:
        check_entries(path)
    except NotAPack as error:
        raise NotAPack(f"{path} is no pack: {error}") from error
    with Scratch("unpacked") as scratch:
        _unpack(path, scratch, tell)
        yield _top(scratch)


def is_pack(folder: Path) -> bool:
    """Return whether a folder has a trace of a pack: what is missing is for the check to find."""
    names = (DECLARATION_NAME, MANIFEST_NAME, TAG_MANIFEST_NAME)
    return any((folder / name).is_file() for name in names)


def files_below(root: Path) -> list[str]:
    """Return the path of every file below a folder, with "/" between, in order; no link followed.

    Raises BadPack for what is neither a file nor a folder.
    """
    found: list[str] = []
    waiting = [root]
    while waiting:
        with os.scandir(waiting.pop()) as listed:
            for each in listed:
                mode = each.stat(follow_symlinks=False).st_mode
                name = Path(each.path).relative_to(root).as_posix()
                if stat.S_ISDIR(mode):
                    waiting.append(Path(each.path))
                elif stat.S_ISREG(mode):
                    found.append(name)
                else:
                    raise BadPack(f"{name[:80]!a} is a link or a device, not a file")
                if len(found) + len(waiting) > MOST_FILES:
                    raise BadPack(f"it holds more than {MOST_FILES} files")
    return sorted(found)


def _check_folder(root: Path) -> None:
    if not is_pack(root):
        raise NotAPack(f"{root} is no pack: there is no {DECLARATION_NAME} in it")
    names = files_below(root)
    check_names(names)
    sizes = [(root / name).stat().st_size for name in names]
    if max(sizes) > LARGEST_FILE_BYTES or sum(sizes) > LARGEST_PACK_BYTES:
        raise BadPack(f"it has a file of more than {LARGEST_FILE_BYTES} bytes, or too many of them")


def _top(scratch: Path) -> Path:
    """Return the folder that holds the bag: the one folder in the zip, or the zip's own top."""
    if is_pack(scratch):
        return scratch
    inside = list(scratch.iterdir())
    if len(inside) != 1 or not is_pack(inside[0]):
        raise NotAPack(f"the zip is no pack: it is not one folder with a {DECLARATION_NAME} in it")
    return inside[0]


def _unpack(path: Path, scratch: Path, tell: Tell) -> None:
    try:
        with zipfile.ZipFile(path) as archive:
            files = files_of(archive)
            check_room(scratch, sum(info.file_size for info in files), "the unpacked pack")
            for number, info in enumerate(files, start=1):
                _unpack_one(archive, info, scratch / info.filename)
                tell(number, len(files))
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError) as error:
        raise BadPack(f"the zip is damaged: {error}") from error


def _unpack_one(archive: zipfile.ZipFile, info: zipfile.ZipInfo, target: Path) -> None:
    """Write one file whose name was checked; no more bytes than were declared, and no fewer."""
    target.parent.mkdir(parents=True, exist_ok=True)
    left = info.file_size
    with archive.open(info) as source, target.open("xb") as out:
        while chunk := source.read(CHUNK_BYTES):
            left -= len(chunk)
            if left < 0:
                raise BadPack(f"{info.filename} unpacks to more than its declared size")
            out.write(chunk)
    if left:
        raise BadPack(f"{info.filename} unpacks to less than its declared size")
