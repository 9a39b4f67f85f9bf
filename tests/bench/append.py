"""Entries appended one by one, each safe on the disk, against plain sqlite3 writing the same.

The peer puts the very same rows into the same table with the same settings, a transaction each,
and after each adds the same line to a text file and syncs it: the same writes with the same
durability, without encoding, hashing, chaining, checking who writes or reading the last line. Both
take turns in stretches, on the same disk.
"""

import os
import sqlite3
import tempfile
import time
from pathlib import Path
from statistics import median

from annotate.quantity import Quantity
from store import ledger
from store.codec import Entry
from store.evidence import Read
from store.ledger import Ledger

COUNT, STRETCHES = 100_000, 20
WHO = {"at": "2026-03-02T09:00:00+01:00", "by": "A. Fitter"}


def print_append(count: int = COUNT) -> None:
    """Print both times for ``count`` entries, and how the ratio went from stretch to stretch."""
    each = max(1, count // STRETCHES)
    ours, plain = [], []
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        mine = Ledger.create(_made(Path(folder, "ours")))
        peer = _Peer(_made(Path(folder, "plain")))
        for _ in range(STRETCHES):
            begin = time.perf_counter()
            entries = [_append(mine, number) for number in range(each)]
            ours.append(time.perf_counter() - begin)
            begin = time.perf_counter()
            for entry in entries:
                peer.write(entry)
            plain.append(time.perf_counter() - begin)
        if len(mine.lines()) != peer.count():
            raise SystemExit("the two have not written the same")
        mine.close()
        peer.close()
    ratios = [a / b for a, b in zip(ours, plain, strict=True)]
    print(f"{each * STRETCHES} entries appended, each synced, in {STRETCHES} stretches by turns")
    for name, times in (("benchproof", ours), ("plain sqlite3", plain)):
        whole = sum(times)
        print(f"{name:16}{whole:>8.1f} s{whole / each / STRETCHES * 1e3:>8.2f} ms an entry")
    print(
        f"ratio {sum(ours) / sum(plain):.2f}; by stretch: median {median(ratios):.2f}, "
        f"first {ratios[0]:.2f}, last {ratios[-1]:.2f}"
    )


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder


def _append(mine: Ledger, number: int) -> Entry:
    text = f"{12 + number % 100 / 1000:.3f}"
    quantity = Quantity(float(text), "mm")
    read = Read("L1.wide", text, quantity, text, half_step=0.0005, gauge="MIC-A")
    with mine.transaction("north") as writer:
        return writer.append(read, **WHO)


class _Peer:
    """The least that keeps the same rows as safely: the program's own table and settings."""

    def __init__(self, root: Path) -> None:
        Ledger.create(root).close()
        self._root = root
        self._database = sqlite3.connect(root / ledger.FILE_NAME, isolation_level=None)
        for setting in ledger._SETTINGS.split(";"):
            self._database.execute(setting)

    def write(self, entry: Entry) -> None:
        self._database.execute("BEGIN IMMEDIATE")
        self._database.execute(
            "INSERT INTO entries (bench, seq, hash, line) VALUES (?, ?, ?, ?)",
            (entry.bench, entry.seq, entry.hash, entry.line),
        )
        self._database.execute("COMMIT")
        flags = os.O_WRONLY | os.O_APPEND | os.O_CREAT
        descriptor = os.open(self._root / ledger.HEADS_NAME, flags, 0o644)
        os.write(descriptor, f"{entry.bench} {entry.seq} {entry.hash}\n".encode())
        os.fsync(descriptor)
        os.close(descriptor)

    def count(self) -> int:
        return int(self._database.execute("SELECT count(*) FROM entries").fetchone()[0])

    def close(self) -> None:
        self._database.close()
