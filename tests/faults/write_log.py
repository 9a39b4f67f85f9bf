"""What a traced act did to the disk: strace's lines -> a list of writes, in order.

Every call that changes a file or a folder is read; one that this module does not know and that
changes what lies in the shop is an error, not an omission.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

CALLS = (
    "openat", "close", "lseek", "write", "pwrite64", "ftruncate", "fsync", "fdatasync", "?rename",
    "?renameat", "?renameat2", "?link", "?linkat", "?unlink", "?unlinkat", "?rmdir", "?mkdir",
    "?mkdirat", "?sendfile", "?copy_file_range", "?writev", "?pwritev", "?fallocate", "?symlink",
)  # fmt: skip
OPTIONS = ("-xx", "-s", "50000000", "-e", f"trace={','.join(CALLS)}")
_LINE = re.compile(r"^(\w+)\((.*)\)\s+= (-?\d+)")
_TEXT = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')
_STDOUT = 1


class Write(NamedTuple):
    """One change: ``kind`` is create, write, cut, sync, rename, link, unlink, mkdir, rmdir or say.

    ``data`` goes to ``at`` (bytes); a file is cut to ``at`` bytes; ``to`` is the new path.
    """

    kind: str
    path: str = ""
    to: str = ""
    at: int = 0
    data: bytes = b""


class _Open:
    """An open file: its path when it was opened, where the next write goes."""

    def __init__(self, path: str, *, appends: bool) -> None:
        self.path, self.appends, self.at = path, appends, 0


class _Reader:
    def __init__(self, shop: Path) -> None:
        self._shop = str(shop)
        self._open: dict[int, _Open] = {}
        self._size: dict[str, int] = {}

    def read(self, name: str, given: str, result: int) -> Iterator[Write]:
        """Yield what one call that succeeded did."""
        texts = [bytes.fromhex(each.replace("\\x", "")) for each in _TEXT.findall(given)]
        words = [word.strip() for word in _TEXT.sub("T", given).split(",")]
        if name in {"openat", "mkdir", "mkdirat", "unlink", "unlinkat", "rmdir"}:
            yield from self._one_path(name, words, texts[0].decode(), result)
        elif name in {"rename", "renameat", "renameat2", "link", "linkat"}:
            firsts = [word for word in words if word == "T" or word.startswith("AT_FDCWD")]
            if any(word.isdigit() for word in words[:1]) or not firsts:
                raise RuntimeError(f"{name} by an open folder is not known here")
            old, new = (self._whole("AT_FDCWD", text.decode()) for text in texts)
            if name.startswith("rename"):
                self._size[new] = self._size.pop(old, 0)
                for each in self._open.values():
                    each.path = new if each.path == old else each.path
            else:
                self._size[new] = self._size.get(old, 0)
            yield Write("rename" if name.startswith("rename") else "link", old, new)
        elif name == "close":
            self._open.pop(int(words[0]), None)
        else:
            yield from self._to_open(name, words, texts[0] if texts else b"", result)

    def _one_path(self, name: str, words: list[str], text: str, result: int) -> Iterator[Write]:
        path = self._whole(words[0], text)
        if name == "openat":
            self._open[result] = _Open(path, appends="O_APPEND" in words[2])
            if "O_CREAT" in words[2]:
                yield Write("create", path)
            if "O_TRUNC" in words[2]:
                self._size[path] = 0
                yield Write("cut", path)
        elif name.startswith("mkdir"):
            yield Write("mkdir", path)
        elif name == "rmdir" or (name == "unlinkat" and "AT_REMOVEDIR" in words[-1]):
            yield Write("rmdir", path)
        else:
            self._size.pop(path, None)
            yield Write("unlink", path)

    def _to_open(self, name: str, words: list[str], data: bytes, result: int) -> Iterator[Write]:
        number = int(words[0])
        if name == "write" and number == _STDOUT:
            yield Write("say", data=data)
            return
        file = self._open.get(number)
        if file is None:
            return
        if name == "lseek":
            file.at = result
        elif name in {"write", "pwrite64"}:
            yield self._written(file, data[:result], at=int(words[3]) if name[0] == "p" else None)
        elif name == "ftruncate":
            self._size[file.path] = int(words[1])
            yield Write("cut", file.path, at=int(words[1]))
        elif name in {"fsync", "fdatasync"}:
            yield Write("sync", file.path)
        elif self._below(file.path) not in {"", "tmp"}:
            raise RuntimeError(f"{name} on {file.path} is not known here")

    def _written(self, file: _Open, data: bytes, at: int | None) -> Write:
        place = at
        if place is None:
            place = self._length(file.path) if file.appends else file.at
            file.at = place + len(data)
        self._size[file.path] = max(self._length(file.path), place + len(data))
        return Write("write", file.path, at=place, data=data)

    def _length(self, path: str) -> int:
        return self._size.get(path, 0)

    def know(self, path: str, size: int) -> None:
        """Say how long a file was before the first call."""
        self._size[path] = size

    def _below(self, path: str) -> str:
        """Return the first folder of a path in the shop, empty for one outside."""
        return path.removeprefix(f"{self._shop}/").partition("/")[0] if self._shop in path else ""

    def _whole(self, folder: str, text: str) -> str:
        if text.startswith("/"):
            return text
        base = self._open[int(folder)].path if folder.isdigit() else self._shop
        return f"{base}/{text}"


def writes_in(seen: str, shop: Path, sizes: dict[str, int]) -> list[Write]:
    """Return what strace saw an act do below its shop, and what it said; paths are below the shop.

    ``sizes`` are the sizes of the files that were there, by path below the shop.
    """
    reader = _Reader(shop)
    for path, size in sizes.items():
        reader.know(f"{shop}/{path}", size)
    found = []
    for line in seen.splitlines():
        if (call := _LINE.match(line)) and int(call[3]) >= 0:
            found += reader.read(call[1], call[2], int(call[3]))
    below = f"{shop}/"
    return [
        each._replace(path=each.path.removeprefix(below), to=each.to.removeprefix(below))
        for each in found
        if each.kind == "say" or each.path == str(shop) or each.path.startswith(below)
    ]
