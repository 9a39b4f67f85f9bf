"""A file on its way into the book, what was seen in it, what is asked about it. No Qt."""

import hashlib
from pathlib import Path
from typing import Literal

import msgspec
from msgspec import Struct

from annotate.pane.levels import PictureLevels, levels_of
from capture.errors import BadPhoto
from capture.intake.photo import Photo, read_photo
from capture.journey import Journey
from capture.tagged import tags_seen
from capture.words.refusals import sentence_of
from store.evidence import View
from store.plan import Role
from store.told.tags import tag_numbers

TAGS_PX = 4096  # longest side in which tags are looked for: a tag of 30 px there is read


class Here(Struct, frozen=True):
    """Where somebody was, and what the next photo was for there; empty where no location was.

    ``root`` is the book that was open.
    """

    location: str = ""
    role: Role | Literal[""] = ""
    root: Path | None = None


class Coming(Struct, frozen=True):
    """One file. ``location``, ``role`` and ``keys`` are what was said of it, empty where nothing.

    ``shown`` is the location that was on the screen when it came, ``shown_role`` what the next
    photo was for then: whoever drops five photos and goes on means them all for where he was.
    ``keep_anyway`` and ``again`` are answers: keep it although it can't be shown, file it although
    the same bytes are filed elsewhere. ``root`` is the book it was meant for. ``passing`` files are
    ours and removed once filed; of ``watched`` ones nobody needs to hear that they were filed
    before.
    """

    path: Path
    location: str = ""
    role: Role | Literal[""] = ""
    keys: tuple[str, ...] = ()
    view: View = "direct"
    shown: str = ""
    shown_role: Role | Literal[""] = ""
    root: Path | None = None
    keep_anyway: bool = False
    again: bool = False
    passing: bool = False
    watched: bool = False


class Looked(Struct, frozen=True, eq=False):
    """A file as it was read. ``unreadable`` is the sentence of why it can't be shown, or ""."""

    photo: Photo
    digest: str
    tags: set[int]
    levels: PictureLevels | None = None
    unreadable: str = ""


class Kept(Struct, frozen=True):
    """A photo that is in the book now, and was not before."""

    photo: str
    file_name: str
    location: str
    role: Role
    by_tag: bool = False


class FiledBefore(Struct, frozen=True):
    """The same bytes are filed already: "LOCATION (role)" of each; ``same``: just so."""

    where: tuple[str, ...]
    same: bool


class Question(Struct, frozen=True):
    """What has to be asked about a file before it is filed.

    "there" asks about several at once, ``paths``: they were in the watched folder before.
    """

    kind: Literal["where", "unreadable", "again", "there"]
    coming: Coming
    sentence: str
    paths: tuple[Path, ...] = ()


def look(coming: Coming) -> Looked:
    """Read a file and look for tags in it. Takes long; any thread.

    Raises BadPhoto for a file that can't be kept at all: it is missing, or empty.
    """
    unreadable = ""
    try:
        photo = read_photo(coming.path)
    except BadPhoto as bad:
        unreadable = sentence_of(bad)
        photo = read_photo(coming.path, keep_anyway=True)
    digest = hashlib.sha256(photo.original).hexdigest()
    if photo.pixels is None:
        return Looked(photo, digest, set(), unreadable=unreadable)
    levels = levels_of(photo.pixels)
    small = next(level for level in levels.levels
                 if max(level.shape[:2]) <= TAGS_PX or level is levels.levels[-1])  # fmt: skip
    seen = (
        set()
        if coming.location
        else tags_seen(msgspec.structs.replace(photo, pixels=small), coming.view)
    )
    return Looked(photo, digest, seen, levels)


def numbers_for(journey: Journey, coming: Coming) -> dict[str, int]:
    """Return the tags' numbers in the book that a file is meant for.

    Raises BadPhoto where another job was opened meanwhile.
    """
    _refuse_another_job(journey, coming)
    return tag_numbers(journey.book.told)


def file(
    journey: Journey, coming: Coming, looked: Looked, location: str, role: Role
) -> Kept | FiledBefore:
    """File a photo, unless its very bytes are filed already and nobody said to file them again.

    Raises BadPhoto where another job was opened meanwhile.
    """
    _refuse_another_job(journey, coming)
    before = journey.filed_before(looked.photo)
    same = f"{location} ({role})" in before
    if before and (same or not coming.again):
        return FiledBefore(before, same)
    journey.add_photo(
        looked.photo, location=location, role=role, keys=coming.keys, view=coming.view
    )
    return Kept(looked.digest, looked.photo.file_name, location, role)


def _refuse_another_job(journey: Journey, coming: Coming) -> None:
    if journey.book.root != coming.root:
        raise BadPhoto(
            f"{coming.path.name} was meant for the job that was open before, and is not filed: "
            "open that job, and add it again"
        )
