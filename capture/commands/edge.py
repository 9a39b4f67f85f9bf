"""The command's streams: what it says, warns of, asks, and shows while it works.

A stranger's text may hold what a terminal obeys, or what turns a line round: it is shown by number.
"""

import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

# C0 and C1 controls, line and paragraph separators, and the marks that change the direction of
# text (Unicode 15, UAX 9). Line feed and tab are ours: a table has them.
_UNSHOWN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]")


def shown(text: str) -> str:
    """Return a text in which nothing moves a terminal's cursor or turns the line round."""
    return _UNSHOWN.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def say(line: str = "") -> None:
    """Write one line of the answer to stdout; raises NotSaid where it takes nothing more."""
    try:
        sys.stdout.write(f"{shown(line)}\n")
        sys.stdout.flush()  # so that a pipe sees progress too, and order is kept beside stderr
    except BrokenPipeError:
        raise
    except OSError as error:
        from capture.errors import NotSaid  # noqa: PLC0415 - not for every verb

        raise NotSaid(
            f"the answer could not be written ({(error.strerror or str(error)).lower()}), and what "
            "was kept stays kept: make room where it goes, and look with benchproof round before "
            "anything is entered again"
        ) from error


def warn(line: str) -> None:
    """Write one line beside the answer, to stderr."""
    sys.stderr.write(f"benchproof: {shown(line)}\n")


def ask(question: str) -> str | None:
    """Return what is typed in answer to a question, None where nobody sits at the keyboard."""
    if not sys.stdin.isatty():
        return None
    sys.stderr.write(f"benchproof: {shown(question)} ")
    sys.stderr.flush()
    return sys.stdin.readline().strip()


def say_json(answer: dict[str, Any]) -> None:
    """Write the answer as one JSON object; a number that is not finite has no place in it.

    What ``shown`` writes by number is JSON's own way of writing it, too.
    """
    import json  # noqa: PLC0415 - only where it was asked for

    say(json.dumps(answer, indent=2, ensure_ascii=False, allow_nan=False))


@contextmanager
def working(what: str) -> Iterator[Callable[[str], None]]:
    """Show on stderr what takes a while, if somebody watches; gives a way to say what now.

    Nothing may be printed inside: the two would share a line.
    """
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console  # noqa: PLC0415 - 40 ms that a pipe need not pay
    from rich.progress import Progress, SpinnerColumn, TextColumn  # noqa: PLC0415 - the same

    columns = SpinnerColumn(), TextColumn("{task.description}")
    with Progress(*columns, console=Console(stderr=True), transient=True, **_APART) as progress:
        task = progress.add_task(what)
        yield lambda now: progress.update(task, description=now)


# Else rich would carry what is printed meanwhile from stdout to its own stream, stderr.
_APART: dict[str, Any] = {"redirect_stdout": False, "redirect_stderr": False}


@contextmanager
def counting(what: str) -> Iterator[Callable[[int, int], None]]:
    """Show a bar on stderr, if somebody watches; gives a function of (done, of how many)."""
    if not sys.stderr.isatty():
        yield lambda _done, _of: None
        return
    from rich.console import Console  # noqa: PLC0415 - 40 ms that a pipe need not pay
    from rich.progress import Progress  # noqa: PLC0415 - the same

    with Progress(console=Console(stderr=True), transient=True, **_APART) as progress:
        task = progress.add_task(what)
        yield lambda done, of: progress.update(task, completed=done, total=of)
