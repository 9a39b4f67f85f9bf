"""Answers that were worked out before, kept for the next time the very same thing is asked.

A long round takes a moment to work out and is looked at often. Its lines are kept under a hash of
all they follow from: every byte of the ledger (hashed anew each time), the photos there are, this
program's own files, and what was asked. They lie in this user's own cache folder and never in the
book: a book that comes from elsewhere brings no answers along, and who can write to that folder
could as well change the program. Nothing is decided from them, and all may be deleted at any time.
"""

import hashlib
import os
import sys
from contextlib import suppress
from pathlib import Path

from store.fingerprint import fingerprint

_MOST = 32


class KeptAnswer:
    """The place of one answer: ``text`` is what was kept, None if nothing was."""

    def __init__(self, book: Path, question: str) -> None:
        self._book, self._question = book, question
        self._name = _name(book, question)
        self.text = _read(_folder() / self._name) if self._name else None

    def keep(self, text: str) -> None:
        """Keep an answer, unless the book has changed since it was asked for."""
        if not self._name or _name(self._book, self._question) != self._name:
            return
        content = text.encode("utf-8", "surrogatepass")
        # An answer that could not be kept is worked out again: nobody need know.
        with suppress(OSError):
            _write(_folder(), self._name, _digest(content) + b"\n" + content)


def _name(book: Path, question: str) -> str:
    """Return the name of an answer, empty where it could not be told when it no longer holds."""
    there, program = fingerprint(book), _program()
    return _digest(f"{there} {program} {question}".encode()).decode() if there and program else ""


def _program() -> str:
    """Return what tells this program from any other version of it, or of what it stands on."""
    home = Path(__file__).parents[2]
    stamps = [sys.version]
    try:
        for room in ("annotate", "capture", "store"):
            for folder, _, names in os.walk(home / room):
                for name in sorted(name for name in names if name.endswith(".py")):
                    seen = Path(folder, name).stat()
                    stamps.append(f"{folder}/{name} {seen.st_size} {seen.st_mtime_ns}")
    except OSError:
        return ""
    return _digest("\n".join(stamps).encode("utf-8", "surrogateescape")).decode()


def _folder() -> Path:
    cache = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    return Path(cache or Path("~/.cache").expanduser()) / "benchproof"


def _read(path: Path) -> str | None:
    try:
        digest, _, content = path.read_bytes().partition(b"\n")
    except OSError:
        return None
    return content.decode("utf-8", "surrogatepass") if _digest(content) == digest else None


def _write(folder: Path, name: str, content: bytes) -> None:
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    new = folder / f"{name}.{os.getpid()}"
    descriptor = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(descriptor, "wb") as file:
        file.write(content)
    new.replace(folder / name)
    oldest_first = sorted(folder.iterdir(), key=lambda path: path.stat().st_mtime_ns)
    for path in oldest_first[:-_MOST]:
        path.unlink(missing_ok=True)


def _digest(content: bytes) -> bytes:
    return hashlib.sha256(content).hexdigest().encode()
