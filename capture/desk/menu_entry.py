"""The program in the desktop's menu: an entry and an icon in the user's own folders.

Written as the Desktop Entry Specification 1.5 and the Icon Theme Specification 0.13 ask
(freedesktop.org). Nothing is written outside the user's data folder.
"""

import os
import re
import sys
from importlib.resources import files
from pathlib import Path

ENTRY = Path("applications/benchproof.desktop")
ICON = Path("icons/hicolor/scalable/apps/benchproof.svg")
_RESERVED = re.compile(r"""[\s"'\\><~|&;$*?#()`]""")


def add_to_menu(data_home: Path, command: list[str]) -> Path:
    """Write entry and icon below ``data_home`` and return where the entry is.

    ``command`` starts the program. Raises OSError where the folder can't be written.
    """
    icon = data_home / ICON
    icon.parent.mkdir(parents=True, exist_ok=True)
    icon.write_bytes(files("capture.desk.look").joinpath("benchproof.svg").read_bytes())
    entry = data_home / ENTRY
    entry.parent.mkdir(parents=True, exist_ok=True)
    entry.write_text(entry_text(command), encoding="utf-8")
    return entry


def entry_text(command: list[str]) -> str:
    """Return the desktop entry that starts ``command``, with a book's folder if one is dropped."""
    return "\n".join([
        "[Desktop Entry]",
        "Type=Application",
        "Name=Benchproof",
        "GenericName=Engine reassembly evidence",
        "Comment=Photos, readings and proof for engine reassembly",
        f"Exec={' '.join(map(quoted, command))} desk %f",
        "Icon=benchproof",
        "Terminal=false",
        "Categories=Office;",
        "Keywords=engine;measurement;photo;",
        "StartupWMClass=benchproof",
        "",
    ])  # fmt: skip


def quoted(word: str) -> str:
    """Return one word of an Exec line, quoted where the specification asks for it."""
    word = word.replace("%", "%%")
    if not _RESERVED.search(word):
        return word
    # Quoting first, then the escaping of a string value: a backslash ends up as four.
    inner = re.sub(r'(["`$\\])', r"\\\1", word).replace("\\", "\\\\")
    return f'"{inner}"'


def data_home() -> Path:
    """Return the user's data folder (XDG Base Directory Specification 0.8)."""
    named = os.environ.get("XDG_DATA_HOME", "")
    return Path(named) if named.startswith("/") else Path.home() / ".local" / "share"


def own_command() -> list[str]:
    """Return what starts this program again."""
    beside = Path(sys.executable).with_name("benchproof")
    return [str(beside)] if beside.exists() else [sys.executable, "-m", "capture"]
