"""Everything that comes in: dropped, pasted, chosen, watched for, taken with the camera.

One file after another is read off the window's thread, sorted by its tag or by what is shown, and
filed by the bench. Only then it is called kept. What can't be known is asked; nothing is lost
meanwhile, for the file stays where it is.
"""

from collections import deque
from contextlib import suppress
from pathlib import Path
from typing import Literal

from msgspec.structs import replace
from PySide6.QtCore import QObject, Signal

from capture.desk import errands
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.photos import said
from capture.desk.photos.coming import (
    Coming,
    FiledBefore,
    Here,
    Kept,
    Looked,
    Question,
    file,
    look,
    numbers_for,
)
from capture.desk.photos.next_photo import NextPhoto
from capture.desk.photos.sorting import sort
from capture.desk.shelf import shelf_of
from store.plan import Role


class Arrivals(QObject):
    """The files on their way into the desk's book. ``arrivals_of`` gives the one of a desk.

    ``changed`` says that progress, the question or the role moved on; ``kept`` carries a Kept.
    """

    changed = Signal()
    kept = Signal(object)

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._desk = desk
        self._queue: deque[Coming] = deque()
        self._now: Coming | None = None
        self._questions: list[Question] = []
        self._tally = said.Tally()
        self.next = NextPhoto(desk)
        self.next.changed.connect(self.changed)

    # --- what comes -----------------------------------------------------------------------

    def here(self) -> Here:
        """Return the book that is open, the location shown, and what the next photo is for."""
        place, root = self._desk.place, self._desk.root
        return Here(place.location.id, self.next.role, root) if place else Here(root=root)

    def take_paths(
        self,
        paths: list[Path],
        location: str = "",
        role: Role | Literal[""] = "",
        keys: tuple[str, ...] = (),
        *,
        here: Here | None = None,
        passing: bool = False,
        watched: bool = False,
    ) -> None:
        """Take files in, one after another.

        ``location`` and ``role`` are what was said of them; without them a photo is filed by its
        tag, else at the location shown now, in the role that is next there. ``here`` says where
        somebody was when a file still had to be written, and may have gone on from.
        """
        if self._desk.root is None:
            self._desk.refused.emit("no job is open, so there is nothing to file photos in: "
                                    "open or begin one first")  # fmt: skip
            return
        shown = here or self.here()
        # Watched ones come one by one: each takes the role that is missing when its turn comes.
        as_shown: Role | Literal[""] = "" if watched else shown.role
        self._queue.extend(
            Coming(
                path, location, role, keys, self.next.view, shown.location, as_shown, shown.root,
                passing=passing, watched=watched,
            )
            for path in paths
        )  # fmt: skip
        self._tally.expected += len(paths)
        self._go_on()

    def ask_about(self, paths: list[Path]) -> None:
        """Ask whether files that lay in the watched folder before are to be taken in."""
        if paths:
            sentence = said.there_before(len(paths), str(paths[0].parent))
            coming = Coming(paths[0], root=self._desk.root, watched=True)
            self._questions.append(Question("there", coming, sentence, tuple(paths)))
            self.changed.emit()

    # --- what is told and asked -----------------------------------------------------------

    @property
    def progress(self) -> str:
        """What is being done, "" when nothing is."""
        if self._now is None:
            return ""
        return said.progress(self._tally, self._now.path.name)

    @property
    def question(self) -> Question | None:
        """What has to be answered first, None if nothing has."""
        return self._questions[0] if self._questions else None

    @property
    def questions(self) -> int:
        """How many files wait for an answer."""
        return len(self._questions)

    def say_where(self, location: str, *, every: bool = False) -> None:
        """Answer at which location the file was taken; ``every`` answers for all that ask so."""
        first = self.question
        if first is None:
            return
        answered = [q for q in self._questions if q.kind == "where"] if every else [first]
        self._answer(answered, location=location)

    def keep_anyway(self) -> None:
        """Keep the file although it can't be shown."""
        self._answer(self._questions[:1], keep_anyway=True)

    def file_again(self) -> None:
        """File the photo although its bytes are filed elsewhere."""
        self._answer(self._questions[:1], again=True)

    def take_in(self) -> None:
        """Take in what lay in the watched folder."""
        question = self.question
        if question is not None and question.kind == "there":
            self._questions.remove(question)
            here = replace(self.here(), root=question.coming.root)
            self.take_paths(list(question.paths), here=here, watched=True)

    def leave_out(self, *, every: bool = False) -> None:
        """Do not take the file in; it stays where it is."""
        left = self._questions[:] if every else self._questions[:1]
        for question in left:
            self._questions.remove(question)
            _remove_passing(question.coming)
        self._desk.told.emit(
            said.left_out([p.name for q in left for p in q.paths or (q.coming.path,)])
        )
        self._go_on()

    # --- private --------------------------------------------------------------------------

    def _answer(self, answered: list[Question], **said_now: object) -> None:
        for question in answered:
            self._questions.remove(question)
        self._tally.expected += len(answered)
        self._queue.extendleft(replace(q.coming, **said_now) for q in reversed(answered))
        self._go_on()

    def _go_on(self) -> None:
        if self._now is None and self._queue:
            coming = self._now = self._queue.popleft()
            self._tally.begun += 1
            self._desk.act(
                lambda journey: numbers_for(journey, coming),
                then=lambda numbers: self._read(coming, numbers),
                refused=self._refuse,
            )
        self.changed.emit()

    def _read(self, coming: Coming, numbers: dict[str, int]) -> None:
        errands.run(
            lambda: look(coming), lambda looked: self._sort(coming, looked, numbers), self._refuse
        )

    def _sort(self, coming: Coming, looked: Looked, numbers: dict[str, int]) -> None:
        if looked.unreadable and not coming.keep_anyway:
            self._ask(Question("unreadable", coming, said.unreadable(looked.unreadable)))
            return
        desk = self._desk
        at = sort(coming.path.name, looked.tags, numbers, said=coming.location, shown=coming.shown)
        if not at.location:
            self._ask(Question("where", coming, at.doubt))
            return
        as_shown = coming.shown_role if at.location == coming.shown else ""
        role = coming.role or as_shown or self.next.role_at(at.location)
        if looked.levels is not None:
            # Before it is filed: the screen shows it as soon as the round says that it is there.
            shelf_of(desk).put(looked.digest, looked.levels)
        desk.act(
            lambda journey: file(journey, coming, looked, at.location, role),
            then=lambda filed: self._filed(coming, filed, by_tag=at.by_tag),
            refused=self._refuse,
        )

    def _filed(self, coming: Coming, filed: Kept | FiledBefore, *, by_tag: bool) -> None:
        if isinstance(filed, Kept):
            kept = replace(filed, by_tag=by_tag)
            self._tally.kept.append(kept)
            self.next.came()
            _remove_passing(coming)
            self.kept.emit(kept)
        elif filed.same or coming.watched:
            self._tally.before.append((coming.path.name, filed.where))
            _remove_passing(coming)
        else:
            self._ask(Question("again", coming, said.again(coming.path.name, filed.where)))
            return
        self._done()

    def _ask(self, question: Question) -> None:
        self._questions.append(question)
        self._done()

    def _refuse(self, refused: Refused) -> None:
        here = self._now
        kept_at = f"; meanwhile it lies in {here.path}" if here and here.passing else ""
        self._tally.refused.append(refused.sentence + kept_at)
        self._done()

    def _done(self) -> None:
        self._now = None
        if not self._queue:
            for sentence in self._tally.refused:
                self._desk.refused.emit(sentence)
            if words := said.tally(self._tally):
                self._desk.told.emit(words)
            self._tally = said.Tally()
        self._go_on()


def arrivals_of(desk: Desk) -> Arrivals:
    """Return the one that takes in what comes to a desk."""
    return desk.findChild(Arrivals) or Arrivals(desk)


def _remove_passing(coming: Coming) -> None:
    """Remove a file that this program itself wrote to file it; the person's files are theirs."""
    if coming.passing:
        with suppress(OSError):
            coming.path.unlink()
