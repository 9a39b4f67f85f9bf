"""benchproof limit: give a limit with its source, or list those that are still to be given."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_by, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge
    from capture.journey import Journey
    from store.change import Change
    from store.characteristic import Limit, Which

EXAMPLES = """  benchproof limit job-12
  benchproof limit job-12 P1.press --at-least "0.03 mm" --at-most "0.12 mm" \\
      --source "shop manual, page 41"
  benchproof limit job-12 M1.clearance --printed "0.04-0.09 mm (0.0016-0.0035 in)" \\
      --source "shop manual, page 12"
  benchproof limit job-12 M1.journal --wear --at-least "47.94 mm" --source "page 12" \\
      --judged-by wear
  benchproof limit job-12 P1.depth --none --reason "the maker gives no figure" """.rstrip()

_FIGURES = ("at_least", "at_most", "source", "of", "rule", "printed", "settled")


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    parser.add_argument("book", metavar="BOOK", type=Path, help="the book's folder")
    parser.add_argument(
        "check", metavar="LOCATION.CHECK", nargs="?",
        help="whose limit; without it the limits still to be given are listed",
    )  # fmt: skip
    figures = parser.add_argument_group("the limit")
    figures.add_argument("--at-least", metavar="VALUE", help="the lower figure, with its unit")
    figures.add_argument("--at-most", metavar="VALUE", help="the upper figure, with its unit")
    figures.add_argument(
        "--source", metavar="TEXT", help='the manual and page, or "builder\'s own"'
    )
    figures.add_argument(
        "--of", choices=("covered", "covered of near", "covered of far", "pin", "open area"),
        help="what the limit of a coverage speaks of (default: covered)",
    )  # fmt: skip
    figures.add_argument(
        "--rule", choices=("guarded", "simple"),
        help="guarded asks 95 %% odds either way (default), simple looks at the value alone",
    )  # fmt: skip
    figures.add_argument(
        "--printed", metavar="TEXT",
        help="the limit as its source prints it; where that is in two units, they are compared",
    )  # fmt: skip
    figures.add_argument(
        "--settled", metavar="TEXT", help="where they disagree: which was taken, and why"
    )
    other = parser.add_argument_group("which, and why")
    other.add_argument(
        "--wear", action="store_true", help="the limit for a part used again, not for a new one"
    )
    other.add_argument(
        "--judged-by", choices=("new", "wear"), help="which of the two limits decides"
    )
    other.add_argument("--none", action="store_true", help="there is no such limit: say why")
    other.add_argument("--reason", metavar="WHY", help="why it is changed; needed unless it is new")
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Give the limit, or list those that are still to be given."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help

    if given.check is None:
        _refuse_figures(given, "name the check: LOCATION.CHECK, right behind the book")
        with opened(given.book, edge, read_only=True) as journey:
            return _list(given, journey)
    with opened(given.book, edge) as journey:
        return _give(given, journey)


def _list(given: argparse.Namespace, journey: "Journey") -> int:
    """List the limits that are still to be given."""
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.words.plans import asked  # noqa: PLC0415 - the same

    still = asked(journey.plan)
    if given.json:
        say_json({"asks": [{"key": key, "figure": figure} for key, figure in still]})
        return DONE
    for key, figure in still:
        say(f"{key}: {figure}")
    count = len(still)
    say(f"{count} limit{'' if count == 1 else 's'} still to be given" if still
        else "no limit is still to be given")  # fmt: skip
    return DONE


def _give(given: argparse.Namespace, journey: "Journey") -> int:
    """Make each change that was asked for; say where the check then stands."""
    from capture.commands.books import check_answer  # noqa: PLC0415 - slow
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE, OF_STATE  # noqa: PLC0415 - the same
    from capture.words.checks import check_line  # noqa: PLC0415 - slow
    from capture.words.plans import change_words  # noqa: PLC0415 - the same

    changes = _changes(given, journey)
    entries = [_changed(journey, change, given.reason or "") for change in changes]
    check = journey.round().check(given.check)
    words = [change_words(change, journey.plan) for change in changes]
    if given.json:
        say_json({**check_answer(check), "entries": entries, "changes": words})
    else:
        for entry, line in zip(entries, words, strict=True):
            say(f"entry {entry}: {line}")
        say(check_line(check))
    return OF_STATE[check.state] if check.current else DONE


def _changed(journey: "Journey", change: "Change", reason: str) -> int:
    """Make one change; return the number of its entry."""
    from store.errors import BadAct  # noqa: PLC0415 - not for a mere --help

    try:
        return journey.change_plan(change, reason).seq
    except BadAct as refused:
        raise WrongUse(f"{str(refused).rstrip('.')}, with --reason") from refused


def _changes(given: argparse.Namespace, journey: "Journey") -> "list[Change]":
    from store.change import DecidingSet, LimitSet  # noqa: PLC0415 - not for a mere --help

    which: Which = "wear" if given.wear else "new"
    changes: list[Change] = []
    if given.none:
        _refuse_figures(given, "--none stands without figures")
        if not (given.reason or "").strip():
            raise WrongUse('--none needs --reason, as "the maker gives no figure"')
        changes.append(LimitSet(given.check, None, which))
    elif any(getattr(given, name) for name in _FIGURES):
        changes.append(LimitSet(given.check, _limit(given, journey), which))
    if given.judged_by:
        changes.append(DecidingSet(given.check, given.judged_by))
    if not changes:
        raise WrongUse(
            "say the limit: --at-least, --at-most or --printed, with --source; or --none"
        )
    return changes


def _limit(given: argparse.Namespace, journey: "Journey") -> "Limit":
    from capture.additions import limit_of  # noqa: PLC0415 - not for a mere --help

    _, check = journey.plan.characteristic(given.check)
    if "(" in f"{given.at_least} {given.at_most}":
        raise WrongUse(
            f"{given.check}: type a limit in two units with --printed, they are compared"
        )
    written = {name: getattr(given, name) for name in _FIGURES}
    try:
        return limit_of(given.check, check, written, journey.plan.job)
    except WrongUse as refused:
        raise WrongUse(_with_options(str(refused))) from refused


def _with_options(sentence: str) -> str:
    """Return a plan file's refusal with the options in the place of its keys."""
    for name in _FIGURES:
        option = f"--{name.replace('_', '-')}"
        sentence = sentence.replace(f"'{name}'", option).replace(f" {name}: ", f" {option}: ")
    return sentence.replace(" at_least", " --at-least").replace(" at_most", " --at-most")


def _refuse_figures(given: argparse.Namespace, what: str) -> None:
    for name in (*_FIGURES, "wear") if given.check is None else _FIGURES:
        if getattr(given, name):
            raise WrongUse(what)
