"""Where a new book goes."""

import re
import unicodedata
from pathlib import Path

from platformdirs import user_documents_path

from capture.errors import Unfit

_LONGEST = 60


def jobs_folder(books: list[Path]) -> Path:
    """Return the folder for new books: where the last one lies, else one in the documents."""
    return books[0].parent if books else user_documents_path() / "Benchproof jobs"


def book_name(number: str, engine: str) -> str:
    """Return "0417-fennmoor": the job's number and the engine's first word."""
    first = engine.split(maxsplit=1)[0] if engine.split() else ""
    name = "-".join(word for word in (_plain(number), _plain(first)) if word)
    return name[:_LONGEST].strip("-") or "job"


def short_path(path: Path) -> str:
    """Return the last two names of a path, enough to know it by."""
    return "/".join(path.parts[-2:])


def refuse_taken(root: Path) -> None:
    """Raise Unfit where a folder holds something already; the book itself is asked again."""
    try:
        taken = root.exists() and (not root.is_dir() or any(root.iterdir()))
    except OSError as error:
        why = (error.strerror or "it can't be looked into").lower()
        raise Unfit({"folder": f"{root}: {why}; choose another folder"}) from error
    if taken:
        raise Unfit({"folder": f"{short_path(root)} holds something already: name another"})


def _plain(words: str) -> str:
    # NFKD, so that an accented letter leaves its letter: a folder must be read on any disk.
    bare = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode()
    return re.sub("[^a-z0-9]+", "-", bare.lower()).strip("-")
