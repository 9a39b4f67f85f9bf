"""Names that files in a pack may have, the same on every system; anything else is refused."""

import re
from collections.abc import Iterable

from store.errors import BadPack

_LONGEST_PATH, _LONGEST_NAME, _DEEPEST = 240, 120, 8
_PLAIN = re.compile(r"[A-Za-z0-9._ ()+,=@~#-]+")
# Devices of one system: a file of that name is none there, whatever comes after the first dot.
_RESERVED = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|com\d|lpt\d)", re.IGNORECASE)


def check_name(path: str) -> None:
    """Raise BadPack unless a path names a file below the pack's folder and nothing else.

    Parts are joined by "/"; each is of plain letters, figures and a few signs, is no device, and
    ends neither in a dot nor in a blank.
    """
    shown = ascii(path[:80])
    if "\0" in path:
        raise BadPack(f"the name {shown} has a NUL in it")
    if path.startswith(("/", "\\")) or re.match("[A-Za-z]:", path):
        raise BadPack(f"the name {shown} is an absolute one")
    parts = path.split("/")
    if ".." in parts or "." in parts or "" in parts:
        raise BadPack(f'the name {shown} has an empty part, "." or ".." in it')
    if len(path) > _LONGEST_PATH or len(parts) > _DEEPEST or max(map(len, parts)) > _LONGEST_NAME:
        raise BadPack(f"the name {shown} is too long or too deep")
    for part in parts:
        if not _PLAIN.fullmatch(part):
            raise BadPack(f"the name {shown} has a letter in it that not every system takes")
        if part[-1] in ". " or _RESERVED.fullmatch(part.partition(".")[0].rstrip()):
            raise BadPack(f"the name {shown} is reserved, or ends in a dot or blank")


def check_names(paths: Iterable[str]) -> None:
    """Raise BadPack for a bad name, one that is there twice, or two that some systems take for one.

    A file may not have the name of another's folder either.
    """
    files: dict[str, str] = {}
    folders: dict[str, str] = {}
    for path in paths:
        check_name(path)
        small = path.lower()
        if files.get(small) == path:
            raise BadPack(f"{path} is there twice")
        if small in files:
            raise BadPack(f"{path} differs from {files[small]} in case only")
        files[small] = path
        parts = path.split("/")
        for depth in range(1, len(parts)):
            folder = "/".join(parts[:depth])
            if folders.setdefault(folder.lower(), folder) != folder:
                raise BadPack(f"the folder {folder} differs from another in case only")
    both = files.keys() & folders.keys()
    if both:
        raise BadPack(f"{files[min(both)]} is both a file and a folder")
