"""benchproof merge: take in what another copy of a book has and this one has not."""

import argparse
from typing import TYPE_CHECKING, Any

from capture.commands.typed_options import add_book, add_by, add_json

if TYPE_CHECKING:
    from capture.edge import Edge
    from store.copies.merge import Merge

EXAMPLES = """  benchproof merge job-12 ~/stick/job-12-south
  benchproof merge job-12 from-the-other-bench.zip --json"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    add_book(parser)
    parser.add_argument(
        "other",
        metavar="OTHER",
        type=Path,
        help="the other copy: a book's folder, or a pack (its zip or folder)",
    )
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Merge, say what was taken in, which checks changed hands, and what both benches did."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import counting, say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    with opened(given.book, edge) as journey, counting("merging") as count:
        done = journey.merge(given.other, progress=lambda done, of, _: count(done, of))
    if given.json:
        say_json(_answer(done))
        return DONE
    for line in _lines(done):
        say(line)
    return DONE


def _lines(done: "Merge") -> list[str]:
    from capture.words.checks import check_line, value_text  # noqa: PLC0415 - not for a mere --help
    from capture.words.quantities import count_text  # noqa: PLC0415 - the same

    lines = []
    if done.signed_with:
        lines.append(
            f"the pack is signed with {done.signed_with}: compare it with the one told in another "
            "way"
        )
    if done.is_nothing:
        lines.append("nothing new: everything in that copy is here already")
    for bench, count in done.taken.items():
        lines.append(f"{bench}: {count} {'entry' if count == 1 else 'entries'} taken in")
    for count, noun in ((done.photos, "photo"), (done.papers, "paper")):
        if count:
            lines.append(f"{count} {noun}{'' if count == 1 else 's'} copied")
    if done.settled:
        anew = count_text(done.settled, "entry", "entries")
        lines.append(f"{anew} written anew here: what follows from what both benches have")
    for each in done.handed:
        before = each.was.current
        was = f"; before: {value_text(each.was, before)}" if before else ""
        lines.append(f"{check_line(each.now)} (by {each.bench}{was})")
    lines += [f"CONFLICT: {clash.words}" for clash in done.clashes]
    if done.fork is not None:
        lines.append(_fork_line(done))
    return lines


def _fork_line(done: "Merge") -> str:
    fork = done.fork
    assert fork is not None  # noqa: S101 - the caller has looked
    many = "1 line" if fork.lines == 1 else f"{fork.lines} lines"
    return (
        f"FORK: that copy of {fork.there.bench} went on otherwise from entry {fork.there.seq}: two "
        f"histories of one bench; its {many} from there on count for nothing here and are kept in "
        f"{fork.folder}; work on in one of the two copies only, and enter there what is missing"
    )


def _answer(done: "Merge") -> dict[str, Any]:
    from capture.commands.books import check_answer  # noqa: PLC0415 - only with --json

    fork = done.fork
    return {
        "taken": done.taken,
        "photos": done.photos,
        "papers": done.papers,
        "settled": done.settled,
        "signed_with": done.signed_with,
        "handed": [
            {
                "key": each.key,
                "bench": each.bench,
                "was": check_answer(each.was),
                "now": check_answer(each.now),
            }
            for each in done.handed
        ],
        "conflicts": [
            {"kind": c.kind, "of": c.of, "words": c.words, "ours": c.ours, "theirs": c.theirs}
            for c in done.clashes
        ],
        "fork": fork
        and {
            "bench": fork.there.bench,
            "entry": fork.there.seq,
            "here": fork.here,
            "there": fork.there.hash,
            "lines": fork.lines,
            "kept_in": str(fork.folder),
            "new": fork.is_new,
        },
    }
