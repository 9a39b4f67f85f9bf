"""What the window remembers between two days: its look, and where somebody was in which book."""

from pathlib import Path
from typing import Literal

import msgspec
from msgspec import Struct
from platformdirs import user_config_path

SCALES = (100, 125, 150, 175, 200, 225, 250)  # per cent
_MOST_BOOKS = 20


class Memory(Struct):
    """``here`` is the key last worked at, by the book's folder, the newest last."""

    theme: Literal["system", "light", "dark"] = "system"
    scale: int = 100
    here: dict[str, str] = {}
    watched: str = ""
    camera: int = -1
    width: int = 0
    height: int = 0

    def books(self) -> list[Path]:
        """Return the books that were open, the last one first, without those that are gone."""
        return [path for path in map(Path, reversed(self.here)) if path.is_dir()]

    def at(self, book: Path, key: str) -> None:
        """Remember where somebody is in a book."""
        self.here.pop(str(book), None)
        self.here[str(book)] = key
        for oldest in list(self.here)[:-_MOST_BOOKS]:
            del self.here[oldest]


def memory_file() -> Path:
    """Return where it is kept."""
    return user_config_path("benchproof") / "desk.json"


def recall() -> Memory:
    """Return what is remembered; a file that can't be read is as good as none."""
    try:
        return msgspec.json.decode(memory_file().read_bytes(), type=Memory)
    except (OSError, msgspec.MsgspecError, UnicodeError):
        return Memory()


def keep(memory: Memory) -> None:
    """Write it down; nothing of the job depends on it, so a full disk is not told here."""
    file = memory_file()
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        part = file.with_suffix(".part")
        part.write_bytes(msgspec.json.format(msgspec.json.encode(memory), indent=2))
        part.replace(file)
    except OSError:
        return
