"""A timer that wants to beat each millisecond: its longest gap is how long a window did not answer.

A gap has three causes: the window's own thread worked (its processor time says how much), another
thread held the interpreter, or the machine was busy elsewhere.
"""

import faulthandler
import tempfile
import time
from typing import NamedTuple, Self

from PySide6.QtCore import Qt, QTimer

TARGET_S = 0.1
_WIDE = 34


class Gap(NamedTuple):
    """``worked`` is how long the window's own thread worked in it. In seconds."""

    lasted: float
    worked: float


class Beat:
    """Beats while one thing is done. ``where`` tells what every thread did in each long gap."""

    def __init__(self, words: str, *, where: bool = False) -> None:
        self._words = words
        self._timer = QTimer()
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._beat)
        # Written without the interpreter: what holds that can't hide from it.
        self._stacks = tempfile.TemporaryFile("w+") if where else None  # noqa: SIM115 - closed in tell
        self.gaps: list[Gap] = []

    def __enter__(self) -> Self:
        self._began = self._last = time.perf_counter()
        self._last_worked = time.thread_time()
        self._watch()
        self._timer.start(1)
        return self

    def __exit__(self, *_: object) -> None:
        self._timer.stop()
        self._beat()
        faulthandler.cancel_dump_traceback_later()
        self.took_s = time.perf_counter() - self._began

    def _beat(self) -> None:
        now, worked = time.perf_counter(), time.thread_time()
        self.gaps.append(Gap(now - self._last, worked - self._last_worked))
        self._last, self._last_worked = now, worked
        self._watch()

    def _watch(self) -> None:
        if self._stacks is not None:
            faulthandler.dump_traceback_later(TARGET_S, file=self._stacks)

    def tell(self) -> None:
        """Print the longest gap, what the window itself did in it, and how many were too long."""
        longest = max(self.gaps)
        over = sum(gap.lasted > TARGET_S for gap in self.gaps)
        print(
            f"  {self._words:<{_WIDE}}{1e3 * longest.lasted:6.0f} ms {1e3 * longest.worked:6.0f} ms"
            f" {over:6} {self.took_s:8.1f} s"
        )
        if self._stacks is not None:
            self._stacks.seek(0)
            print(self._stacks.read())
            self._stacks.close()


def print_head() -> None:
    """Print what the columns are."""
    print(
        f"\n{'longest time the window did not':<36}{'lasted':>9}{'itself':>10}{'over':>7}{'of':>10}"
        f"\n{'answer (target: under 100 ms)':<36}{'':>9}{'worked':>10}"
    )
