"""Data files and pictures -> PDF, in a child process with a progress line per step and an end.

A decoder or the typesetter that hangs or dies takes the child with it and nothing else. Every
text reaches the page as data (JSON) and never as markup.
"""

import json
import os
import re
import shutil
import subprocess
import sys
import threading
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from time import monotonic
from typing import Any, Literal

import msgspec

from store.errors import CannotRead, CannotWrite, StoreError
from store.files.halfmade import replace_file
from store.files.passing import is_passing, why_passing
from store.report.pictures import Wanted, print_copy

Progress = Callable[[int, int, str], None]
Stop = Callable[[], bool]
_SIGNS, _PRINTS = "signs.typ", "prints.typ"
Template = Literal["report", "sheet", "card", "tags"]
_SECONDS = 60
_SECONDS_PER_PICTURE = 20
_ASKED_EVERY_S = 0.1
_NOT_NOW = 75  # EX_TEMPFAIL of sysexits(3)
# What Python says last of a child that could not even load its module.
_PASSED = re.compile(r"(?:OSError: \[Errno \d+\]|ImportError:|MemoryError) ?")


class ReportFailed(StoreError):
    """The report, or another page, could not be set; the message says why and what to do."""


class ReportOverdue(ReportFailed):
    """It was not finished in time, which says more of the computer than of what was to be set."""


class ReportStopped(StoreError):
    """Somebody wanted it no more; nothing was written."""


def typeset(
    folder: Path,
    data: dict[str, Any],
    wanted: tuple[Wanted, ...],
    *,
    at: str,
    template: Template = "report",
    progress: Progress | None = None,
    timeout_s: float | None = None,
    preview_ppi: int = 0,
    stop: Stop | None = None,
) -> Path:
    """Set ``data`` in a scratch folder and return the finished PDF in it.

    ``template`` is what the pages are: it names the layout, the PDF, and the refusal.
    ``at`` becomes the PDF's own date, so that the same data gives the same bytes. With
    ``preview_ppi`` (pixels per inch) the pages are there as page-001.png ... too. ``stop`` is asked
    several times a second and ends it. Raises ReportFailed, ReportStopped.
    """
    for name in (f"{template}.typ", _SIGNS, _PRINTS):
        shutil.copyfile(Path(__file__).with_name(name), folder / name)
    (folder / "data.json").write_text(json.dumps(data, ensure_ascii=False), "utf-8")
    order = {
        "template": template,
        "at_s": _seconds(at),
        "wanted": msgspec.to_builtins(wanted),
        "preview_ppi": preview_ppi,
    }
    (folder / "order.json").write_text(json.dumps(order), "utf-8")
    limit = timeout_s or _SECONDS + _SECONDS_PER_PICTURE * len(wanted)
    in_child("store.report.typeset", folder, template, limit, progress, stop)
    return folder / f"{template}.pdf"


def kept(pdf: bytes, out_pdf: Path, what: Template) -> Path:
    """Write a finished PDF, whole or not at all, and return its path; raises CannotWrite."""
    try:
        replace_file(out_pdf, pdf)
    except OSError as error:
        raise CannotWrite(
            f"the {what} could not be written to {out_pdf}: {error.strerror}; choose another folder"
        ) from error
    return out_pdf


def _seconds(at: str) -> int:
    try:
        return int(datetime.fromisoformat(at).timestamp())
    except ValueError as error:
        raise ReportFailed(f"{at!r} is not a time; write it like 2026-11-16T17:20:00+01:00") from (
            error
        )


def in_child(
    module: str, folder: Path, what: str, limit_s: float, progress: Progress | None,
    stop: Stop | None,
) -> None:  # fmt: skip
    """Run a module of ours on a scratch folder and wait for its end, or make one.

    ``what`` is what it makes, as a refusal names it. Raises ReportFailed (ReportOverdue after
    ``limit_s``), ReportStopped, CannotRead for what passes.
    """
    house = str(Path(__file__).parents[2])
    path = os.pathsep.join([house, *filter(None, [os.environ.get("PYTHONPATH", "")])])
    command = [sys.executable, "-m", module, str(folder)]
    with subprocess.Popen(
        command,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": path, "PYTHONIOENCODING": "utf-8"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
    ) as child:
        watch = _Watch(child, limit_s, stop)
        try:
            said = _follow(child, progress)
        finally:
            watch.end()
            child.kill()
    if watch.stopped:
        raise ReportStopped(f"the {what} was stopped and not written")
    if watch.overdue:
        raise ReportOverdue(
            f"the {what} was not finished after {limit_s:.0f} s and was stopped; try it again "
            "when the computer is less busy"
        )
    if child.returncode == _NOT_NOW or (child.returncode and _PASSED.match(said)):
        raise CannotRead(
            f"the {what} could not be made now: {_PASSED.sub('', said)}; close other programs, "
            "check the disk, and try again"
        )
    if child.returncode != 0:
        raise ReportFailed(f"the {what} could not be set: {said or 'its process died'}")


class _Watch:
    """Ends the child when its time is over, or when somebody wants it no more."""

    def __init__(self, child: "subprocess.Popen[str]", limit_s: float, stop: Stop | None) -> None:
        self.overdue = self.stopped = False
        self._child, self._stop = child, stop
        self._until = monotonic() + limit_s
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._look, daemon=True)
        self._thread.start()

    def end(self) -> None:
        """Watch no more."""
        self._done.set()
        self._thread.join()

    def _look(self) -> None:
        while not self._done.wait(min(_ASKED_EVERY_S, max(self._until - monotonic(), 0))):
            self.stopped = self._stop is not None and self._stop()
            self.overdue = monotonic() >= self._until
            if self.stopped or self.overdue:
                self._child.kill()
                return


def _follow(child: "subprocess.Popen[str]", progress: Progress | None) -> str:
    """Pass progress lines on until the child ends; return the last other thing it said."""
    said = ""
    for line in child.stdout or ():
        words = line.rstrip("\n").split("\t")
        if words[0] == "step" and progress is not None:
            progress(int(words[1]), int(words[2]), words[3])
        elif words[0] != "step" and line.strip():
            said = line.strip()
    child.wait()
    return said


def _child(folder: Path) -> int:
    """Make the pictures, then the PDF; the part that runs in its own process."""
    order = json.loads((folder / "order.json").read_text("utf-8"))
    wanted = msgspec.convert(order["wanted"], tuple[Wanted, ...])
    steps = len(wanted) + 1
    unshown = {}
    for step, picture in enumerate(wanted):
        say_step(step, steps, f"photo {picture.photo[:8]}")
        unshown[picture.file] = print_copy(picture, folder)
    (folder / "unshown.json").write_text(json.dumps(unshown), "utf-8")
    say_step(len(wanted), steps, "setting the pages")
    import typst  # noqa: PLC0415 - 40 MB that only this process needs

    page = str(folder / f"{order['template']}.typ")
    setting = {"root": str(folder), "ignore_system_fonts": True, "timestamp": order["at_s"]}
    try:
        # Tagged, and set so that it would pass for PDF/A-3a and PDF/UA-1 (tests hold it to typst's
        # own checks of both); the file does not say that it does, for no validator has looked.
        typst.compile(page, output=str(folder / f"{order['template']}.pdf"), **setting)
        if ppi := order["preview_ppi"]:
            typst.compile(
                page, output=str(folder / "page-{0p}.png"), format="png", ppi=ppi, **setting
            )
    except typst.TypstError as error:
        sys.stdout.write(f"{error.message}\n")
        return 1
    say_step(steps, steps, "done")
    return 0


def say_step(step: int, steps: int, words: str) -> None:
    """Tell the parent how far a child process is: so many steps done of so many, and words."""
    sys.stdout.write(f"step\t{step}\t{steps}\t{words}\n")
    sys.stdout.flush()


def as_child(work: Callable[[Path], int]) -> int:
    """Do the work of a child process on its folder; return how it ended, for ``in_child``."""
    try:
        return work(Path(sys.argv[1]))
    except Exception as error:
        if not is_passing(error):
            raise
        sys.stdout.write(f"{why_passing(error)}\n")
        return _NOT_NOW


if __name__ == "__main__":
    raise SystemExit(as_child(_child))
