"""What there is to know of the photo that is marked: its picture, printed targets, a lens profile.

Each arrives by itself, from another thread; ``learned`` is told of each.
"""

from PySide6.QtCore import QObject, Signal

from annotate.marks import Marker
from annotate.pane.levels import PictureLevels
from capture.desk import errands
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.marking.lens_kept import KeptLens, lens_for
from capture.desk.marking.rims_sought import find_targets, photo_of
from capture.desk.shelf import shelf_of
from capture.intake.photo import Photo
from store.evidence import PhotoTaken


class AboutPhoto(QObject):
    """One photo at a time. What arrives of one that is not wanted any more is thrown away."""

    shown = Signal(object)  # PictureLevels
    learned = Signal()
    refused = Signal(object)  # Refused

    def __init__(self, desk: Desk, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._wanted = 0
        self._awaited = 0
        self.photo: Photo | None = None
        self.targets: tuple[Marker, ...] = ()
        self.lens: KeptLens | None = None

    @property
    def is_whole(self) -> bool:
        """Whether all that there is to know has arrived."""
        return self.photo is not None and self._awaited == 0

    def want(self, taken: PhotoTaken) -> None:
        """Have everything of a photo brought."""
        self.forget()
        wanted = self._wanted

        def arrived(levels: PictureLevels) -> None:
            if wanted == self._wanted:
                self._arrived(taken, levels)

        def failed(told: Refused) -> None:
            if wanted == self._wanted:
                self.refused.emit(told)

        shelf_of(self._desk).levels(taken, arrived, failed)

    def forget(self) -> None:
        """Want nothing any more."""
        self._wanted += 1
        self._awaited = 0
        self.photo, self.targets, self.lens = None, (), None

    def _arrived(self, taken: PhotoTaken, levels: PictureLevels) -> None:
        photo = self.photo = photo_of(taken, levels.levels[0])
        self._awaited, wanted = 2, self._wanted
        errands.run(lambda: find_targets(photo), lambda found: self._learn(wanted, targets=found))
        self._desk.act(
            lambda journey: lens_for(journey, taken),
            then=lambda kept: self._learn(wanted, lens=kept),
        )
        self.shown.emit(levels)

    def _learn(
        self,
        wanted: int,
        *,
        targets: tuple[Marker, ...] | None = None,
        lens: KeptLens | None = None,
    ) -> None:
        if wanted != self._wanted:
            return
        self._awaited -= 1
        self.targets = self.targets if targets is None else targets
        self.lens = self.lens if lens is None else lens
        self.learned.emit()
