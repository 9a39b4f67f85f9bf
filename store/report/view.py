"""What the report needs of a book; ``store.book.Book`` has it."""

from pathlib import Path
from typing import Protocol

from store.codec import Entry
from store.round import Round
from store.told.telling import Telling


class BookView(Protocol):
    """A book as the report reads it: nothing is written to it. ``root`` is its folder."""

    root: Path

    @property
    def told(self) -> Telling:
        """What the entries tell, sorted by what they speak of."""

    def round(self) -> Round:
        """Return the state of the job."""

    def entries(self) -> tuple[Entry, ...]:
        """Return every entry in order of arrival."""

    def photo_path(self, photo: str) -> Path:
        """Return where a photo's file is; raises PhotoMissing."""
