"""The pictures that are looked at: decoded off the window's thread, the last ones kept at hand.

A photo is decoded by ``capture.intake``'s child process, so Qt and OpenCV never see a file. A
coarse picture comes first where the whole one takes long, and is never measured on.
"""

from collections import OrderedDict, deque
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QImage

from annotate.pane.levels import PictureLevels, Pixels, levels_of
from capture.desk import errands
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.errors import BadPhoto
from capture.intake.photo import look_at, read_photo
from store.evidence import PhotoTaken
from store.photos import PhotoVault

HELD_BYTES = 600_000_000  # three photos of 48 megapixels with their levels, or thirteen of 12
COARSE_PX = 1024  # the longer side of what is shown first: about what the window has room for
COARSE_FROM_PX = 16_000_000  # a smaller picture is whole almost as soon as it is coarse
_THUMBNAILS = 400  # at 104 x 64 about 27 kB each

Shown = Callable[[PictureLevels], None]
Told = Callable[[Refused], None]
Seen = Callable[[QImage], None]


class _Small(NamedTuple):
    """A thumbnail that is waited for."""

    taken: PhotoTaken
    width: int
    height: int


class Shelf(QObject):
    """The pictures of the desk's open book. What is thrown away first was not looked at longest."""

    def __init__(self, desk: Desk, held_bytes: int = HELD_BYTES) -> None:
        super().__init__(desk)
        self._desk, self._most = desk, held_bytes
        self._held: OrderedDict[str, PictureLevels] = OrderedDict()
        self._waiting: dict[str, list[tuple[Shown, Told]]] = {}
        self._small: OrderedDict[_Small, QImage] = OrderedDict()
        self._wanted: deque[_Small] = deque()
        self._receivers: dict[_Small, list[Seen]] = {}
        self._making: _Small | None = None

    def levels(self, taken: PhotoTaken, then: Shown, refused: Told) -> None:
        """Give a photo's levels to ``then``: at once where they are at hand, else later.

        ``refused`` is told why there are none: altered or missing files, files that can't be
        shown.
        """
        if (held := self.held(taken.photo)) is not None:
            then(held)
            return
        self._waiting.setdefault(taken.photo, []).append((then, refused))
        if len(self._waiting[taken.photo]) == 1:
            path = self._finder(taken)
            errands.run(
                lambda: levels_of(_whole(path())),
                lambda levels: self._arrived(taken.photo, levels),
                lambda told: self._failed(taken.photo, told),
            )

    def coarse(self, taken: PhotoTaken, then: Shown) -> None:
        """Give a small picture of a large photo to ``then``; nothing where the whole is quick."""
        pixels = (taken.width_px or 0) * (taken.height_px or 0)
        if pixels < COARSE_FROM_PX or self.held(taken.photo) is not None:
            return
        path = self._finder(taken)
        errands.run(lambda: levels_of(look_at(path(), COARSE_PX)), lambda small: give(then, small))

    def held(self, photo: str) -> PictureLevels | None:
        """Return the levels of a photo that are at hand, None if they are not."""
        levels = self._held.get(photo)
        if levels is not None:
            self._held.move_to_end(photo)
        return levels

    def put(self, photo: str, levels: PictureLevels) -> None:
        """Keep levels at hand that were decoded already, and throw away what is too much."""
        self._held[photo] = levels
        self._held.move_to_end(photo)
        while self.held_bytes > self._most and len(self._held) > 1:
            self._held.popitem(last=False)

    @property
    def held_bytes(self) -> int:
        """How much memory the pictures at hand take. One alone may be more than the bound."""
        return sum(levels.held_bytes for levels in self._held.values())

    def thumbnail(self, taken: PhotoTaken, width: int, height: int, then: Seen) -> None:
        """Give a small picture to ``then``, cut to fill width and height; null if it can't be."""
        small = _Small(taken, width, height)
        if (there := self._small.get(small)) is not None:
            self._small.move_to_end(small)
            then(there)
            return
        receivers = self._receivers.setdefault(small, [])
        receivers.append(then)
        if len(receivers) == 1:
            self._wanted.append(small)
            self._make_next()

    def _finder(self, taken: PhotoTaken) -> Callable[[], Path]:
        root, photo = self._desk.root, taken.photo
        if root is None:
            raise BadPhoto("no book is open, so there is no photo to show")
        return lambda: PhotoVault(root).path(photo)

    def _arrived(self, photo: str, levels: PictureLevels) -> None:
        self.put(photo, levels)
        for then, _ in self._waiting.pop(photo, []):
            give(then, levels)

    def _failed(self, photo: str, told: Refused) -> None:
        for _, refused in self._waiting.pop(photo, []):
            give(refused, told)

    def _make_next(self) -> None:
        """Make one thumbnail at a time: the photo that is looked at must not wait behind twenty."""
        if self._making is not None or not self._wanted:
            return
        small = self._making = self._wanted.popleft()
        held, path = self.held(small.taken.photo), self._finder(small.taken)
        errands.run(
            lambda: _cut(
                _fitting(held, small) if held else look_at(path(), _longest(small)), small
            ),
            lambda image: self._made(small, image),
            lambda _: self._made(small, QImage()),
        )

    def _made(self, small: _Small, image: QImage) -> None:
        self._making = None
        self._small[small] = image
        while len(self._small) > _THUMBNAILS:
            self._small.popitem(last=False)
        for then in self._receivers.pop(small, []):
            give(then, image)
        self._make_next()


def shelf_of(desk: Desk) -> Shelf:
    """Return the one shelf of a desk. What it holds is named by content: any book may be open."""
    return desk.findChild(Shelf) or Shelf(desk)


def give(receiver: Callable[[Any], None], value: object) -> None:
    """Hand a value over, unless the widget that asked for it is gone by now."""
    try:
        receiver(value)
    except RuntimeError as gone:
        if "already deleted" not in str(gone):
            raise


def _whole(path: Path) -> Pixels:
    pixels = read_photo(path).pixels
    if pixels is None:
        raise BadPhoto(f"{path.name} can't be shown: take the photo again")
    return pixels


def _longest(small: _Small) -> int:
    """Return how long the longer side must be for the picture to fill the thumbnail."""
    wide, high = small.taken.width_px or small.width, small.taken.height_px or small.height
    scale = max(small.width / wide, small.height / high)
    return max(1, round(max(wide, high) * scale))


def _fitting(levels: PictureLevels, small: _Small) -> Pixels:
    wanted = _longest(small)
    return next(level for level in reversed(levels.levels)
                if max(level.shape[:2]) >= wanted or level is levels.levels[0])  # fmt: skip


def _cut(pixels: Pixels, small: _Small) -> QImage:
    """Return the middle of a picture in the thumbnail's size; QImage is safe in any thread."""
    high, wide = pixels.shape[:2]
    whole = QImage(pixels.data, wide, high, pixels.strides[0], QImage.Format.Format_RGB888)
    filled = whole.scaled(
        small.width, small.height,
        Qt.AspectRatioMode.KeepAspectRatioByExpanding, Qt.TransformationMode.SmoothTransformation,
    )  # fmt: skip
    left, top = (filled.width() - small.width) // 2, (filled.height() - small.height) // 2
    return filled.copy(left, top, small.width, small.height)
