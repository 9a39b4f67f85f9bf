"""Cut the power at any write of a job's journey, in a model of what a disk may then have lost.

``python -m tests.faults.power_cuts --cuts 500`` prints how often it was cut, in which acts, how
much had been acknowledged by then, and how much of that was lost.

strace records every write, fsync and rename of the whole journey (ledger and its journal, photos,
papers, heads, checkpoints, reports, packs, copies, the key). Any beginning of that is replayed on
``model_disk``, which loses, tears and reorders what was not made durable.
"""

import argparse
import random
import shutil
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from store.book import Book
from store.errors import StoreError
from store.evidence import DebrisLogged
from tests.faults.model_disk import ModelDisk
from tests.faults.present import BOOK, COPY, SOUTH, entries_of, wrong_in
from tests.faults.shop import ACTS, BEFORE, furnish
from tests.faults.workbench import work_traced
from tests.faults.write_log import OPTIONS, Write, writes_in
from tests.store.small_job import WHO

_KEPT_WHOLE = ("out/", "data/")  # reports, packs, keys: files that stay as they are


class Promise(NamedTuple):
    """What the program had said by the end of an act: entries by book, files by path."""

    act: str
    entries: dict[str, set[str]]
    files: dict[str, str]


class Step(NamedTuple):
    """One change of the disk in the journey, and what was promised before it."""

    act: str
    write: Write
    promised: Promise | None


@dataclass
class Tally:
    """What came of all cuts."""

    acts: Counter[str] = field(default_factory=Counter)
    promised: int = 0
    wrong: list[str] = field(default_factory=list)


def recorded(folder: Path) -> tuple[Path, list[Step]]:
    """Do the whole journey; return the shop as it was before it, and every step."""
    first, shop, steps = folder / "first", folder / "shop", list[Step]()
    furnish(first)
    shutil.copytree(first, shop)
    model = ModelDisk(first)
    for act in ACTS:
        for words in (*BEFORE.get(act.name, ()), act.words):
            steps += _recorded(act.name, words, shop, model, steps[-1].promised if steps else None)
    return first, steps


def _recorded(
    act: str, words: tuple[str, ...], shop: Path, model: ModelDisk, promised: Promise | None
) -> list[Step]:
    """Do one command line, also on the model; return its steps."""
    sizes = {path: len(content) for path, content in model.tree().items()}
    done = work_traced(shop, words, *OPTIONS)
    if done.code != 0:
        raise RuntimeError(f"{act} ended with {done.code}: {done.err}")
    after, steps = _promise(act, shop), []
    for write in writes_in(done.seen, shop, sizes):
        model.do(write)
        promised = after if write.kind == "say" else promised
        steps.append(Step(act, write, promised))
    _refuse_difference(model, shop)
    return steps


def _promise(act: str, shop: Path) -> Promise:
    entries = {book: {e.hash for e in entries_of(shop, book)} for book in (BOOK, SOUTH, COPY)}
    files = {
        path.relative_to(shop).as_posix(): sha256(path.read_bytes()).hexdigest()
        for top in _KEPT_WHOLE
        for path in (shop / top).rglob("*")
        if path.is_file() and not path.is_relative_to(shop / COPY)
    }
    return Promise(act, entries, files)


def _refuse_difference(model: ModelDisk, shop: Path) -> None:
    """Raise unless the model holds what the disk holds: else a write was missed."""
    there = {
        path.relative_to(shop).as_posix(): path.read_bytes()
        for path in shop.rglob("*")
        if path.is_file() and not path.is_relative_to(shop / "tmp")
    }
    told = {path: content for path, content in model.tree().items() if not path.startswith("tmp/")}
    if wrong := [path for path in there | told if there.get(path) != told.get(path)]:
        raise RuntimeError(f"the model is not the disk: {wrong[:3]}")


def cut_often(folder: Path, cuts: int, chance: random.Random) -> Tally:
    """Cut the power so many times; return what came of it."""
    tally, (first, steps) = Tally(), recorded(folder)
    model, done = ModelDisk(first), 0
    for upto in sorted(chance.choices(range(1, len(steps) + 1), k=cuts)):
        for step in steps[done:upto]:
            model.do(step.write)
        done, last = upto, steps[upto - 1]
        shop = folder / "cut"
        shutil.rmtree(shop, ignore_errors=True)
        model.after_cut(shop, chance)
        tally.acts[last.act] += 1
        if last.promised:
            tally.promised += sum(len(each) for each in last.promised.entries.values())
            tally.promised += len(last.promised.files)
        where = (
            f"{last.act}, after write {upto} of {len(steps)} ({last.write.kind} {last.write.path})"
        )
        tally.wrong += [f"{where}: {each}" for each in lost_in(shop, last.promised)]
        _show(where)
    return tally


def lost_in(shop: Path, promised: Promise | None) -> list[str]:
    """Return what was promised and is not there, or is not sound, before and after it goes on."""
    found = []
    if promised is None:
        return found
    for path, digest in promised.files.items():
        there = shop / path
        if not there.is_file():
            found.append(f"{path} is gone")
        elif sha256(there.read_bytes()).hexdigest() != digest:
            found.append(f"{path} is not what it was")
    for book, entries in promised.entries.items():
        if entries:
            found += [f"{book}: {each}" for each in _lost_in_book(shop, book, entries)]
    return found


def _lost_in_book(shop: Path, book: str, entries: set[str]) -> list[str]:
    found = [str(each) for each in wrong_in(shop, book)]
    try:
        with Book.open(shop / book) as opened:
            lost = entries - {entry.hash for entry in opened.entries()}
            found += [f"{len(lost)} entries are gone"] if lost else []
            found += [f"{each[:12]} is missing" for each in opened.missing_photos()]
            opened.append(DebrisLogged("C1", "goes on", clean=True), **WHO)
    except StoreError as error:
        found.append(f"it does not go on: {error}")
    return [*found, *(f"{each}, when it went on" for each in wrong_in(shop, book))]


def _show(words: str) -> None:
    if sys.stderr.isatty():
        sys.stderr.write(f"\r{words:<100.100}")


def main() -> None:
    """Cut it so many times and print what came of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.power_cuts", description=__doc__)
    parser.add_argument("--cuts", type=int, default=500)
    parser.add_argument("--seed", type=int, default=20260302)
    given = parser.parse_args()
    chance = random.Random(given.seed)  # noqa: S311 - places, no secrets
    with tempfile.TemporaryDirectory() as folder:
        tally = cut_often(Path(folder), given.cuts, chance)
    for act, often in tally.acts.items():
        print(f"  in {act:<12} {often:4}")
    print(
        f"cut {tally.acts.total()} times; acknowledged until then, all cuts together: "
        f"{tally.promised} entries and files"
    )
    print(f"lost or wrong {len(tally.wrong)}")
    for words in tally.wrong:
        print(f"  {words}")


if __name__ == "__main__":
    main()
