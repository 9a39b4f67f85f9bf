"""A child that decodes, started before its picture comes: Python and Pillow take 35 ms to load.

Each picture has a child of its own, with all its limits, whether that was started before or not.
Off until ``begin``: what reads one photo and ends would only start a second child for nothing. A
child that stands ready and is no longer wanted, or whose parent died, meets the end of its pipe and
ends.
"""

import atexit
import os
from collections.abc import Callable
from contextlib import suppress
from io import FileIO
from subprocess import Popen
from threading import Lock, Timer
from typing import BinaryIO

from msgspec import Struct

PAUSE_S = 0.7  # after a picture: what is done with it comes first, and no person is sooner back
Start = Callable[[int | BinaryIO], "Popen[bytes]"]  # starts a child, with this as its stdin


class Ready(Struct, frozen=True, eq=False):
    """A child that has loaded what it needs, and the pipe that it takes its picture from."""

    child: "Popen[bytes]"
    entry: FileIO

    def give(self, original: bytes) -> None:
        """Hand a picture over, an order in front of it; one that has died takes nothing."""
        with suppress(OSError), self.entry:
            left = memoryview(original)
            while left:
                left = left[self.entry.write(left) :]

    def dismiss(self) -> None:
        """End it unused."""
        self.entry.close()
        self.child.kill()
        self.child.wait()
        if self.child.stdout is not None:
            self.child.stdout.close()


class Standby:
    """At most one child that stands ready; any thread. ``start`` makes one."""

    def __init__(self, start: Start) -> None:
        self._start = start
        self._lock = Lock()
        self._on = False
        self._next: Ready | None = None
        self._later: Timer | None = None

    def begin(self) -> None:
        """Have one stand ready from now on."""
        if not self._on:
            self._on = True
            atexit.register(self.end)
        self.refill()

    def end(self) -> None:
        """Have none any more."""
        self._on = False
        atexit.unregister(self.end)
        with self._lock:
            self._forget_later()
        ready = self.take()
        if ready is not None:
            ready.dismiss()

    def take(self) -> Ready | None:
        """Return the one that stands ready, for one picture; None if there is none."""
        with self._lock:
            ready, self._next = self._next, None
        if ready is not None and ready.child.poll() is not None:
            ready.dismiss()
            return None
        return ready

    def refill_later(self) -> None:
        """Start the next in a while, if it is wanted."""
        with self._lock:
            if self._on and self._later is None:
                self._later = Timer(PAUSE_S, self.refill)
                self._later.daemon = True
                self._later.start()

    def refill(self) -> None:
        """Start the next now, if it is wanted."""
        with self._lock:
            self._forget_later()
            if not self._on or self._next is not None:
                return
            out, into = os.pipe()
            try:
                # A machine that can start no other child will say so when a picture comes.
                with suppress(OSError):
                    self._next = Ready(self._start(out), FileIO(into, "w"))
                    into = -1
            finally:
                os.close(out)
                if into >= 0:
                    os.close(into)

    def _forget_later(self) -> None:
        """Start none later: it would outlive an end and a beginning. The lock is held."""
        if self._later is not None:
            self._later.cancel()
            self._later = None
