"""Answers that were worked out before, kept for the next time the very same thing is asked.

A long round takes a moment to work out and is looked at often. Its lines, and what each hold point
stands at, are kept under a hash of all they follow from: every byte of the ledger (hashed anew each
time), which photos and papers there are, this program's own files, and what was asked. They lie in
this user's own cache folder and never in the book: a book that comes from elsewhere brings no
answers along, and who can write to that folder could as well change the program. A file there that
another user owns or may write to, that is damaged, or that lay under another name, is as none. All
may be deleted at any time.
"""

import hashlib
import os
import sys
from contextlib import suppress
from pathlib import Path

_MOST = 64
HOLDS = "hold points"


def round_question(*, only_open: bool = False, at: str = "") -> str:
    """Return under which question a round's lines are kept."""
    return f"round, open {only_open}, at {at}"


class KeptAnswer:
    """The place of one answer: ``text`` is what was kept, None if nothing was.

    ``there`` is the book's fingerprint; under an empty one nothing is kept or found.
    """

    def __init__(self, there: str, question: str) -> None:
        self._name = _name(there, question)
        self.text = _read(self._name) if self._name else None

    def keep(self, text: str) -> None:
        """Keep an answer, which must have been worked out from a book of that fingerprint."""
        if not self._name:
            return
        content = text.encode("utf-8", "surrogatepass")
        # An answer that could not be kept is worked out again: nobody need know.
        with suppress(OSError):
            _write(_folder(), self._name, _digest(self._name, content) + b"\n" + content)


def _name(there: str, question: str) -> str:
    """Return the name of an answer, empty where it could not be told when it no longer holds."""
    program = _program() if there else ""
    return _digest(there, f"{program} {question}".encode()).decode() if program else ""


def _program() -> str:
    """Return what tells this program from any other version of it, or of what it stands on."""
    home = Path(__file__).parents[2]
    stamps = [sys.version]
    try:
        for room in ("annotate", "capture", "store"):
            for folder, _, names in os.walk(home / room):
                for name in sorted(name for name in names if name.endswith(".py")):
                    seen = Path(folder, name).stat()
                    # The time of change too: a copy may have been given the time of writing.
                    times = f"{seen.st_mtime_ns} {seen.st_ctime_ns}"
                    stamps.append(f"{folder}/{name} {seen.st_size} {times}")
    except OSError:
        return ""
    return _digest("", "\n".join(stamps).encode("utf-8", "surrogateescape")).decode()


def _folder() -> Path:
    """Return the folder of all answers; raises OSError for a user who has no home."""
    cache = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    try:
        return Path(cache or Path("~/.cache").expanduser()) / "benchproof"
    except RuntimeError as error:
        raise OSError from error


def _read(name: str) -> str | None:
    try:
        path = _folder() / name
        with path.open("rb") as file:
            is_own = _is_own(os.fstat(file.fileno())) and _is_own(path.parent.stat())
            digest, _, content = file.read().partition(b"\n")
        is_sound = is_own and _digest(name, content) == digest
        return content.decode("utf-8", "surrogatepass") if is_sound else None
    except (OSError, UnicodeError):
        return None


def _is_own(seen: os.stat_result) -> bool:
    """Return whether nobody but this user can have written there."""
    if os.name != "posix":
        return True  # the folder lies in the user's profile, whose rights are not told like that
    return seen.st_uid == os.getuid() and not seen.st_mode & 0o022


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


def _digest(name: str, content: bytes) -> bytes:
    """Return a hash that also tells whose content it is."""
    return hashlib.sha256(name.encode() + b"\n" + content).hexdigest().encode()
