"""What the work area shows: which screen, and of what."""

from typing import Literal, NamedTuple

Room = Literal[
    "first", "new job", "location", "marking", "map", "compare", "camera", "hold", "job", "report",
    "shop",
]  # fmt: skip


class Where(NamedTuple):
    """One place in the window. ``key`` is a check "LOCATION.CHECK", a location, a hold point's id.

    ``photo`` is the SHA-256 of a photo, ``other`` that of a second one to compare with; ``part``
    names a part of a screen: a face of the block, a page of the job. ``second_to`` is the entry
    that blind second marks are second to.
    """

    room: Room
    key: str = ""
    photo: str = ""
    other: str = ""
    part: str = ""
    second_to: str = ""

    @property
    def location(self) -> str:
        """The location's id of a key, or the hold point's."""
        return self.key.partition(".")[0]
