"""benchproof gauge: the gauges of the job, what is against one, and what it touched."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from capture.commands.gauge_register import Touched
    from capture.edge import Edge
    from capture.journey import Journey
    from store.stock import GaugeState

EXAMPLES = """  benchproof gauge job-12
  benchproof gauge job-12 mic-1
  benchproof gauge job-12 mic-1 suspect --since 2026-11-03 --reason "fell on the floor"
  benchproof gauge job-12 mic-1 clear --reason "checked on the 25 mm block: right"
  benchproof gauge job-12 mic-1 set --last-check 2026-11-20 --due 2027-11-20
  benchproof gauge job-12 bore-2 set --kind "bore gauge 50-100" --resolution "0.001 mm" \\
      --permissible-error "0.003 mm" --difference --set-on mic-1"""
_NONE_ENTERED = (
    "no gauge is entered: benchproof gauge BOOK ID set --kind WORDS --resolution SIZE "
    "--permissible-error SIZE"
)
_SET = (
    "kind", "resolution", "permissible_error", "last_check", "due", "set_on", "marked",
    "repeatability", "repeats", "difference",
)  # fmt: skip


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument(
        "gauge", metavar="ID", nargs="?", help="the gauge; left out, the register is listed"
    )
    parser.add_argument(
        "act", metavar="suspect|clear|set", nargs="?", choices=("suspect", "clear", "set"),
        help="it may have been wrong; it was right after all; enter or change it",
    )  # fmt: skip
    parser.add_argument("--since", metavar="DATE", help="suspect: since when, as 2026-11-03")
    parser.add_argument("--reason", metavar="WHY", default="", help="why, or how it is known")
    entered = parser.add_argument_group("set", "what is not given stays as it is")
    entered.add_argument("--kind", metavar="WORDS", help="what it is: micrometer 25-50")
    entered.add_argument("--resolution", metavar="SIZE", help="what it is read to: 0.001 mm")
    entered.add_argument(
        "--permissible-error", metavar="SIZE", help="largest error its maker or last check allows"
    )
    entered.add_argument("--last-check", metavar="DATE", help="when it was checked last")
    entered.add_argument("--due", metavar="DATE", help="from which day that no longer counts")
    entered.add_argument("--set-on", metavar="ID", help="what it is set on: a gauge, or words")
    entered.add_argument("--marked", metavar="WORDS", help="the number engraved on it")
    entered.add_argument(
        "--repeatability", metavar="SIZE", help="standard deviation of single readings"
    )
    entered.add_argument("--repeats", metavar="N", type=int, help="found in how many readings")
    entered.add_argument(
        "--difference", action=argparse.BooleanOptionalAction, default=None,
        help="it reads how much bigger or smaller than its zero",
    )  # fmt: skip
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """List the register, show one gauge, or say what became of it."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    _refuse_misplaced(given)
    today = edge.clock()[:10]
    with opened(given.book, edge, read_only=given.act is None) as journey:
        if given.act != "set" and given.gauge:
            journey.plan.gauge(given.gauge)
        said = _do(given, journey, today)
        _say(given, journey, today, said)
    return DONE


def _refuse_misplaced(given: argparse.Namespace) -> None:
    """Refuse options of another act: left alone they would be dropped."""
    entered = [name for name in _SET if getattr(given, name) is not None]
    if entered and given.act != "set":
        option = entered[0].replace("_", "-")
        raise WrongUse(f"--{option} belongs to 'set': gauge BOOK ID set --{option} ...")
    if given.act == "suspect" and not (given.since and given.reason):
        raise WrongUse("a suspicion needs --since DATE and --reason WHY")
    if given.act == "clear" and not given.reason:
        raise WrongUse("clearing a gauge needs --reason: how is it known that it was right?")
    if given.act != "suspect" and given.since:
        raise WrongUse("--since belongs to 'suspect'")


def _do(given: argparse.Namespace, journey: "Journey", today: str) -> str:
    from capture.commands.gauge_register import (  # noqa: PLC0415 - slow
        entered_gauge,
        refuse_a_day_to_come,
    )
    from store.change import GaugeSet  # noqa: PLC0415 - not for a mere --help

    if given.act == "suspect":
        refuse_a_day_to_come("since", given.since, today)
        entry = journey.suspect_gauge(given.gauge, since=given.since, reason=given.reason)
        return f"{given.gauge} is suspect since {given.since}: {given.reason}, entry {entry.seq}"
    if given.act == "clear":
        entry = journey.clear_gauge(given.gauge, reason=given.reason)
        return f"{given.gauge} is cleared: {given.reason}, entry {entry.seq}"
    if given.act == "set":
        typed = {name: getattr(given, name) for name in _SET}
        change = GaugeSet(entered_gauge(journey.plan, given.gauge, typed, today))
        entry = journey.change_plan(change, given.reason)
        return f"{given.gauge} is entered as it is now, entry {entry.seq}"
    return ""


def _say(given: argparse.Namespace, journey: "Journey", today: str, said: str) -> None:
    from capture.commands import gauge_register  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say  # noqa: PLC0415 - the same
    from capture.words import gauges  # noqa: PLC0415 - the same

    walked = journey.round()
    states = [state for state in walked.gauges if given.gauge in {None, state.gauge.id}]
    touched: list[Touched] = []
    if given.gauge and given.act != "set":
        since = states[0].since if given.act == "suspect" else ""
        touched = gauge_register.touched(journey, given.gauge, since)
    if given.json:
        _say_json(states, touched, one=bool(given.gauge))
        return
    lines = gauges.gauge_lines if given.gauge else gauges.register_lines
    told = [said] if said else []
    told += [line for state in states for line in lines(state, today)]
    told += gauge_register.touched_lines(touched, walked.home) if touched else []
    told += gauges.unproven_lines(walked, given.gauge or "")
    for line in told or [_NONE_ENTERED]:
        say(line)


def _say_json(states: "Sequence[GaugeState]", touched: "list[Touched]", *, one: bool) -> None:
    from capture.commands.edge import say_json  # noqa: PLC0415 - only with --json
    from capture.commands.stock_answer import gauge_answer  # noqa: PLC0415 - the same

    answers = [gauge_answer(state) for state in states]
    if one:
        say_json({**answers[0], "readings": [each._asdict() for each in touched]})
    else:
        say_json({"gauges": answers})
