"""benchproof owner: what passed between shop and owner."""

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge
    from store.round import Round

EXAMPLES = """  benchproof owner job-12
  benchproof owner job-12 instruction "keep the old crankshaft" --how "letter of 3 November"
  benchproof owner job-12 declined "new oil pump" --how "by phone, 10:20" --who "Ada Quill"
  benchproof owner job-12 agreed "P1 may stay as it is" --how "message of 5 November" """.rstrip()
_ABOUT = ("instruction", "declined", "agreed", "told")


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument(
        "about", nargs="?", choices=_ABOUT, metavar="ABOUT",
        help="instruction (they ask for it), declined (advice they turn down), agreed (they say "
        "yes) or told (they were told); left out, everything is listed",
    )  # fmt: skip
    parser.add_argument("words", metavar="WORDS", nargs="?", help="what was said")
    parser.add_argument("--how", metavar="HOW", help="how it was given: letter, phone, in person")
    parser.add_argument("--who", metavar="NAME", default="", help="who said it, if not the owner")
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """List what passed with the owner, or keep one thing more."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    if given.about is None:
        return _list(given, edge)
    if not given.words or not given.how:
        raise WrongUse(f'say what and how it was given: owner BOOK {given.about} "WORDS" --how HOW')
    with opened(given.book, edge) as journey:
        entry = journey.owner_said(given.about, given.words, how=given.how, who=given.who)
    if given.json:
        say_json(
            {
                "about": given.about, "words": given.words, "how": given.how, "who": given.who,
                "entry": entry.hash, "number": entry.seq,
            }
        )  # fmt: skip
    else:
        say(f"{given.about}: {given.words} ({_given_by(given.how, given.who)}), entry {entry.seq}")
    return DONE


def _list(given: argparse.Namespace, edge: "Edge") -> int:
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    with opened(given.book, edge, read_only=True) as journey:
        walked = journey.round()
    if given.json:
        from capture.commands.stock_answer import told_answer  # noqa: PLC0415 - --json only

        say_json(
            {
                "instructions": list(walked.job.instructions),
                "declined": list(walked.job.declined),
                "said": [told_answer(each) for each in walked.owner],
            }
        )
        return DONE
    lines = list(_lines(walked))
    for line in lines or ["nothing was kept of what passed with the owner"]:
        say(line)
    return DONE


def _lines(walked: "Round") -> Iterator[str]:
    from store.attempt import numbered  # noqa: PLC0415 - not for a mere --help
    from store.evidence import OwnerSaid  # noqa: PLC0415 - the same

    yield from (f"instruction  {words}  (in the plan)" for words in walked.job.instructions)
    yield from (f"declined     {words}  (in the plan)" for words in walked.job.declined)
    for told in walked.owner:
        said = told.record
        if isinstance(said, OwnerSaid):
            struck = f"  struck: {told.struck.reason}" if told.struck else ""
            day = told.stamp.at[:10]
            number = numbered(told.stamp, walked.home)
            yield (
                f"{said.about:<12} {said.words}  ({_given_by(said.how, said.who)}; kept by "
                f"{told.stamp.by} {day}, entry {number}){struck}"
            )


def _given_by(how: str, who: str) -> str:
    return f"{how}, {who}" if who else how
