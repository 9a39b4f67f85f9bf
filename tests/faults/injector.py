"""Make the k-th system call that writes fail: the injector of the fault tests.

It stands in front of Python's own calls (open, write, fsync, rename, chmod, mkdir, unlink).
What SQLite writes by itself is failed with a limit on the size of files instead, in a process
of its own (``writers.fill_under_limit``).
"""

import gc
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any
from unittest import mock

CALLS = ("open", "write", "fsync", "replace", "chmod", "mkdir", "unlink", "ftruncate")


@dataclass
class Fault:
    """What became of the injection: ``fired`` names the call that failed, empty if none did."""

    fired: str = ""
    calls: int = 0


@contextmanager
def failing(at_call: int, number: int, *, for_ever: bool = False) -> Iterator[Fault]:
    """Fail the call with this ordinal (and all after it, ``for_ever``) with an errno."""
    fault = Fault()

    def wrapped(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **kwargs: Any) -> Any:
            fault.calls += 1
            if fault.calls == at_call or (for_ever and fault.calls > at_call):
                fault.fired = fault.fired or name
                raise OSError(number, os.strerror(number))
            return real(*args, **kwargs)

        return call

    # What an earlier test left may be collected this very moment and write to its helper processes
    # (multiprocessing's tracker of semaphores): that is not the code that is to fail.
    collects = gc.isenabled()
    gc.disable()
    patches = [mock.patch.object(os, name, wrapped(name, getattr(os, name))) for name in CALLS]
    try:
        for patch in patches:
            patch.start()
        yield fault
    finally:
        for patch in patches:
            patch.stop()
        if collects:
            gc.enable()
