"""Kill the desk again and again while a job is worked at it, and look whether anything is lost.

``python -m tests.faults.desk_killed --times 100`` prints how often it was killed, in which acts,
how much had been acknowledged, and how much of that was lost.

A child works at the window; each time it is killed the next one opens the same book and goes on
with the act that was cut short. After the last act another job is begun.
"""

import argparse
import os
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from queue import Empty, SimpleQueue
from threading import Thread
from typing import Literal, NamedTuple

from capture.desk.marking.drafts import Drafts
from capture.verifying import verify_book
from store.book import Book
from store.evidence import Marked, Read
from store.round import Check, Round
from tests.journey.desk_acts import ACTS, JOB, WAIVER

Moment = Literal["before", "during", "after"]
MOMENTS: tuple[Moment, ...] = ("before", "during", "after")
_NAMES = [act.name for act in ACTS]
_PATIENCE_S = 600  # of a machine that has other work too
_ANY_S = 2.5  # a random moment lies within the first seconds of an act
_AHEAD = 2  # so many acts are done in peace before the one in which it is killed, at most


class Life(NamedTuple):
    """What one child said until it was killed, line by line, and whether it ended by itself."""

    lines: list[str]
    ended: bool

    def told(self, head: str) -> list[str]:
        """Return what stands behind a first word, in order."""
        return [line.removeprefix(f"{head} ") for line in self.lines if line.startswith(f"{head} ")]


@dataclass
class Tally:
    """What came of all kills."""

    kills: int = 0
    acts: Counter[str] = field(default_factory=Counter)
    moments: Counter[str] = field(default_factory=Counter)
    acknowledged: int = 0
    drafts: int = 0
    landings: int = 0
    lost: list[str] = field(default_factory=list)


@dataclass
class Job:
    """One job's folder, what was acknowledged in it, and where its worker was last."""

    root: Path
    kept: list[str] = field(default_factory=list)
    act: str = _NAMES[0]
    last_at: set[str] = field(default_factory=set)


def kill_often(folder: Path, times: int, chance: random.Random, *, verify_every: int = 1) -> Tally:
    """Kill a desk so many times: as an act begins, at a random moment in it, and right after it."""
    tally, turn = Tally(), count()
    job = Job(folder / "job-0")
    for kill in range(times):
        moment = MOMENTS[kill % len(MOMENTS)]
        now = _NAMES.index(job.act)
        in_act = _NAMES[min(now + chance.randint(0, _AHEAD), len(_NAMES) - 1)]
        life = live(job, in_act, moment, chance.uniform(0, _ANY_S))
        tally.kills += not life.ended
        tally.acts[(life.told("act") or [job.act])[-1]] += 1
        tally.moments[moment] += 1
        _look(job, life, tally)
        if kill % verify_every == 0 or kill == times - 1:
            tally.lost += [f"{job.act}: {found}" for found in _findings(job.root)]
        if job.act == "" or not job.kept:
            job = Job(folder / f"job-{next(turn) + 1}")
    return tally


def live(job: Job, in_act: str, moment: Moment, later_s: float) -> Life:
    """Let a child work at a job from where it is, and kill it in an act."""
    job.root.mkdir(parents=True, exist_ok=True)
    (job.root / "tmp").mkdir(exist_ok=True)
    here = {
        "XDG_DOCUMENTS_DIR": job.root, "TMPDIR": job.root / "tmp",
        # Byte code is kept, as it is where the program is installed, whatever this shell says.
        "PYTHONDONTWRITEBYTECODE": "", **{
            f"XDG_{name}_HOME": job.root / name.lower()
            for name in ("CONFIG", "STATE", "CACHE", "DATA")
        },
    }  # fmt: skip
    environment = {**os.environ, **{name: str(path) for name, path in here.items()}}
    with (job.root / "errors.txt").open("ab") as errors, subprocess.Popen(
        [sys.executable, "-m", "tests.faults.desk_runner", str(job.root), job.act],
        stdout=subprocess.PIPE, stderr=errors, env=environment, cwd=Path(__file__).parents[2],
    ) as child:  # fmt: skip
        try:
            lines = _listen(child, in_act, moment, later_s)
        finally:
            child.kill()
    ended = bool(lines) and lines[-1] == "end"
    if child.returncode not in {-9, 0} or (child.returncode == 0 and not ended):
        raise RuntimeError(f"the desk failed by itself: {(job.root / 'errors.txt').read_text()}")
    return Life(lines, ended)


def _listen(child: subprocess.Popen[bytes], act: str, moment: Moment, later_s: float) -> list[str]:
    """Return the lines that a child said before and until it was killed at a moment."""
    said: SimpleQueue[str] = SimpleQueue()
    Thread(target=_hear, args=(child, said), daemon=True).start()
    lines: list[str] = []
    ends = time.monotonic() + _PATIENCE_S
    while True:
        try:
            line = said.get(timeout=max(0.0, ends - time.monotonic()))
        except Empty:
            break
        if line == "":
            return lines
        lines.append(line)
        if moment == "before" and line == f"act {act}":
            break
        if moment == "during" and line == f"act {act}":
            ends = time.monotonic() + later_s
        if moment == "after" and line == f"done {act}":
            break
    child.kill()
    while (line := said.get()) != "":
        lines.append(line)
    return lines


def _hear(child: subprocess.Popen[bytes], said: "SimpleQueue[str]") -> None:
    assert child.stdout is not None
    for line in child.stdout:
        if line.endswith(b"\n"):
            said.put(line.decode().strip())
    said.put("")


# --- what is there afterwards ---------------------------------------------------------------


def _look(job: Job, life: Life, tally: Tally) -> None:
    """Compare what was acknowledged with what is there; say which act comes next."""
    landed = life.told("landed")
    if job.last_at and landed:
        tally.landings += 1
        if landed[0].split()[-1] not in job.last_at:
            tally.lost.append(f"landed at {landed[0]}, was at {sorted(job.last_at)}")
    job.kept += life.told("kept")
    tally.acknowledged += len(life.told("kept"))
    tally.drafts += sum(words.startswith("draft ") for words in life.told("kept"))
    begun, done = life.told("act"), life.told("done")
    now = begun[-1] if begun else job.act
    following = [*_NAMES, ""]
    job.act = following[_NAMES.index(now) + 1] if now in done else now
    at = life.told("at") or [where.split()[-1] for where in landed if " " in where.strip()]
    if at:
        job.last_at = {at[-1]}
    if begun and now not in done:
        job.last_at |= set(ACTS[_NAMES.index(now)].goes)
    tally.lost += lost(job.root, job.kept)


def lost(root: Path, kept: list[str]) -> list[str]:
    """Return what was acknowledged and is not there, in the book or in the drafts."""
    if not kept:
        return []
    [book] = [path.parent for path in root.glob("*/*/ledger.db")]
    with Book.open(book, read_only=True) as opened:
        known = opened.round()
    drafts = Drafts(root / "state" / "benchproof" / "marks")
    return [words for words in kept if not _is_there(words.split(), known, book, drafts)]


def _is_there(words: list[str], known: Round, book: Path, drafts: Drafts) -> bool:
    kind, key, rest = words[0], words[1], " ".join(words[2:])
    looks: dict[str, Callable[[], bool]] = {
        "begun": lambda: known.job.number == JOB["number"],
        "limit": lambda: _limit_source(known.check(key)) == rest,
        "photo": lambda: rest in {photo.taken.photo for photo in known.place(key).photos},
        "draft": lambda: _is_marked(known.check(key)) or _is_drafted(drafts, book, key, rest),
        "marks": lambda: _is_marked(known.check(key)),
        "reading": lambda: rest in {_text(a.record) for a in known.check(key).attempts},
        "refused": lambda: bool(known.hold(key).refusals),
        "waived": lambda: (
            [(w.decided_by, w.reason, w.owner_agreed) for w in known.hold(key).waived] == [WAIVER]
        ),
        "closed": lambda: known.hold(key).closed is not None,
    }
    return looks[kind]()


def _limit_source(check: Check) -> str:
    return check.characteristic.limit.source if check.characteristic.limit else ""


def _text(record: object) -> str:
    return record.text if isinstance(record, Read) else ""


def _is_drafted(drafts: Drafts, book: Path, key: str, photo: str) -> bool:
    """Return whether marks that nobody accepted yet are still at hand."""
    draft = drafts.find(str(book), key, photo, by="R. Ansell")
    return draft is not None and draft.layer.rim("near") is not None


def _is_marked(check: Check) -> bool:
    return any(isinstance(attempt.record, Marked) for attempt in check.attempts)


def _findings(root: Path) -> list[str]:
    """Return what verification says of the book as it was left, but for notes."""
    books = [path.parent for path in root.glob("*/*/ledger.db")]
    return [
        str(found) for book in books for found in verify_book(book, version="0.0-test")
        if found.severity != "note"
    ]  # fmt: skip


# --- the command ----------------------------------------------------------------------------


def main() -> None:
    """Kill it so many times and print what came of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.desk_killed", description=__doc__)
    parser.add_argument("--times", type=int, default=100)
    parser.add_argument("--seed", type=int, default=20260302)
    given = parser.parse_args()
    chance = random.Random(given.seed)  # noqa: S311 - moments, no secrets
    with tempfile.TemporaryDirectory() as folder:
        tally = kill_often(Path(folder), given.times, chance)
    print(f"killed {tally.kills} times")
    for name in _NAMES:
        print(f"  in {name:<16} {tally.acts[name]:4}")
    for moment, often in tally.moments.items():
        print(f"  {moment:<19} {often:4}")
    print(f"acknowledged {tally.acknowledged}, of which drafts of marks {tally.drafts}")
    print(f"opened again where one was {tally.landings} times")
    print(f"lost, or wrong in the book {len(tally.lost)}")
    for words in tally.lost:
        print(f"  {words}")


if __name__ == "__main__":
    main()
