"""A book of 2,000 checks and 20,000 readings: looking at it, closing, filing, judging.

The peer of a command is the least that any program in Python has to do: start (``python -c pass``)
and fetch every line of the same ledger with one SELECT. All take turns within one run. "Known" is
what was worked out before from the same bytes; "the full way" has that removed. The peer of
judging is the bare arithmetic of the same probabilities over whole arrays (numpy, scipy.special).
"""

import os
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import numpy as np
from scipy import special

from annotate.quantity import LEVEL, Quantity
from capture.commands import ahead
from store.book import Book
from store.characteristic import Limit
from store.codec import decode_own
from store.judge import judge
from store.known.unhindered import unhindered
from store.ledger import FILE_NAME
from store.standing import standing
from store.told.telling import Telling
from store.written import acts
from tests.bench import big_book
from tests.bench.startup import seconds

RUNS, FILED = 7, 60
_REFUSED = 6

Times = dict[str, list[float]]


def print_scale(runs: int = RUNS) -> None:
    """Build the book, then print every time with its ratio to the peer of the same run."""
    with tempfile.TemporaryDirectory() as folder:
        # Byte code is kept, as it is where the program is installed, whatever this shell says.
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = str(Path(folder, "byte code"))
        os.environ["XDG_CACHE_HOME"] = str(Path(folder, "cache"))
        begin = time.perf_counter()
        book = big_book.build(Path(folder, "book"))
        took = time.perf_counter() - begin
        _print_size(book, took)
        _print_looking(book, Path(folder), runs)
        _print_filing(book, Path(folder))
        _print_small(Path(folder), runs)
    _print_judging(runs)


def _print_size(root: Path, took: float) -> None:
    with Book.open(root, read_only=True) as book:
        readings = sum(entry.kind == "reading" for entry in book.entries())
        print(
            f"a book of {len(book.plan.walk())} checks, {readings} readings, "
            f"{len(book.entries())} entries, {(root / FILE_NAME).stat().st_size / 1e6:.1f} MB; "
            f"filed by its own acts, many to a transaction, in {took:.0f} s: "
            f"{readings / took:.0f} readings a second"
        )


def _print_looking(root: Path, folder: Path, runs: int) -> None:
    times: Times = {}
    for run in range(runs + 1):  # the first is for the byte code and the disk's cache
        found = _look_once(root, folder, run)
        for name, took in found.items() if run else ():
            times.setdefault(name, []).append(took)
    peers = zip(times["python -c pass"], times["SELECT line, fetchall"], strict=True)
    peer = [start + scan for start, scan in peers]
    print(f"\nlooking and closing, {runs} runs taking turns; peer: the first two together")
    print(f"{'':36}{'median':>10}{'ratio':>8}{'least ratio':>13}")
    for name, row in {**times, "peer": peer}.items():
        ratios = [each / by for each, by in zip(row, peer, strict=True)]
        print(f"{name:36}{median(row) * 1e3:>7.0f} ms{median(ratios):>8.2f}{min(ratios):>13.2f}")


def _look_once(root: Path, folder: Path, run: int) -> dict[str, float]:
    copy = Path(shutil.copytree(root, folder / f"copy-{run}"))
    cache = folder / "cache"
    shutil.rmtree(cache, ignore_errors=True)
    found = {
        "python -c pass": seconds("-c", "pass"),
        "SELECT line, fetchall": _timed(lambda: _scan(root)),
        "round, worked out": _command("round", copy),
        "round, again": _command("round", copy),
        "one reading, and the round ahead": _command("reading", copy, "L200.wide", "12.001"),
        "round after that": _command("round", copy),
        "close lid, refused, known": _command("close", copy, "lid", code=_REFUSED),
    }
    found["round after that refusal"] = _command("round", copy)
    found[f"close {big_book.COVER}, known"] = _command("close", copy, big_book.COVER)
    found["round after that closing"] = _command("round", copy)
    for name, code in (("cover-2", 0), ("lid", _REFUSED)):
        shutil.rmtree(cache)
        found[f"close {name}, the full way"] = _command("close", copy, name, code=code)
    shutil.rmtree(copy)
    return {**found, **_inside(root)}


def _command(verb: str, book: Path, *words: str, code: int = 0) -> float:
    """Return the wall time of a whole process."""
    arguments = [sys.executable, "-m", "capture", verb, str(book), *words]
    begin = time.perf_counter()
    done = subprocess.run(arguments, capture_output=True, check=False)
    took = time.perf_counter() - begin
    if done.returncode != code:
        raise SystemExit(f"{verb} ended with {done.returncode}: {done.stderr.decode()}")
    return took


def _inside(root: Path) -> dict[str, float]:
    """Return the times of the parts, in this process."""
    lines = _scan(root)
    with unhindered():
        begin = time.perf_counter()
        entries = [decode_own(line) for (line,) in lines]
        decoded = time.perf_counter()
        told = Telling(entries)
        sorted_ = time.perf_counter()
        standing(told)
        stood = time.perf_counter()
    return {
        "in process: decode, hashed": decoded - begin,
        "in process: sort by subject": sorted_ - decoded,
        "in process: standing, whole": stood - sorted_,
    }


def _scan(root: Path) -> list[tuple[bytes]]:
    database = sqlite3.connect(f"{(root / FILE_NAME).as_uri()}?mode=ro", uri=True)
    try:
        return database.execute("SELECT line FROM entries").fetchall()
    finally:
        database.close()


def _timed(act: Callable[[], object]) -> float:
    begin = time.perf_counter()
    act()
    return time.perf_counter() - begin


def _print_small(folder: Path, runs: int) -> None:
    """Print what working the round out ahead adds to a command on a book of a usual size."""
    book = big_book.build(folder / "small", locations=10)
    whole = median(_command("reading", book, "L010.wide", "12.001") for _ in range(runs))
    took = []
    for _ in range(runs):
        shutil.rmtree(folder / "cache", ignore_errors=True)
        with Book.open(book) as opened:
            ahead.see(opened)
        took.append(_timed(ahead.work_ahead))
    print(
        f"\na book of 100 checks, 1,000 readings: one reading as a whole process "
        f"{whole * 1e3:.0f} ms, of which the round ahead {median(took) * 1e3:.0f} ms"
    )


def _print_filing(root: Path, folder: Path) -> None:
    """Print how long one reading takes, each synced: in a new book, and after 20,000 of them."""
    plan = big_book.plan()
    with (
        Book.create(folder / "new", plan, bench="north", version="bench", **big_book.WHO) as new,
        Book.open(root) as full,
    ):
        single = ("wide", "deep", "tight")
        times = [_file(new, single), _file(full, single), _file(full, ("a",))]
    print(f"\nfiling one by one, each synced to the disk, {FILED} each, medians")
    for name, took in zip(
        ("in a new book", "after 20,000 readings", "there, into a grid of 18, worked out anew"),
        times,
        strict=True,
    ):
        print(f"{name:42}{took * 1e3:>7.1f} ms, {1 / took:>4.0f} a second{took / times[0]:>7.2f} x")


def _file(book: Book, ids: tuple[str, ...]) -> float:
    dice = random.Random(1)  # noqa: S311 - sizes, no secrets
    location = book.plan.locations[-1]
    checks = [check for check in location.characteristics if check.id in ids]
    took = []
    for number in range(FILED):
        check = checks[number % len(checks)]
        read = big_book.reading(location.id, check, check.spots[number % len(check.spots)], dice)
        begin = time.perf_counter()
        acts.record_reading(book, read, **big_book.WHO)
        took.append(time.perf_counter() - begin)
    return median(took)


def _print_judging(runs: int) -> None:
    low, high = 0.02, 0.18
    limit = Limit("own", at_least=Quantity(low, "mm"), at_most=Quantity(high, "mm"))
    print(f"\njudging {big_book.READINGS} readings by a limit with two sides, {runs} runs")
    for name, freedoms in (
        ("normal", None),
        ("t, 40 gauges' degrees of freedom", np.arange(2.0, 42.0)),
        ("t, each its own degrees of freedom", np.linspace(2.0, 90.0, big_book.READINGS)),
    ):
        rng = np.random.default_rng(3)
        values = rng.uniform(0.0, 0.2, big_book.READINGS)
        us = rng.uniform(0.001, 0.02, big_book.READINGS)
        dofs = None if freedoms is None else np.resize(freedoms, big_book.READINGS)
        quantities = [
            Quantity(float(v), "mm", float(u), None if dofs is None else float(dofs[n]))
            for n, (v, u) in enumerate(zip(values, us, strict=True))
        ]
        ours, bare = [], []
        for _ in range(runs):
            begin = time.perf_counter()
            verdicts = [judge(each, limit) for each in quantities]
            ours.append(time.perf_counter() - begin)
            begin = time.perf_counter()
            within, *_ = _bare(values, us, dofs, low, high)
            bare.append(time.perf_counter() - begin)
        off = np.abs(within - [v.probability_within for v in verdicts]).max()
        if off > 1e-9:  # the two must say the same
            raise SystemExit(f"the two disagree about a probability by {off}")
        each = median(ours) / big_book.READINGS * 1e6
        print(
            f"{name:36}{median(ours) * 1e3:>7.0f} ms, {each:.0f} us each; arrays "
            f"{median(bare) * 1e3:.1f} ms: {median(ours) / median(bare):.0f} x"
        )


def _bare(
    values: "np.ndarray[tuple[int], np.dtype[np.float64]]",
    us: "np.ndarray[tuple[int], np.dtype[np.float64]]",
    dofs: "np.ndarray[tuple[int], np.dtype[np.float64]] | None",
    low: float,
    high: float,
) -> tuple[object, ...]:
    """Return probability, bounds and state of all at once: the arithmetic and nothing else."""
    if dofs is None:
        below, above = special.ndtr((low - values) / us), special.ndtr((values - high) / us)
        reach = us * special.ndtri(LEVEL)
    else:
        below = special.stdtr(dofs, (low - values) / us)
        above = special.stdtr(dofs, (values - high) / us)
        reach = us * special.stdtrit(dofs, LEVEL)
    within = np.maximum(0.0, 1.0 - below - above)
    state = np.where(within >= LEVEL, "within", np.where(1 - within >= LEVEL, "outside", "close"))
    return within, values - reach, values + reach, state
