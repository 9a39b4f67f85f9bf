"""A book in the middle of the demo's job: some covers on, one hole too close to call, much open."""

import shutil
from collections.abc import Callable
from itertools import count
from pathlib import Path

from capture.demo import job
from capture.demo.hands import Told
from capture.journey import Journey

_STAGES = (
    job._arrival, job._plugs_out, job._galleries, job._core_plugs, job._gallery_plugs,
    job._oil_holes, job._cam_bearing, job._crankshaft,
)  # fmt: skip


def clock() -> Callable[[], str]:
    """Return a clock that goes on by 37 seconds each time it is asked.

    It begins after the last check of the demo's gauges: a gauge is not used before it was checked.
    """
    ticks = count()

    def now() -> str:
        hours, seconds = divmod(next(ticks) * 37, 3600)
        return f"2026-11-12T{9 + hours:02d}:{seconds // 60:02d}:{seconds % 60:02d}+01:00"

    return now


def half_done(folder: Path, say: Callable[[str], None]) -> Path:
    """Return a book with the demo's job up to the crankshaft; made once, about a minute."""
    root = folder / "half-done"
    if (root / "FORMAT.txt").exists():
        return root
    part = folder / "half-done.part"
    shutil.rmtree(part, ignore_errors=True)
    with Journey.start(
        job.read_demo_plan(), part, bench=job.BENCH, clock=clock(), user=job.BUILDER,
        version="0.1.0",
    ) as journey:  # fmt: skip
        told = Told(act=lambda _: None, outcome=lambda _: None, check=lambda _: None)
        for stage in _STAGES:
            say(f"working at the demo's job: {stage.__name__.strip('_').replace('_', ' ')}")
            stage(journey, told)
    part.rename(root)
    return root
