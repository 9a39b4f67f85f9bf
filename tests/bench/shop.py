"""The books of 500 jobs searched: the first look, a later one, one book changed, and the questions.

Peers, in the same run: for a question, plain sqlite3 asking the index file for the same rows; for
a look at the books when nothing has changed, a walk over the folders and a stat of every ledger;
for the command, ``python -c pass``. Each book has 20 checks and about 200 readings.
"""

import os
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from statistics import median

from msgspec.structs import replace

from store.book import Book
from store.codec import Entry
from store.evidence import Evidence, JobStarted
from store.ledger import FILE_NAME
from store.many_jobs.shop_file import ShopFile
from store.many_jobs.sought import Sought
from store.shop import Shop
from tests.bench import big_book
from tests.bench.startup import seconds
from tests.store.forgery import redo

BOOKS, RUNS, LOCATIONS = 500, 9, 2
_CUSTOMERS = ("Ada Quill", "Ostrow", "M. Brandt", "Fenmoor Lower Drainage")
_COLUMNS = "b.job, b.customer, b.path, c.*"
_RESTS = (
    "b.job = 'B-7' AND c.entry IN "
    "(SELECT entry FROM touched t WHERE t.book = c.book AND t.gauge = 'MIC-A')"
)
_QUESTIONS = (
    ("one check of every job", Sought(check="L001.gap"), "c.key = 'L001.gap'"),
    ("the same, one customer's", Sought(check="L001.gap", customer="quill"),
     "c.key = 'L001.gap' AND b.customer LIKE '%quill%'"),
    ("words", Sought(words="L002.tight"),
     "c.id IN (SELECT rowid FROM words WHERE words MATCH '\"L002.tight\"')"),
    ("all that rests on a gauge", Sought(gauge="MIC-A", job="B-7"), _RESTS),
)  # fmt: skip


def print_shop(books: int = BOOKS, runs: int = RUNS) -> None:
    """Make the books, then print every time with its ratio to the peer of the same run."""
    with tempfile.TemporaryDirectory() as place:
        folder, index = Path(place, "jobs"), Path(place, "shop.db")
        os.environ["XDG_CACHE_HOME"] = str(Path(place, "cache"))
        _make(folder, books)
        size = sum(path.stat().st_size for path in folder.rglob(FILE_NAME)) / 1e6
        print(f"{books} books, {size:.0f} MB of ledgers")
        first = _timed(lambda: _look(index, folder), 1)
        with closing(sqlite3.connect(index)) as plain:
            (readings,) = plain.execute("SELECT count(*) FROM readings").fetchone()
        print(f"first look {first:.1f} s ({1000 * first / books:.0f} ms a book), "
              f"{readings} readings, index {index.stat().st_size / 1e6:.0f} MB")  # fmt: skip
        _print_looking(folder, index, runs)
        _print_asking(folder, index, runs)
        _print_command(folder, runs)


def _make(folder: Path, books: int) -> None:
    first = big_book.build(folder / "0", LOCATIONS)
    for number in range(1, books):
        root = Path(shutil.copytree(first, folder / str(number)))

        def other(entry: Entry, number: int = number) -> Evidence:
            record = entry.evidence
            if not isinstance(record, JobStarted):
                return record
            customer = _CUSTOMERS[number % len(_CUSTOMERS)]
            job = replace(record.plan.job, number=f"B-{number}", customer=customer)
            return replace(record, plan=replace(record.plan, job=job))

        redo(root, other)


def _look(index: Path, folder: Path) -> None:
    with closing(Shop(ShopFile(index, version="bench"))) as shop:
        shop.refresh([folder])


def _print_looking(folder: Path, index: Path, runs: int) -> None:
    def walk() -> None:
        for place, folders, files in os.walk(folder):
            if FILE_NAME in files:
                folders.clear()
                Path(place, FILE_NAME).stat()

    def change() -> None:
        with Book.open(folder / "7") as book:
            book.append(book.entries()[-1].evidence, **big_book.WHO)

    later = _timed(lambda: _look(index, folder), runs)
    peer = _timed(walk, runs)
    print(f"{'nothing changed, opening the index too':<42}{1000 * later:8.1f} ms"
          f"{later / peer:8.1f} x a walk and stats ({1000 * peer:.1f} ms)")  # fmt: skip
    changed = []
    for _ in range(runs):
        change()
        changed.append(_timed(lambda: _look(index, folder), 1))
    print(f"{'one book changed':<42}{1000 * median(changed):8.1f} ms"
          f"{median(changed) / peer:8.1f} x the same")  # fmt: skip


def _print_asking(folder: Path, index: Path, runs: int) -> None:
    with (
        closing(Shop(ShopFile(index, version="bench"))) as shop,
        closing(sqlite3.connect(index)) as plain,
    ):
        shop.refresh([folder])
        for name, sought, where in _QUESTIONS:
            question = (
                f"SELECT {_COLUMNS} FROM checks c JOIN books b ON b.id = c.book WHERE {where}"  # noqa: S608 - ours
            )
            ours = len(shop.checks(sought))
            theirs = len(plain.execute(question).fetchall())
            if ours != theirs or not ours:
                raise SystemExit(f"{name}: {ours} rows, and {theirs} by plain SQL")
            took = _timed(lambda sought=sought: shop.checks(sought), runs)
            peer = _timed(lambda question=question: plain.execute(question).fetchall(), runs)
            print(f"{name:<34}{ours:>6} rows{1000 * took:8.1f} ms"
                  f"{took / peer:8.1f} x plain SQL ({1000 * peer:.1f} ms)")  # fmt: skip


def _print_command(folder: Path, runs: int) -> None:
    command = ["-m", "capture", "shop", str(folder), "--check", "L001.gap"]
    seconds(*command)
    took = median(seconds(*command) for _ in range(runs))
    peer = median(seconds("-c", "pass") for _ in range(runs))
    print(f"{'the command, nothing changed':<42}{1000 * took:8.0f} ms"
          f"{took / peer:8.1f} x python -c pass ({1000 * peer:.0f} ms)")  # fmt: skip


def _timed(work: Callable[[], object], runs: int) -> float:
    took = []
    for _ in range(runs):
        begin = time.perf_counter()
        work()
        took.append(time.perf_counter() - begin)
    return median(took)
