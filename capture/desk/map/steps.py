"""What was placed on the map in this sitting, and how each step is put back."""

from typing import NamedTuple

from annotate.marks import Point
from capture.desk.map.faces import Spotted
from capture.desk.map.words import MISTAKEN
from capture.journey import Journey
from store.codec import Entry


class Step(NamedTuple):
    """A location got a place; ``before`` is how it was shown until then, ``entry`` what did it."""

    before: Spotted
    entry: str


class PlacedSteps:
    """The steps of this sitting; the last one is the first to go back."""

    def __init__(self) -> None:
        self._steps: list[Step] = []

    def __len__(self) -> int:
        return len(self._steps)

    def add(self, step: Step) -> None:
        """Remember a step that was filed."""
        self._steps.append(step)

    def take(self) -> Step | None:
        """Take the last step off, to put it back; None if there is none."""
        return self._steps.pop() if self._steps else None

    def forget(self) -> None:
        """Forget all of them: another book is open."""
        self._steps.clear()


def place(journey: Journey, location: str, photo: str, at: Point) -> Entry:
    """File a location's place on a face."""
    return journey.place_on_map(location, photo, at.x_px, at.y_px)


def put_back(journey: Journey, step: Step) -> Entry:
    """Undo a step: an earlier place is filed again; a first one is struck, for it was none."""
    before = step.before
    if before.at is not None:
        return place(journey, before.key, before.photo, before.at)
    return journey.strike(step.entry, MISTAKEN)
