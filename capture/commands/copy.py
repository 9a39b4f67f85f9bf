"""benchproof copy: copy a book, as a backup or for a second bench."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof copy job-12 ~/stick/job-12
  benchproof copy job-12 job-12-south --bench south"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    add_book(parser)
    parser.add_argument(
        "copy",
        metavar="COPY",
        type=Path,
        help="a new folder, or an older copy of this book, which gets what it lacks",
    )
    parser.add_argument(
        "--bench",
        metavar="NAME",
        default="",
        help="the second bench that this copy is for (small letters, figures, -): it writes a "
        "chain of its own, to be merged later; without it the copy is a backup",
    )
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Copy, verify the copy, and say what is new in it."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import counting, say, say_json, warn  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.words.quantities import count_text  # noqa: PLC0415 - the same

    with opened(given.book, edge, read_only=True) as journey, counting("copying") as count:
        done = journey.copy(
            given.copy, bench=given.bench, progress=lambda done, of, _: count(done, of)
        )
    for finding in done.missing:
        warn(f"{finding.where}: {finding.detail}, in the book as in its copy")
    if given.json:
        say_json(
            {
                "copy": str(done.target),
                "entries": done.entries,
                "files": done.files,
                "bench": done.bench,
                "missing": [finding.detail for finding in done.missing],
            }
        )
        return DONE
    entries, files = count_text(done.entries, "entry", "entries"), count_text(done.files, "file")
    say(f"copy {done.target}: {entries} and {files} copied, and verified")
    if given.bench:
        say(f"what is done in it is written by {done.bench}: take it in with benchproof merge")
    else:
        say(
            f"a backup: what is done in it is written by {done.bench}, as in the book; work in one "
            "of the two only"
        )
    return DONE
