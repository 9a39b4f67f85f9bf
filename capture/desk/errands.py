"""Work that does not touch the book and would hold up the window: decoding, looking for rims."""

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal

from capture.desk.bench import Refused, sentence_on


class Errand(QObject):
    """One piece of work under way; ``drop`` it when its answer is wanted no more."""

    _answered = Signal(object)
    _refused = Signal(object)

    def __init__(
        self,
        work: Callable[[], Any],
        then: Callable[[Any], None],
        refused: Callable[[Refused], None] | None = None,
    ) -> None:
        super().__init__()
        self.work = work
        self._then, self._else = then, refused
        self._answered.connect(self._give)
        self._refused.connect(self._refuse)
        self.dropped = False

    def drop(self) -> None:
        """Want the answer no more. What is under way runs on and is thrown away."""
        self.dropped = True

    def _give(self, value: object) -> None:
        _running.discard(self)
        if not self.dropped:
            self._then(value)

    def _refuse(self, refused: Refused) -> None:
        _running.discard(self)
        if not self.dropped and self._else is not None:
            self._else(refused)


class _Runner(QRunnable):
    def __init__(self, errand: Errand) -> None:
        super().__init__()
        self._errand = errand

    def run(self) -> None:
        """Do the work in a thread of the pool and send what came of it home."""
        errand = self._errand
        if errand.dropped:
            errand._answered.emit(None)  # noqa: SLF001 - the two are one
            return
        try:
            value = errand.work()
        except Exception as error:  # noqa: BLE001 - told to whoever asked
            errand._refused.emit(Refused(sentence_on(error), error))  # noqa: SLF001 - the two are one
        else:
            errand._answered.emit(value)  # noqa: SLF001 - the two are one


_running: set[Errand] = set()


def run(
    work: Callable[[], Any],
    then: Callable[[Any], None],
    refused: Callable[[Refused], None] | None = None,
) -> Errand:
    """Have work done in another thread; ``then`` gets what it returned, in this one."""
    errand = Errand(work, then, refused)
    _running.add(errand)
    QThreadPool.globalInstance().start(_Runner(errand))
    return errand


def are_running() -> bool:
    """Return whether any errand has not come home yet."""
    return bool(_running)


def wait_for_all() -> None:
    """Wait until no errand runs; for the end of the program."""
    for errand in tuple(_running):
        errand.drop()
    QThreadPool.globalInstance().waitForDone()
