"""Asking for a folder or a file, with the system's own dialog."""

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget


def ask_folder(parent: QWidget, words: str, start: Path) -> Path | None:
    """Return the folder that was chosen, None if none was."""
    chosen = QFileDialog.getExistingDirectory(parent, words, str(_there(start)))
    return Path(chosen) if chosen else None


def ask_file(parent: QWidget, words: str, start: Path, kinds: str = "") -> Path | None:
    """Return the file that was chosen, None if none was; ``kinds`` as Qt writes a filter."""
    chosen, _ = QFileDialog.getOpenFileName(parent, words, str(_there(start)), kinds)
    return Path(chosen) if chosen else None


def _there(folder: Path) -> Path:
    """Return the folder, or the nearest above it that is there: a dialog begins somewhere."""
    return next((each for each in (folder, *folder.parents) if each.is_dir()), Path.home())
