"""Kill the program at random instants of a job's journey, and look whether anything is lost.

``python -m tests.faults.random_kills --times 500`` prints how often it was killed, in which acts,
how often it had said that it was done by then, and after how many kills anything was wrong.

Photos are decoded and pages are set for real here, by child processes that outlive the killed one.
"""

import argparse
import random
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from tests.faults.aftermath import faults_after
from tests.faults.present import entries_of
from tests.faults.shop import ACTS, BeforeEach
from tests.faults.workbench import work_until


@dataclass
class Tally:
    """What came of all kills."""

    acts: Counter[str] = field(default_factory=Counter)
    killed: int = 0
    said: int = 0
    wrong: list[str] = field(default_factory=list)


def kill_often(before: BeforeEach, times: int, chance: random.Random) -> Tally:
    """Kill acts so many times, each in turn, at an instant of the time that it takes."""
    tally = Tally()
    lasts = {}
    for act in ACTS[:times]:
        shop = before.set_up(act.name)
        begun = time.monotonic()
        work_until(shop, act.words, None)
        lasts[act.name] = time.monotonic() - begun
    for number in range(times):
        act = ACTS[number % len(ACTS)]
        shop = before.set_up(act.name)
        known, instant = entries_of(shop), chance.uniform(0, lasts[act.name])
        done = work_until(shop, act.words, instant)
        tally.acts[act.name] += 1
        tally.killed += done.code == -9
        tally.said += bool(done.out)
        found = faults_after(shop, act, done, known)
        tally.wrong += [f"{act.name} after {instant:.4f} s: {each}" for each in found]
        if sys.stderr.isatty():
            sys.stderr.write(f"\r{number + 1} of {times}")
    return tally


def main() -> None:
    """Kill it so many times and print what came of it."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.faults.random_kills", description=__doc__
    )
    parser.add_argument("--times", type=int, default=500)
    parser.add_argument("--seed", type=int, default=20260302)
    given = parser.parse_args()
    chance = random.Random(given.seed)  # noqa: S311 - moments, no secrets
    with tempfile.TemporaryDirectory() as folder:
        tally = kill_often(BeforeEach(Path(folder)), given.times, chance)
    for act, often in tally.acts.items():
        print(f"  in {act:<12} {often:4}")
    print(f"killed {tally.killed} times, the others had ended; {tally.said} had said so by then")
    print(f"lost or wrong {len(tally.wrong)}")
    for words in tally.wrong:
        print(f"  {words}")


if __name__ == "__main__":
    main()
