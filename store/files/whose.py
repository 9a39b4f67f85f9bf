"""bench.txt: whose chain is written to in a copy of a book that was made for another bench.

Two copies that both go on under one name are a fork: two histories of one bench.
"""

from pathlib import Path

from store.codec import checked_bench
from store.errors import BadRecord, Damaged
from store.files.disk import cannot_write, write_text
from store.files.passing import cannot_read_now, is_passing

BENCH_NAME = "bench.txt"


def own_bench(root: Path) -> str:
    """Return the bench that a copy was made for, empty for a book without such a note.

    Raises Damaged for a note that is no bench's name: to write under another would be a fork,
    CannotRead where it could not be read now.
    """
    try:
        text = (root / BENCH_NAME).read_text(encoding="utf-8").strip()
    except FileNotFoundError:
        return ""
    except (OSError, UnicodeDecodeError) as error:
        if is_passing(error):
            raise cannot_read_now(error, f"the bench's name in {root}") from error
        raise _unreadable(root) from error
    try:
        return checked_bench(text)
    except BadRecord as error:
        raise _unreadable(root) from error


def note_bench(root: Path, bench: str) -> None:
    """Note whose chain is written to in a copy; raises BadRecord, CannotWrite."""
    try:
        write_text(root / BENCH_NAME, f"{checked_bench(bench)}\n")
    except OSError as error:
        raise cannot_write(error, "the bench's name") from error


def _unreadable(root: Path) -> Damaged:
    return Damaged(
        f"{root / BENCH_NAME} can't be read as a bench's name: write the name of this copy's "
        "bench into it, in small letters."
    )
