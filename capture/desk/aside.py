"""Measuring in a process of its own, so that drawing never waits for it. No Qt in here.

Weighing thousands of trials is Python as much as numpy: in a thread beside the window's it takes
the interpreter away from it a millisecond at a time, and a paint of many calls then takes its time.
The process is started once and waits; it ends when this one does.
"""

from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from typing import NamedTuple

from annotate.beside import Beside
from annotate.errors import CannotMeasure
from annotate.givens import Givens
from annotate.marks import Layer
from annotate.optics.profile import LensProfile
from annotate.routes.accepted import Accepted, accept


class _Refusal(NamedTuple):
    """A refusal on its way home: an error of two arguments would not come through whole."""

    reason: str
    advice: str


class Aside:
    """One process that measures. ``measure`` is used as ``annotate.routes.accepted.accept`` is."""

    def __init__(self) -> None:
        self._pool = _made()

    def warm(self) -> None:
        """Start the process and let it load what it needs, before anybody waits for it."""
        self._pool.submit(_ready)

    def measure(
        self,
        layer: Layer,
        givens: Givens,
        *,
        seed: int,
        lens: LensProfile | None,
        beside: Beside,
        tolerance: float,
    ) -> Accepted:
        """Return what the other process measures; raises CannotMeasure as it does.

        Where that process died (killed for its memory, say) it is measured here instead.
        """
        try:
            asked: Future[Accepted | _Refusal] = self._pool.submit(
                _measured, layer, givens, seed, lens, beside, tolerance
            )
            answer = asked.result()
        except (BrokenProcessPool, OSError):
            self._pool = _made()
            return accept(layer, givens, seed=seed, lens=lens, beside=beside, tolerance=tolerance)
        if isinstance(answer, _Refusal):
            raise CannotMeasure(answer.reason, answer.advice)
        return answer

    def close(self) -> None:
        """End the process; what it is at is thrown away."""
        self._pool.shutdown(wait=False, cancel_futures=True)


def _made() -> ProcessPoolExecutor:
    # Spawned: a fork of a program with threads and a window is no sound copy.
    return ProcessPoolExecutor(max_workers=1, mp_context=get_context("spawn"))


def _ready() -> bool:
    """Answer: everything is loaded."""
    return True


def _measured(
    layer: Layer,
    givens: Givens,
    seed: int,
    lens: LensProfile | None,
    beside: Beside,
    tolerance: float,
) -> Accepted | _Refusal:
    try:
        return accept(layer, givens, seed=seed, lens=lens, beside=beside, tolerance=tolerance)
    except CannotMeasure as refused:
        return _Refusal(refused.reason, refused.advice)
