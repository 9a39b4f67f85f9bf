"""Where a verb may write a file: not into a book, and not over anything but its own kind."""

from collections.abc import Callable
from pathlib import Path

from capture.errors import WrongUse
from store.files.notice import FORMAT_NAME
from store.ledger import FILE_NAME


def refuse_to_lose(target: Path, kind: str, is_one: Callable[[Path], bool]) -> None:
    """Raise WrongUse for a place where a file would overwrite or hide something else.

    ``kind`` is "a PDF", say; a file that is one already is overwritten.
    """
    whole = target.resolve()
    name = kind.partition(" ")[2]
    for folder in (whole, *whole.parents):
        if any((folder / each).exists() for each in (FILE_NAME, FORMAT_NAME)):
            raise WrongUse(
                f"{target} is inside the book {folder}, which holds evidence and nothing else: "
                "name a file in another folder"
            )
    if whole.is_dir():
        raise WrongUse(f"{target} is a folder: name the {name} file to write in it")
    if not whole.parent.exists():
        raise WrongUse(f"there is no folder {whole.parent}: make it first, or name another")
    # Not a file: a pipe, which would hold the program until somebody writes to it.
    if whole.exists() and not (whole.is_file() and is_one(whole)):
        raise WrongUse(f"{target} is there and is not {kind}: it is not overwritten, name another")


def begins(path: Path, start: bytes) -> bool:
    """Return whether a file begins with these bytes, letters of either case."""
    with path.open("rb") as file:
        return file.read(len(start)).lower() == start.lower()
