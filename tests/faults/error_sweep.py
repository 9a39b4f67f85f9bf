"""Let every system call of a job's journey fail: disk full, fault, read-only, too many files open.

``python -m tests.faults.error_sweep`` prints how many (act, call, errno, ordinal) points there were
and after how many of them anything was wrong: a traceback, a refusal that is no plain sentence,
something acknowledged that is not there, something half, litter left for good, or an act that can't
be done when the fault is gone.

strace lets the k-th call of a kind fail, once, or every one from the k-th on: k = 1, 2, 3 ... until
the act is not hit.
"""

import argparse
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from tests.faults.aftermath import faults_after
from tests.faults.present import entries_of
from tests.faults.shop import ACTS, Act, BeforeEach
from tests.faults.workbench import Done, work_traced

_FULL, _FAULT, _READ_ONLY, _TOO_MANY = "ENOSPC", "EIO", "EROFS", "EMFILE"
ERRORS = {
    "openat": (_TOO_MANY, _FAULT),
    "write": (_FULL, _FAULT),
    "pwrite64": (_FULL, _FAULT),
    "fsync": (_FAULT, _FULL),
    "fdatasync": (_FAULT, _FULL),
    "rename": (_FAULT, _READ_ONLY, _FULL),
    "link": (_FAULT, _READ_ONLY),
    "unlink": (_FAULT, _READ_ONLY),
    "ftruncate": (_FAULT,),
    "mkdir": (_FULL, _READ_ONLY),
    "chmod": (_FAULT, _READ_ONLY),
    "sendfile": (_FULL, _FAULT),
}
_FOR_EVER = ("write", "pwrite64", "fsync", "mkdir")
_OUR_BUG = 70


class Point(NamedTuple):
    """The k-th call of a kind in an act that fails, or the k-th and every one after it."""

    act: str
    call: str
    error: str
    ordinal: int
    for_ever: bool


@dataclass
class Tally:
    """What came of all faults: how many hit by call and error, and what was wrong."""

    by_act: Counter[str] = field(default_factory=Counter)
    by_error: Counter[str] = field(default_factory=Counter)
    refused: int = 0
    wrong: list[str] = field(default_factory=list)


def sweep(
    before: BeforeEach,
    acts: Iterable[Act],
    *,
    every: int = 1,
    ended: Callable[[str, Tally], None] = lambda _act, _tally: None,
) -> Tally:
    """Let every so-manieth call of each act fail, until it is not hit; return the tally.

    ``ended`` is told when an act is through.
    """
    tally = Tally()
    for act in acts:
        for call, error, for_ever in _kinds():
            ordinal = every
            while fail_at(before, Point(act.name, call, error, ordinal, for_ever), act, tally):
                ordinal += every
            _show(f"{act.name} {call} {error} {ordinal}")
        ended(act.name, tally)
    return tally


def _kinds() -> Iterator[tuple[str, str, bool]]:
    for call, errors in ERRORS.items():
        for error in errors:
            yield call, error, False
            if call in _FOR_EVER and error == _FULL:
                yield call, error, True


def fail_at(before: BeforeEach, point: Point, act: Act, tally: Tally) -> bool:
    """Do an act with a fault; add what came of it to the tally, and return whether it was hit."""
    shop = before.set_up(act.name)
    known = entries_of(shop)
    when = f"{point.ordinal}+" if point.for_ever else f"{point.ordinal}"
    inject = f"inject={point.call}:error={point.error}:when={when}"
    done = work_traced(shop, act.words, "-e", f"trace={point.call}", "-e", inject)
    if not done.was_hit:
        return False
    tally.by_act[act.name] += 1
    tally.by_error[f"{point.call} {point.error}"] += 1
    tally.refused += done.code != 0
    found = [*_not_plain(done), *faults_after(shop, act, done, known)]
    if done.code == 0 and not act.is_done(shop):
        found.append("it ended well and is not done")
    tally.wrong += [f"{point}: {each}" for each in found]
    return True


def _not_plain(done: Done) -> list[str]:
    """Return what is wrong with how an act refused."""
    if done.code == 0:
        return []
    said = done.err.strip()
    if done.code == _OUR_BUG or "Traceback" in said or "Errno" in said:
        return [f"not plain: {done.code} {said[-300:]!r}"]
    if done.code < 0 or not said:
        return [f"it ended with {done.code} and said {said!r}"]
    return []


def _show(words: str) -> None:
    if sys.stderr.isatty():
        sys.stderr.write(f"\r{words:<70}")


def main() -> None:
    """Let every call fail and print what came of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.error_sweep", description=__doc__)
    parser.add_argument("acts", nargs="*", metavar="ACT")
    parser.add_argument("--every", type=int, default=1, help="only every so-manieth call")
    given = parser.parse_args()
    chosen = [act for act in ACTS if not given.acts or act.name in given.acts]
    with tempfile.TemporaryDirectory() as folder:
        before = BeforeEach(Path(folder))
        tally = sweep(before, chosen, every=given.every, ended=_print_act)
    for error, often in sorted(tally.by_error.items()):
        print(f"  at {error:<18} {often:4}")
    print(f"{tally.by_act.total()} faults; {tally.refused} ended the act, the others cost nothing")
    print(f"wrong {len(tally.wrong)}")


def _print_act(act: str, tally: Tally) -> None:
    """Print what an act came to as soon as it is through: a sweep takes long, and may be ended."""
    print(f"  in {act:<18} {tally.by_act[act]:4}", flush=True)
    for words in tally.wrong:
        if words.startswith(f"Point(act={act!r}"):
            print(f"    {words}", flush=True)


if __name__ == "__main__":
    main()
