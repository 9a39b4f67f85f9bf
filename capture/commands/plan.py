"""benchproof plan: the library of plans, what a plan asks, a plan to edit, a plan checked."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from capture.commands.plan_options import add_job
from capture.commands.typed_options import add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge
    from store.plan import Job, Plan
    from store.round import Round

EXAMPLES = """  benchproof plan
  benchproof plan cam-tunnel
  benchproof plan cam-tunnel --write mine.toml
  benchproof plan plugs-and-galleries cam-tunnel --each cam=1,2,3 --write mine.csv
  benchproof plan --check mine.toml
  benchproof plan job-12"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument(
        "plan", metavar="PLAN", nargs="*",
        help="plans of the library, plan files, or one book; without any the library is listed",
    )  # fmt: skip
    parser.add_argument(
        "--write", metavar="FILE", type=Path, help="write it out to be edited: a .toml or a .csv"
    )
    parser.add_argument(
        "--check",
        metavar="FILE",
        type=Path,
        help="say everything that is wrong in a plan file (of a CSV, its first wrong row)",
    )
    add_job(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """List the library, or print, write or check a plan."""
    if given.check:
        if given.plan or given.write:
            raise WrongUse("--check takes one plan file and nothing else")
        return _check(given)
    if not given.plan:
        if given.write:
            raise WrongUse("--write needs a plan: name one of the library, a file or a book")
        return _library(given)
    if len(given.plan) == 1 and Path(given.plan[0]).is_dir():
        return _of_book(given, edge)
    plan, named = _of_names(given)
    if given.write:
        return _write(given, plan, named=named)
    return _print(given, plan, named=named)


def _library(given: argparse.Namespace) -> int:
    """List the plans of the library."""
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.plans.fragment import library, read_library  # noqa: PLC0415 - the same

    shipped = library()
    if given.json:
        say_json({"library": [
            {"name": name, "about": about, "lists": read_library(name).lists}
            for name, about in shipped
        ]})  # fmt: skip
        return DONE
    width = max((len(name) for name, _ in shipped), default=0)
    for name, about in shipped:
        say(f"{name:<{width}}  {about}")
    say()
    say("what one asks:    benchproof plan NAME")
    say("to edit one:      benchproof plan NAME --write mine.toml")
    say("to begin a job:   benchproof start NAME NAME BOOK --number TEXT --engine TEXT ...")
    return DONE


def _of_names(given: argparse.Namespace) -> "tuple[Plan, bool]":
    """Return the plan of files and library names, and whether it names its job."""
    from capture.commands.plan_options import (  # noqa: PLC0415 - not for a mere --help
        chosen_plan,
        each_of,
        fragment_of,
        names_a_job,
    )
    from capture.plans.combination import combine  # noqa: PLC0415 - the same

    if given.number or any(names_a_job(Path(name)) for name in given.plan):
        return chosen_plan(given.plan, given), True
    job = _nobodys(given)
    fragments = [fragment_of(name, job) for name in given.plan]
    return combine(job, fragments, each=each_of(given.each), without=tuple(given.without)), False


def _nobodys(given: argparse.Namespace) -> "Job":
    """Return a job that only says in which units the plan is to be read."""
    from store.plan import Job  # noqa: PLC0415 - not for a mere --help

    return Job(number="-", engine="-", customer="-", shop="-", units=given.units or "metric")


def _print(given: argparse.Namespace, plan: "Plan", *, named: bool) -> int:
    """Print what a plan asks."""
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.words.plans import asked, cautions, plan_lines  # noqa: PLC0415 - slow

    if given.json:
        say_json(_answer(plan, named=named))
        return DONE
    for line in plan_lines(plan, with_job=named):
        say(line)
    for name, words in _lists(given.plan):
        say(f"one for each of {name}: {', '.join(words)} (--each {name}=... makes it fit)")
    still = len(asked(plan))
    if still:
        say(f"{still} limit{'' if still == 1 else 's'} to be looked up in the maker's manual")
    for caution in cautions(plan):
        say(f"caution: {caution}")
    return DONE


def _lists(names: list[str]) -> list[tuple[str, tuple[str, ...]]]:
    """Return the lists that plans of the library multiply by."""
    from capture.plans.fragment import library, read_library  # noqa: PLC0415 - not for --help

    shipped = {name for name, _ in library()}
    lists = {n: w for name in names if name in shipped for n, w in read_library(name).lists.items()}
    return list(lists.items())


def _answer(plan: "Plan", *, named: bool) -> dict[str, Any]:
    from capture.plans.document import document_of  # noqa: PLC0415 - the same
    from capture.words.plans import asked, cautions  # noqa: PLC0415 - only with --json

    document = document_of(plan)
    if not named:
        del document["job"]
    return {
        "plan": document,
        "asks": [{"key": key, "figure": figure} for key, figure in asked(plan)],
        "cautions": cautions(plan),
    }


def _of_book(given: argparse.Namespace, edge: "Edge") -> int:
    """Print or write the plan of a book as it stands, with its changes."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help

    if given.each or given.without or given.number:
        raise WrongUse("a book's plan is changed with 'benchproof change', not here")
    with opened(Path(given.plan[0]), edge, read_only=True) as journey:
        walked = journey.round()
    if given.write:
        return _write(given, walked.plan, named=True)
    return _print_book(given, walked)


def _print_book(given: argparse.Namespace, walked: "Round") -> int:
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.words.plans import change_line, change_words, plan_lines  # noqa: PLC0415 - slow

    if given.json:
        changes = [
            {
                "entry": told.stamp.seq,
                "at": told.stamp.at,
                "by": told.stamp.by,
                "change": change_words(told.record.change, walked.plan),  # type: ignore[union-attr] # a change
                "reason": told.record.reason,  # type: ignore[union-attr] # the same
            }
            for told in walked.changes
        ]
        say_json({**_answer(walked.plan, named=True), "changes": changes})
        return DONE
    for line in plan_lines(walked.plan):
        say(line)
    say()
    for told in walked.changes:
        say(change_line(told, walked.plan, walked.home))
    if not walked.changes:
        say("not changed since the job was started")
    return DONE


def _write(given: argparse.Namespace, plan: "Plan", *, named: bool) -> int:
    """Write a plan file, never over another file."""
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.plan_files import keep, plan_text  # noqa: PLC0415 - the same

    text = plan_text(given.write, plan, given, named=named)
    keep(given.write, text)
    if given.json:
        say_json({"written": str(given.write)})
    else:
        say(f"plan {given.write}")
        say(f"when it is edited: benchproof plan --check {given.write}")
    return DONE


def _check(given: argparse.Namespace) -> int:
    """Say everything that is wrong in a plan file."""
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE, NOT_READ  # noqa: PLC0415 - the same
    from capture.commands.plan_files import faults_of  # noqa: PLC0415 - the same

    faults = faults_of(given.check, _nobodys(given))
    if given.json:
        say_json({"file": str(given.check), "faults": faults})
    else:
        for fault in faults:
            say(fault)
        many = f"{len(faults)} fault{'' if len(faults) == 1 else 's'}"
        # What its parts say of each other is looked at when each of them is sound.
        again = "check it again when that is put right, for one fault can hide another"
        say(f"{given.check}: {many}; {again}" if faults
            else f"{given.check}: nothing is wrong with it")  # fmt: skip
    return NOT_READ if faults else DONE
