"""benchproof reading: file typed readings and judge them."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof reading job-12 P1.bore "25.412 mm" --gauge mic-1
  benchproof reading job-12 P1.depth "17/32 in BELOW"
  benchproof reading job-12 P1.clean yes --read-at "on paper at 10:40"
  benchproof reading job-12 B1.bore 3.5012 3.5014 3.5013        # a grid, in its order
  benchproof reading job-12 B1.bore 3.5013 --spot "front,across"
  benchproof reading job-12 B1.bore "0.0021 in bigger" --gauge bore-1 --zero B1.journal
  benchproof reading job-12 P1.bore 25.912 --stands "looked again, both times the same" """.rstrip()


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument("check", metavar="LOCATION.CHECK", help="what was measured")
    parser.add_argument(
        "texts",
        metavar="TEXT",
        nargs="+",
        help="the reading, as you would write it down; several fill a grid in its order",
    )
    parser.add_argument(
        "--spot", metavar="SPOT", help='where in a grid: "top,across", "#2" for the second time '
        "(default: the next without a reading)",
    )  # fmt: skip
    parser.add_argument("--gauge", metavar="ID", default="", help="if not the one of the plan")
    parser.add_argument(
        "--zero", metavar="KEY|LENGTH", help="what a difference gauge was zeroed to: a check that "
        'was read, or a size; TEXT is then the dial, as "0.02 mm bigger"',
    )  # fmt: skip
    parser.add_argument(
        "--doubt", metavar="DOUBT", action="append", default=[],
        help='what else makes it uncertain, as "0.002 mm: parting line"; may be repeated',
    )  # fmt: skip
    parser.add_argument("--part-temp", metavar="DEGREES", help='of the part: "21.5 C" or "70 F"')
    parser.add_argument("--gauge-temp", metavar="DEGREES", help="of the gauge")
    parser.add_argument(
        "--photo", metavar="PHOTO", action="append", default=[],
        help="a filed photo of it: its file, or the start of its hash; may be repeated",
    )  # fmt: skip
    parser.add_argument(
        "--read-at", metavar="WHEN", default="", help="when it was read, if that was earlier"
    )
    parser.add_argument(
        "--stands", metavar="WORDS", help="file it although it looks like a slip: what was "
        "looked at again",
    )  # fmt: skip
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """File the readings, say the verdict and what follows from it."""
    from capture.commands.filed_readings import say_filed  # noqa: PLC0415 - not for a mere --help
    from capture.commands.filing import file_readings  # noqa: PLC0415 - the same

    return say_filed(file_readings(given, edge), as_json=given.json)
