"""Has locations placed, moved and put back, and tells what came of it."""

from PySide6.QtCore import QObject, Signal

from annotate.marks import Point
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.map.faces import Spotted
from capture.desk.map.steps import PlacedSteps, Step, place, put_back
from capture.desk.map.words import back_words, placed_words
from store.codec import Entry


class Placer(QObject):
    """``placed`` carries the Spotted that got a place; ``stays`` that all stay where they are.

    ``steps_changed`` tells whether there is a step to put back.
    """

    placed = Signal(object)
    stays = Signal()
    steps_changed = Signal(bool)

    def __init__(self, desk: Desk, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._steps = PlacedSteps()

    @property
    def has_steps(self) -> bool:
        """Whether there is a step to put back."""
        return len(self._steps) > 0

    def forget(self) -> None:
        """Forget the steps: another book is open."""
        self._steps.forget()
        self._tell()

    def place(self, spot: Spotted, photo: str, at: Point) -> None:
        """Give a location its place on a face, its first or another."""

        def done(entry: Entry) -> None:
            self._steps.add(Step(spot, entry.hash))
            self._tell()
            self._desk.told.emit(placed_words(spot, moved=spot.at is not None))
            self.placed.emit(spot)

        self._desk.act(
            lambda journey: place(journey, spot.key, photo, at), then=done, refused=self._refuse
        )

    def put_back(self) -> None:
        """Undo the last step."""
        step = self._steps.take()
        if step is None:
            return

        def refuse(refused: Refused) -> None:
            self._steps.add(step)
            self._tell()
            self._refuse(refused)

        self._tell()
        self._desk.act(
            lambda journey: put_back(journey, step),
            then=lambda _: self._desk.told.emit(back_words(step.before)),
            refused=refuse,
        )

    def _refuse(self, refused: Refused) -> None:
        self.stays.emit()
        self._desk.refused.emit(refused.sentence)

    def _tell(self) -> None:
        self.steps_changed.emit(self.has_steps)
