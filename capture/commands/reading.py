"""benchproof reading: file a typed reading and judge it."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_by, add_json

if TYPE_CHECKING:
    from capture.commands.edge import Edge

EXAMPLES = """  benchproof reading job-12 P1.bore "25.412 mm" --gauge mic-1
  benchproof reading job-12 P1.depth "17/32 in BELOW"
  benchproof reading job-12 P1.clean yes --read-at "on paper at 10:40" """.rstrip()


# Exit codes from best to worst: what follows from a reading was judged with it.
_SEVERITY = (0, 3, 4, 5)


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    parser.add_argument("book", metavar="BOOK", type=Path, help="the book's folder")
    parser.add_argument("check", metavar="LOCATION.CHECK", help="what was measured")
    parser.add_argument("text", metavar="TEXT", help="the reading, as you would write it down")
    parser.add_argument("--gauge", metavar="ID", default="", help="if not the one of the plan")
    parser.add_argument(
        "--read-at", metavar="WHEN", default="", help="when it was read, if that was earlier"
    )
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """File the reading, say the verdict and what follows from it."""
    from capture.commands.books import check_answer, check_line, opened  # noqa: PLC0415 - slow
    from capture.commands.edge import say, say_json, warn  # noqa: PLC0415 - beside its use
    from capture.commands.exits import OF_STATE  # noqa: PLC0415 - beside its use

    with opened(given.book, edge) as journey:
        check = journey.reading(given.check, given.text, gauge=given.gauge, read_at=given.read_at)
        following = journey.following(check.key)
        hints = journey.fit_hints(check.key)
    record = check.current.record if check.current else None
    if getattr(record, "took_a_unit", False):
        warn(f"unit assumed: {given.text!r} was taken as {check.characteristic.unit}")
    if given.json:
        say_json({**check_answer(check), "following": [check_answer(c) for c in following]})
    else:
        say(check_line(check))
        for other in following:
            say(f"from it  {check_line(other)}")
    for hint in hints:
        warn(hint)
    return max((OF_STATE[c.state] for c in (check, *following)), key=_SEVERITY.index)
