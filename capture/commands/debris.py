"""benchproof debris: log how a gallery was cleaned, what came out, and whether it is clean."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge
    from store.round import Place

EXAMPLES = """  benchproof debris job-12
  benchproof debris job-12 G1 --how "brushed, blown, looked through with a light" --clean yes
  benchproof debris job-12 G2 --how "brushed" --clean no --found "chips" """.rstrip()
_CAUTION = (
    "caution: eye protection when air goes through galleries, pressure low, never on "
    "solvent-wet parts; your local rules come first"
)


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument(
        "location", metavar="LOCATION", nargs="?", help="the gallery; left out, all are listed"
    )
    parser.add_argument("--how", metavar="WORDS", help="how it was cleaned and looked at")
    parser.add_argument("--clean", choices=("yes", "no"), help="whether it is clean now")
    parser.add_argument("--found", metavar="WORDS", default="", help="what came out")
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """List the galleries, or log one."""
    if given.location is None:
        return _list(given, edge)
    _refuse_lacking(given)
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    with opened(given.book, edge) as journey:
        entry = journey.log_debris(
            given.location, how=given.how, clean=given.clean == "yes", found=given.found
        )
    if given.json:
        say_json(
            {
                "location": given.location, "clean": given.clean == "yes", "how": given.how,
                "found": given.found, "entry": entry.hash, "number": entry.seq,
            }
        )  # fmt: skip
        return DONE
    state = "clean" if given.clean == "yes" else "NOT clean"
    found = f", found: {given.found}" if given.found else ""
    say(f"{given.location}: {state} ({given.how}){found}, entry {entry.seq}")
    say(_CAUTION)
    return DONE


def _refuse_lacking(given: argparse.Namespace) -> None:
    lacking = [f"--{option}" for option in ("how", "clean") if not getattr(given, option)]
    if lacking:
        raise WrongUse(f"a debris log also needs {', '.join(lacking)}")


def _list(given: argparse.Namespace, edge: "Edge") -> int:
    if given.how or given.clean or given.found:
        raise WrongUse("say which gallery: benchproof debris BOOK LOCATION --how ... --clean ...")
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.stock_answer import told_answer  # noqa: PLC0415 - the same

    with opened(given.book, edge, read_only=True) as journey:
        walked = journey.round()
        galleries = [place for place in walked.places if place.location.gallery]
    if given.json:
        say_json(
            {
                "galleries": [
                    {"location": p.location.id, "logs": [told_answer(log) for log in p.debris]}
                    for p in galleries
                ]
            }
        )
        return DONE
    for place in galleries:
        say(_gallery_line(place, walked.home))
    if not galleries:
        say("the plan has no gallery: a location is one with 'gallery = true'")
    return DONE


def _gallery_line(place: "Place", home: str) -> str:
    from store.attempt import numbered  # noqa: PLC0415 - not for a mere --help
    from store.evidence import DebrisLogged  # noqa: PLC0415 - the same

    name = f"{place.location.id}  {place.location.name}"
    logs = [log for log in place.debris if log.struck is None]
    if not logs or not isinstance(logs[-1].record, DebrisLogged):
        return f"{name}: no debris log"
    log = logs[-1].record
    found = f", found: {log.found}" if log.found else ""
    state = "clean" if log.clean else "NOT clean"
    stamp = logs[-1].stamp
    return f"{name}: {state} ({log.how}){found}, by {stamp.by}, entry {numbered(stamp, home)}"
