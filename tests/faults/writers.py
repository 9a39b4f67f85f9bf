"""Writers that run in processes of their own, to be raced, limited or killed."""

import io
import os
import resource
import signal
from multiprocessing import get_context
from pathlib import Path

from store.book import Book, Kept
from store.errors import CannotWrite
from store.evidence import PhotoTaken
from store.written import acts
from tests.store.small_job import WHO, reading

# Forked from a server without threads, which has the store loaded already.
PROCESSES = get_context("forkserver")
PROCESSES.set_forkserver_preload(
    ["store.written.acts", "tests.faults.writers", "tests.faults.loaded"]
)


def acknowledge(path: Path, *said: str) -> None:
    """Note that something was kept, as a screen would say it; survives a killed process."""
    descriptor = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o644)
    os.write(descriptor, " ".join(said).encode() + b"\n")
    os.close(descriptor)


def add_photo(book: Book, content: bytes) -> tuple[str, str]:
    """File a photo at the plug and return its entry's hash and its id."""

    def describe(kept: Kept) -> PhotoTaken:
        return PhotoTaken(
            photo=kept.photo, suffix="jpg", bytes_count=kept.bytes_count, file_name="x.jpg",
            location="P3", role="fitted",
        )  # fmt: skip

    entry = book.add_photo(io.BytesIO(content), "jpg", describe, **WHO)
    assert isinstance(entry.evidence, PhotoTaken)
    return entry.hash, entry.evidence.photo


def write_until_killed(root: Path, acknowledged: Path, run: int) -> None:
    """Add photos and readings for ever, acknowledging each."""
    with Book.open(root) as book:
        acknowledge(acknowledged, "ready")
        for number in range(10**6):
            acknowledge(acknowledged, *add_photo(book, f"{run} {number} ".encode() * 500))
            check = acts.record_reading(book, reading("P3.bore", 20.0 + number / 1000), **WHO)
            acknowledge(acknowledged, check.attempts[-1].stamp.entry)


def write_readings(root: Path, bench: str, count: int, acknowledged: Path) -> None:
    """Add this many readings as one bench, acknowledging each."""
    with Book.open(root, bench=bench, busy_seconds=60.0) as book:
        for number in range(count):
            entry = book.append(reading("P3.bore", 20.0 + number / 1000), **WHO)
            acknowledge(acknowledged, entry.hash)


def fill_under_limit(root: Path, limit_bytes: int, acknowledged: Path) -> None:
    """Add entries until no file may grow any more; then acknowledge what was said about it."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    with Book.open(root) as book:
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit_bytes, limit_bytes))
        for number in range(1000):
            try:
                check = acts.record_reading(book, reading("P3.bore", 20.0 + number / 1000), **WHO)
            except CannotWrite as error:
                acknowledge(acknowledged, "refused:", str(error))
                return
            acknowledge(acknowledged, check.attempts[-1].stamp.entry)
