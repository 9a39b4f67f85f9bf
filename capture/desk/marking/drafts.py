"""Marks that were placed and not accepted yet: kept for the day they are gone on with.

They are nobody's evidence and stand in no book: a file each in the user's state folder, and a copy
at hand in case that folder can't be written.
"""

import hashlib
from collections.abc import Mapping
from pathlib import Path

import msgspec
from msgspec import Struct
from platformdirs import user_state_path

from annotate.errors import AnnotateError
from annotate.marks import Layer
from store.files.halfmade import replace_file


class Draft(Struct, frozen=True, omit_defaults=True):
    """Marks of one person on one photo for one check, and the sizes typed for them."""

    book: str
    key: str
    photo: str
    by: str
    layer: Layer
    second_to: str = ""
    typed: Mapping[str, str] = {}
    flat: bool | None = None


class Drafts:
    """The drafts of one desk."""

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder or user_state_path("benchproof") / "marks"
        self._at_hand: dict[str, Draft] = {}

    def keep(self, draft: Draft) -> bool:
        """Keep a draft in the place of the one before; False if it is kept at hand only."""
        name = _name(draft.book, draft.key, draft.photo, draft.second_to)
        self._at_hand[name] = draft
        file = self._folder / name
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            replace_file(file, msgspec.json.encode(draft))
        except OSError:
            return False
        return True

    def find(
        self, book: str, key: str, photo: str, *, by: str, second_to: str = ""
    ) -> Draft | None:
        """Return the draft that somebody left, None if there is none or it can't be read.

        Second marks are one person's: another one's are not shown.
        """
        name = _name(book, key, photo, second_to)
        draft = self._at_hand.get(name) or self._read(name)
        if draft is None or (second_to and draft.by != by):
            return None
        same = (draft.book, draft.key, draft.photo, draft.second_to)
        return draft if same == (book, key, photo, second_to) else None

    def drop(self, book: str, key: str, photo: str, second_to: str = "") -> None:
        """Forget a draft: its marks were accepted, or thrown away."""
        name = _name(book, key, photo, second_to)
        self._at_hand.pop(name, None)
        try:
            (self._folder / name).unlink(missing_ok=True)
        except OSError:
            return  # it is offered again, which loses nothing

    def _read(self, name: str) -> Draft | None:
        try:
            return msgspec.json.decode((self._folder / name).read_bytes(), type=Draft)
        except (OSError, msgspec.MsgspecError, UnicodeError, AnnotateError):
            return None


def _name(book: str, key: str, photo: str, second_to: str) -> str:
    told = f"{book}\n{key}\n{photo}\n{second_to}"
    return f"{hashlib.sha256(told.encode()).hexdigest()[:32]}.json"
