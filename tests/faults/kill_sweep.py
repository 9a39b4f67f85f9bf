"""Kill the program at every system call that writes, in every act of a job's journey.

``python -m tests.faults.kill_sweep`` prints how many (act, call, ordinal) points there were, by act
and by call, and after how many of them anything was wrong.

strace tells which calls an act makes, and ends it as it enters the k-th of a kind: k = 1, 2, 3 ...
until it survives.
"""

import argparse
import re
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from tests.faults.aftermath import faults_after
from tests.faults.present import entries_of
from tests.faults.shop import ACTS, Act, BeforeEach
from tests.faults.workbench import Done, work_traced

# Of some a machine knows only one form: the question mark lets strace pass over the other.
CALLS = (
    "openat", "write", "?writev", "pwrite64", "fsync", "fdatasync", "?rename", "?renameat",
    "?renameat2", "?link", "?linkat", "?unlink", "?unlinkat", "?rmdir", "ftruncate", "?mkdir",
    "?mkdirat", "?chmod", "fchmod", "?fchmodat", "?sendfile", "?copy_file_range", "?symlink",
)  # fmt: skip
TRACE = ("-e", f"trace={','.join(CALLS)}")
_CALL = re.compile(r"^(\w+)\((.*)", re.MULTILINE)
_WRITES = ("O_WRONLY", "O_RDWR", "O_CREAT")


class Point(NamedTuple):
    """The k-th call of a kind in an act."""

    act: str
    call: str
    ordinal: int


@dataclass
class Tally:
    """What came of all kills: how many hit by act and by call, and what was wrong."""

    by_act: Counter[str] = field(default_factory=Counter)
    by_call: Counter[str] = field(default_factory=Counter)
    said: int = 0
    wrong: list[str] = field(default_factory=list)


def sweep(
    before: BeforeEach,
    acts: Iterable[Act],
    *,
    every: int = 1,
    ended: Callable[[str, Tally], None] = lambda _act, _tally: None,
) -> Tally:
    """Kill each act at every so-manieth of its points; return the tally.

    ``ended`` is told when an act is through.
    """
    tally = Tally()
    for act in acts:
        points = points_of(before, act)
        for point in points[::every]:
            done = kill_at(before, point, act, tally)
            _show(f"{point} {done.code}")
        if every == 1:
            _until_it_survives(before, points, act, tally)
        ended(act.name, tally)
    return tally


def points_of(before: BeforeEach, act: Act) -> list[Point]:
    """Return the points of an act: its calls that write, each with its ordinal of its kind."""
    shop = before.set_up(act.name)
    done = work_traced(shop, act.words, *TRACE)
    if done.code != 0:
        raise RuntimeError(f"{act.name} ended with {done.code}: {done.err}")
    count: Counter[str] = Counter()
    found = []
    for call, given in _CALL.findall(done.seen):
        count[call] += 1
        if call != "openat" or any(flag in given for flag in _WRITES):
            found.append(Point(act.name, call, count[call]))
    return found


def kill_at(before: BeforeEach, point: Point, act: Act, tally: Tally) -> Done:
    """Do an act, kill it at a point, and add what came of it to the tally."""
    shop = before.set_up(act.name)
    known = entries_of(shop)
    inject = f"inject={point.call}:signal=KILL:when={point.ordinal}"
    done = work_traced(shop, act.words, *TRACE, "-e", inject)
    if done.was_hit:
        tally.by_act[act.name] += 1
        tally.by_call[point.call] += 1
        tally.said += bool(done.out)
    found = faults_after(shop, act, done, known)
    tally.wrong += [f"{act.name}, {point.call} {point.ordinal}: {each}" for each in found]
    return done


def _until_it_survives(before: BeforeEach, points: list[Point], act: Act, tally: Tally) -> None:
    """Go on beyond the last known call of each kind, until the act is no longer hit."""
    for call in sorted({point.call for point in points} - {"openat"}):
        ordinal = max(point.ordinal for point in points if point.call == call) + 1
        while kill_at(before, Point(act.name, call, ordinal), act, tally).was_hit:
            ordinal += 1


def _show(words: str) -> None:
    if sys.stderr.isatty():
        sys.stderr.write(f"\r{words:<70}")


def main() -> None:
    """Kill it at every point and print what came of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.kill_sweep", description=__doc__)
    names = [act.name for act in ACTS]
    parser.add_argument("acts", nargs="*", metavar="ACT", help=f"of {', '.join(names)}")
    parser.add_argument("--every", type=int, default=1, help="only every so-manieth point")
    given = parser.parse_args()
    chosen = [act for act in ACTS if not given.acts or act.name in given.acts]
    with tempfile.TemporaryDirectory() as folder:
        before = BeforeEach(Path(folder))
        tally = sweep(before, chosen, every=given.every, ended=_print_act)
    for call, often in sorted(tally.by_call.items()):
        print(f"  at {call:<12} {often:4}")
    print(f"killed at {tally.by_act.total()} distinct points; {tally.said} after it said so")
    print(f"wrong {len(tally.wrong)}")


def _print_act(act: str, tally: Tally) -> None:
    """Print what an act came to as soon as it is through: a sweep takes long, and may be ended."""
    print(f"  in {act:<12} {tally.by_act[act]:4}", flush=True)
    for words in tally.wrong:
        if words.startswith(f"{act}, "):
            print(f"    {words}", flush=True)


if __name__ == "__main__":
    main()
