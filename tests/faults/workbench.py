"""One command line in a process of its own, traced by strace from its first act to its last.

The process is forked from a server that has the program loaded, so that only the act itself is
seen, and a run takes a tenth of a second. What takes seconds and keeps nothing is stood in for:
photos are decoded in the process itself, coverages are worked out by any fixed function, and what
the typesetting child processes made the first time is handed over again.
"""

import ctypes
import hashlib
import mmap
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO, StringIO
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerProcess
from pathlib import Path
from typing import Any, NamedTuple

from tests.faults.writers import PROCESSES

_PATIENCE_S = 120  # of a machine that has other work too
_ANY_TRACER = (0x59616D61, -1)  # prctl(2): PR_SET_PTRACER, PR_SET_PTRACER_ANY
_TRIALS = 400
_LONGEST = 1 << 20  # bytes of a refusal
_OUT, _ERR, MADE = "said.txt", "told.txt", "made"


class Done(NamedTuple):
    """How an act ended: exit code (-9 if it was killed), what it said, and what strace saw."""

    code: int
    out: str
    err: str
    seen: str = ""

    @property
    def was_hit(self) -> bool:
        """Whether the fault was injected."""
        return "(INJECTED)" in self.seen or "killed by SIGKILL" in self.seen


def work_in_peace(shop: Path, words: tuple[str, ...]) -> Done:
    """Do an act without a tracer."""
    with _child(shop, words) as (child, line):
        line.send("go")
        return _ended(shop, child)


def work_until(shop: Path, words: tuple[str, ...], seconds: float | None) -> Done:
    """Do an act, photos and pages for real, and kill it after some time; None lets it end."""
    with _child(shop, words, for_real=True) as (child, line):
        line.send("go")
        child.join(_PATIENCE_S if seconds is None else seconds)
        child.kill()
        return _ended(shop, child)


def work_traced(shop: Path, words: tuple[str, ...], *options: str) -> Done:
    """Do an act under strace with these options ("-e", "inject=fsync:error=EIO:when=3")."""
    log = shop.parent / "trace.txt"
    with _child(shop, words) as (child, line):
        command = ["strace", "-o", str(log), *options, "-p", str(child.pid)]
        with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as strace:
            said = strace.stderr.readline() if strace.stderr else ""
            if "attached" not in said:
                raise RuntimeError(f"strace can't trace a process of our own here: {said}")
            line.send("go")
            done = _ended(shop, child)
            strace.wait(_PATIENCE_S)
    return done._replace(seen=log.read_text(errors="replace"))


@contextmanager
def _child(
    shop: Path, words: tuple[str, ...], *, for_real: bool = False
) -> Iterator[tuple[ForkServerProcess, "Connection[str, str]"]]:
    """Give a process that is ready to do an act, and a line to tell it when."""
    ours, theirs = PROCESSES.Pipe()
    child = PROCESSES.Process(target=_work, args=(shop, words, theirs, for_real), daemon=True)
    child.start()
    theirs.close()
    try:
        if ours.recv() != "ready":
            raise RuntimeError("the process at the bench did not begin")
        yield child, ours
    finally:
        ours.close()
        child.kill()
        child.join(_PATIENCE_S)
        child.close()


def _ended(shop: Path, child: ForkServerProcess) -> Done:
    child.join(_PATIENCE_S)
    if child.exitcode is None:
        raise RuntimeError("the act did not end")
    out, err = (_text(shop.parent / name) for name in (_OUT, _ERR))
    return Done(child.exitcode, out, err)


def _text(path: Path) -> str:
    return path.read_text(errors="replace").rstrip("\0") if path.exists() else ""


# --- in the child ---------------------------------------------------------------------------


def _work(shop: Path, words: tuple[str, ...], line: "Connection[str, str]", for_real: bool) -> None:
    os.chdir(shop)
    _stay_in(shop)
    _stand_in_for_measuring()
    if not for_real:
        _stand_in(shop.parent / MADE)
    # As on a terminal: a line is out when it was said, and nothing of it later.
    os.dup2(os.open(shop.parent / _OUT, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), 1)
    sys.stdout, sys.stderr = os.fdopen(1, "w", 1, closefd=False), _Told(shop.parent / _ERR)
    ctypes.CDLL(None).prctl(*_ANY_TRACER, 0, 0, 0)  # where only parents may trace
    line.send("ready")
    line.recv()
    from capture.__main__ import main  # noqa: PLC0415 - loaded by the server already

    code = main(words)
    if not _is_given_up(1):
        sys.stdout.flush()
    os._exit(code)


def _is_given_up(descriptor: int) -> bool:
    """Return whether the program has turned a stream that takes nothing more to the null device.

    Python's last flush succeeds there. Not so under strace, which fails every write from the k-th
    on, into that device too: no disk does that, so here the flush is left out.
    """
    return os.path.samestat(os.fstat(descriptor), Path(os.devnull).stat())


class _Told(StringIO):
    """A stderr without system calls: a disk that fails must not fail what is said of it."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        with path.open("wb+") as file:
            file.truncate(_LONGEST)
            self._memory = mmap.mmap(file.fileno(), _LONGEST)

    def write(self, text: str) -> int:
        self._memory.write(text.encode(errors="replace"))
        return len(text)


def _stay_in(shop: Path) -> None:
    """Let this process write nowhere but in its shop."""
    for name in ("CACHE", "DATA", "CONFIG", "STATE"):
        os.environ[f"XDG_{name}_HOME"] = str(shop / name.lower())
    os.environ["TMPDIR"] = str(shop / "tmp")
    tempfile.tempdir = None  # it is asked for anew


def _stand_in_for_measuring() -> None:
    from annotate.estimates.settled import TOLERANCE  # noqa: PLC0415 - in the child
    from annotate.routes import accepted  # noqa: PLC0415 - the same
    from tests.store import small_job  # noqa: PLC0415 - the same

    def accept(layer: Any, givens: Any, **others: Any) -> accepted.Accepted:
        others.pop("tolerance", None)
        coverage = small_job.measure(layer, givens, trials=_TRIALS, **others)
        return accepted.Accepted(coverage, _TRIALS, 0.0, TOLERANCE)

    vars(accepted)["measure"], vars(accepted)["accept"] = small_job.measure, accept


def _stand_in(made: Path) -> None:
    from capture.intake import decode as decoding  # noqa: PLC0415 - in the child
    from store.report import typeset  # noqa: PLC0415 - the same
    from store.report.page import copies  # noqa: PLC0415 - the same

    vars(decoding)["decode"] = _decode
    real = typeset.in_child

    def in_child(module: str, folder: Path, what: str, *others: Any) -> None:
        """Hand over what the child made when it was asked for the same pictures before."""
        order = (folder / "order.json").read_text() if (folder / "order.json").exists() else ""
        asked = re.sub(r'"at_s": \d+', "", order) + module + what
        there = made / hashlib.sha256(asked.encode()).hexdigest()[:16]
        if not there.is_dir():
            before = {path.name for path in folder.iterdir()}
            real(module, folder, what, *others)
            new = [path for path in folder.iterdir() if path.name not in before]
            there.mkdir(parents=True)
            for path in new:
                shutil.copyfile(path, there / path.name)
        # By another process, as it is for real: its writes are not the act's.
        subprocess.run(["cp", "-r", f"{there}/.", str(folder)], check=True)

    vars(typeset)["in_child"] = vars(copies)["in_child"] = in_child


def _decode(original: bytes, *_: Any, **__: Any) -> Any:
    import numpy as np  # noqa: PLC0415 - in the child
    from PIL import Image  # noqa: PLC0415 - the same

    from capture.intake.decode import Decoded  # noqa: PLC0415 - the same

    picture = Image.open(BytesIO(original)).convert("RGB")
    return Decoded(np.asarray(picture), picture.size)
