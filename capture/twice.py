"""Whether two photos are one picture: a copy that was saved again, or a camera that was not moved.

Measured as one, such photos would make an interval narrower for nothing: a second photo tells more
because it looks from elsewhere. Compared are small grey pictures, in all four turns. On 240 of our
own rendered pictures a copy saved again at quality 60 or at half the size correlates with the first
by 0.9984 or more, and one whose frame was moved by half a per cent of its width by 0.9955 or less.
A copy that was made much lighter or darker, or cropped, is not known again.
"""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from capture.errors import BadPhoto
from store.errors import StoreError
from store.evidence import Marked

if TYPE_CHECKING:
    from store.book import Book

Small = npt.NDArray[np.float64]

_SIDE_PX = 64
_READ_PX = 512  # so that it hardly matters how a file's picture was made small while it was read
_ALIKE = 0.998


def small_picture(picture: npt.NDArray[np.uint8]) -> Small:
    """Return an upright picture, (H, W, 3) RGB, small and grey: (64, 64), mean 0, norm 1 or 0."""
    import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

    grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
    small = cv2.resize(grey, (_SIDE_PX, _SIDE_PX), interpolation=cv2.INTER_AREA)
    level = small.astype(np.float64) - float(np.mean(small))
    size = float(np.linalg.norm(level))
    return level / size if size > 0 else level


def is_one_picture(first: Small, second: Small) -> bool:
    """Return whether two small pictures are of one; of two that show nothing it can't be told."""
    return any(float(np.sum(first * np.rot90(second, turn))) > _ALIKE for turn in range(4))


def same_as(small: Small, before: Sequence[Small]) -> int | None:
    """Return which of the pictures before it this one is, by its place there; None for none."""
    return next((n for n, each in enumerate(before) if is_one_picture(small, each)), None)


def told_twice(name: str, other: str) -> BadPhoto:
    """Return the refusal of a photo that shows what another does."""
    return BadPhoto(
        f"{name} shows the very picture of {other}, saved again or from a camera that was not "
        "moved: a picture counts once, leave one out or take another from a little to one side"
    )


def refuse_twice(book: "Book", photo: str, together: Sequence[str]) -> None:
    """Raise BadPhoto if marks on a filed photo and those of other entries lie on one picture twice.

    A picture that can't be read now, for it was taken out of the book, has only its SHA-256 to say.
    """
    names: dict[str, str] = {}
    pictures: list[tuple[str, Small]] = []
    for name, digest in (*_cited(book, together), ("this photo", photo)):
        if digest in names:
            raise BadPhoto(f"{name} is {names[digest]} again: a photo counts once, leave one out")
        names[digest] = name
        small = _filed(book, digest)
        if small is not None:
            same = same_as(small, [each for _, each in pictures])
            if same is not None:
                raise told_twice(name, pictures[same][0])
            pictures.append((name, small))


def _cited(book: "Book", together: Sequence[str]) -> Iterator[tuple[str, str]]:
    for entry in map(book.entry, together):
        if isinstance(entry.evidence, Marked):
            yield f"the photo of entry {entry.seq}", entry.evidence.photo


def _filed(book: "Book", digest: str) -> Small | None:
    from capture.intake.photo import look_at  # noqa: PLC0415 - only with several photos

    try:
        return small_picture(look_at(book.photo_path(digest), _READ_PX))
    except (BadPhoto, StoreError):
        return None
