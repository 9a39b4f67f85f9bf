"""A merge or a copy in a process of its own that is killed at its k-th call that writes."""

import os
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

from store.book import Book
from store.copies.copying import copy_book
from store.copies.merge import merge
from store.ledger import Writer
from tests.faults.injector import CALLS
from tests.faults.writers import PROCESSES
from tests.store.small_job import WHO
from tests.store.two_benches import CHECKS


def merge_killed_at(root: Path, other: Path, at_call: int, done: Path) -> None:
    """Merge, and be killed at a call; ``done`` is there afterwards if the merge had ended."""
    with Book.open(root) as book:
        _die_at(at_call)
        merge(book, other, checks=CHECKS, **WHO)
    done.touch()


def copy_killed_at(root: Path, target: Path, at_call: int, done: Path) -> None:
    """Copy, and be killed at a call; as ``merge_killed_at``."""
    with Book.open(root) as book:
        _die_at(at_call)
        copy_book(book, target, **WHO)
    done.touch()


def in_a_process(work: Callable[..., None], *given: Any) -> int:
    """Run it in a process of its own; return how that ended."""
    process = PROCESSES.Process(target=work, args=given)
    process.start()
    process.join(120)
    assert process.exitcode is not None
    return process.exitcode


def _die_at(at_call: int) -> None:
    """Count the calls that write, rows included; SQLite's own commit is one row's call apart."""
    calls = 0

    def dying(real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **kwargs: Any) -> Any:
            nonlocal calls
            calls += 1
            if calls == at_call:
                os.kill(os.getpid(), signal.SIGKILL)
            return real(*args, **kwargs)

        return call

    for name in CALLS:
        setattr(os, name, dying(getattr(os, name)))
    Writer._insert = dying(Writer._insert)  # type: ignore[method-assign]
