"""--picture OUT of several verbs: where a picture of workings may be written, and that it was."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from capture.commands.edge import warn
from capture.commands.outputs import refuse_to_lose
from capture.shown import is_workings, refuse_suffix
from store.errors import CannotWrite


def refuse_picture(target: Path) -> None:
    """Raise WrongUse for a place where a picture of workings may not be written."""
    refuse_suffix(target)
    refuse_to_lose(target, "a picture of workings", is_workings)


@contextmanager
def writing(target: Path) -> Iterator[None]:
    """Raise CannotWrite where a picture can't be written; say so where an earlier one is gone."""
    was_there = target.exists()
    try:
        yield
    except OSError as error:
        raise CannotWrite(f"{target}: {error.strerror or error}") from error
    if was_there:
        warn(f"{target} replaces the earlier picture of workings of that name")
