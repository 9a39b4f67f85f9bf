"""benchproof plug: the plug map, and plugs counted out and in."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof plug job-12
  benchproof plug job-12 G2 out --size "3/8 pipe thread" --note "2.3 mm below the face"
  benchproof plug job-12 G2 in --piece "new, bag 4"
  benchproof plug job-12 G5 never --photo bare-g5.jpg"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument(
        "location", metavar="LOCATION", nargs="?", help="left out, the plug map is shown"
    )
    parser.add_argument(
        "act", metavar="out|in|never", nargs="?", choices=("out", "in", "never"),
        help="it came out, one went in, or this block never had one",
    )  # fmt: skip
    parser.add_argument("--size", metavar="WORDS", default="", help="out: its size")
    parser.add_argument("--note", metavar="WORDS", default="", help="its old depth, or what else")
    parser.add_argument(
        "--piece", metavar="IDENTITY", help="in: what tells this piece from another: mark, bag"
    )
    parser.add_argument("--part", metavar="ID", help="in: which part, where several belong there")
    parser.add_argument(
        "--photo", metavar="PHOTO", action="append", default=[],
        help="a photo of it: its file, or the start of its hash; never: of the bare location",
    )  # fmt: skip
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Show the plug map, or count a plug out or in."""
    from capture.commands import plug_map  # noqa: PLC0415 - not for a mere --help
    from capture.commands.books import opened  # noqa: PLC0415 - the same
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.stock_answer import plug_answer  # noqa: PLC0415 - the same

    if given.location and not given.act:
        raise WrongUse(f"say what happened: benchproof plug BOOK {given.location} out, in or never")
    with opened(given.book, edge, read_only=given.act is None) as journey:
        said = [plug_map.ACTS[given.act](given, journey)] if given.act else []
        walked = journey.round()
    if given.json:
        plugs = [p for p in walked.plugs if given.location in {None, p.location.id}]
        counts = list(walked.counts_open)
        say_json({"plugs": [plug_answer(plug) for plug in plugs], "counts_open": counts})
        return DONE
    for line in said or plug_map.map_lines(walked):
        say(line)
    return DONE
