"""The thread that holds the book. Whatever touches the book is done here, one after another.

The window asks with a function of the journey and gets what it returned, back in its own thread;
in between it goes on drawing. A book's database belongs to the thread that opened it, so there is
one thread for one book, and it is this one.
"""

import tempfile
import traceback
from collections.abc import Callable
from pathlib import Path
from queue import SimpleQueue
from typing import Any, NamedTuple

from PySide6.QtCore import QObject, QThread, Signal

from capture.journey import Journey
from capture.words.refusals import TOLD, sentence_of
from store.round import Round

Work = Callable[[Journey], Any]
Opener = Callable[[], Journey]


class Refused(NamedTuple):
    """Why something was not done: a sentence for the person, and the error itself."""

    sentence: str
    error: Exception


class _Task(NamedTuple):
    work: Work | Opener | None
    then: Callable[[Any], None] | None
    refused: Callable[[Refused], None] | None
    words: str
    opens: bool = False


class Bench(QObject):
    """One thread and the journey it works on. All signals arrive in the window's thread."""

    took_in = Signal(object)  # the records of merges (MergeTold), told before ``stood``
    stood = Signal(object)  # a Round: where everything stands, after each act that filed something
    began = Signal(str)  # words of what is being done now
    ended = Signal()
    failed = Signal(object)  # a Refused that nobody asked to be told of
    _answered = Signal(object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._tasks: SimpleQueue[_Task] = SimpleQueue()
        self._answered.connect(self._give)
        self._waiting = 0
        self.ended.connect(self._one_less)
        self._hand = _Hand(self._tasks, self)
        self._hand.start()

    def open(
        self,
        opener: Opener,
        *,
        then: Callable[[Any], None] | None = None,
        refused: Callable[[Refused], None] | None = None,
    ) -> None:
        """Open or begin a book in place of the one that is open."""
        self._waiting += 1
        self._tasks.put(_Task(opener, then, refused, "opening the book", opens=True))

    def ask(
        self,
        work: Work,
        *,
        then: Callable[[Any], None] | None = None,
        refused: Callable[[Refused], None] | None = None,
        words: str = "",
    ) -> None:
        """Have something done with the journey; ``then`` is given what it returned.

        Where the book grew, ``stood`` comes before ``then``. Without ``refused`` a refusal goes
        to ``failed``. ``words`` say what is being done, for work that takes long.
        """
        self._waiting += 1
        self._tasks.put(_Task(work, then, refused, words))

    @property
    def is_working(self) -> bool:
        """Whether anything that was asked is still to be done."""
        return self._waiting > 0

    def close(self) -> None:
        """Do what was asked so far, close the book and end the thread; waits for it."""
        self._tasks.put(_Task(None, None, None, ""))
        self._hand.wait()

    def _one_less(self) -> None:
        self._waiting -= 1

    def _give(self, receiver: Callable[[Any], None], value: object) -> None:
        receiver(value)


class _Hand(QThread):
    """Takes one task after another until it is given one without work."""

    def __init__(self, tasks: "SimpleQueue[_Task]", bench: Bench) -> None:
        super().__init__(bench)
        self._tasks, self._bench = tasks, bench
        self._journey: Journey | None = None
        self._told = 0

    def run(self) -> None:
        """Work until told to stop, then close the book."""
        while (task := self._tasks.get()).work is not None:
            self._bench.began.emit(task.words)
            self._do(task)
            self._bench.ended.emit()
        self._leave()

    def _do(self, task: _Task) -> None:
        try:
            if task.opens:
                journey = task.work()  # type: ignore[call-arg, misc] # an Opener
                self._leave()
                self._journey = journey
                value: Any = journey.plan
            elif self._journey is None:
                return
            else:
                value = task.work(self._journey)  # type: ignore[call-arg, misc] # a Work
        except Exception as error:  # noqa: BLE001 - the window outlives what goes wrong in here
            self._stand()  # a refusal may be kept too
            self._refuse(task, error)
            return
        self._stand()
        if task.then is not None:
            self._bench._answered.emit(task.then, value)  # noqa: SLF001 - the two are one

    def _stand(self) -> None:
        """Tell where everything stands, if the book grew since it was last told."""
        if self._journey is None:
            return
        try:
            grown = len(self._journey.book.entries())
            if grown != self._told:
                merges, now = self._journey.merges(), self._journey.round()
                self._told = grown
                self._bench.took_in.emit(merges)
                self._bench.stood.emit(now)
        except Exception as error:  # noqa: BLE001 - what was done is kept: it is told later
            self._bench.failed.emit(Refused(sentence_on(error), error))

    def _refuse(self, task: _Task, error: Exception) -> None:
        refused = Refused(sentence_on(error), error)
        if task.refused is not None:
            self._bench._answered.emit(task.refused, refused)  # noqa: SLF001 - the two are one
        else:
            self._bench.failed.emit(refused)

    def _leave(self) -> None:
        if self._journey is not None:
            self._journey.book.close()
        self._journey, self._told = None, 0


def sentence_on(error: BaseException) -> str:
    """Return what went wrong as a sentence; of what nobody foresaw, where its details are."""
    if isinstance(error, TOLD):
        return sentence_of(error)
    return (
        f"this should not have happened ({type(error).__name__}); what was kept before stays "
        f"kept, and the details are in {_keep_details(error)}"
    )


def _keep_details(error: BaseException) -> str:
    """Write the traceback to a file of its own and return where it is."""
    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="benchproof-", suffix=".txt", delete=False, encoding="utf-8"
        ) as file:
            file.writelines(traceback.format_exception(error))
            return str(Path(file.name))
    except OSError:
        return "no file, for none could be written"


__all__ = ["Bench", "Refused", "Round", "sentence_on"]
