"""The demo job made while the window goes on: a book of its own, in a thread of its own."""

from collections.abc import Callable
from pathlib import Path
from threading import Event

from capture.demo.hands import Told
from capture.demo.job import BENCH, BUILDER, fresh_folder, read_demo_plan, walk
from capture.edge import Edge
from capture.journey import Journey


class _Stopped(Exception):
    pass


def make_demo(wanted: Path, edge: Edge, *, tell: Callable[[str], None], stop: Event) -> Path:
    """Walk the demo's job from arrival to closed in a new book; return where it is.

    ``tell`` is told each act in words. ``stop`` ends it after the act under way: the book is then
    as far as it got, and whole. Raises NetworkFolder, CannotWrite.
    """
    root = fresh_folder(wanted)

    def go_on(words: str) -> None:
        if stop.is_set():
            raise _Stopped
        tell(words)

    with Journey.start(
        read_demo_plan(), root, bench=BENCH, clock=edge.clock, user=BUILDER, version=edge.version
    ) as journey:
        try:
            walk(journey, Told(act=go_on, outcome=lambda _: None, check=lambda _: None))
        except _Stopped:
            return root
    return root
