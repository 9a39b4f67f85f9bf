"""benchproof start: begin a book for one job from plan files and plans of the library."""

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from capture.commands.plan_options import add_job
from capture.commands.typed_options import add_by, add_json

if TYPE_CHECKING:
    from capture.edge import Edge
    from store.plan import Plan

EXAMPLES = """  benchproof start plan.toml job-12
  benchproof start plan.toml job-12 --by "A. Fitter" --bench bench-2
  benchproof start plan.toml job-31 --number J-31 --comeback-of job-12
  benchproof start arrival cam-tunnel job-14 --number J-14 --engine "two-cylinder pump" \\
      --customer "Ada Quill" --shop "Back Lane Bench" """.rstrip()

_MOST_ASKS = 12


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument(
        "plan",
        metavar="PLAN",
        nargs="+",
        help="a plan file (TOML or CSV) or a plan of the library ('benchproof plan' lists them); "
        "several are combined",
    )
    parser.add_argument("book", metavar="BOOK", type=Path, help="the new book's folder")
    add_job(parser)
    parser.add_argument(
        "--comeback-of", metavar="JOB", help="the job this is the comeback of: its book's folder, "
        "or its number",
    )  # fmt: skip
    parser.add_argument(
        "--bench", metavar="NAME", help="whose chain it is (default: $BENCHPROOF_BENCH, else "
        "this computer's name)"
    )  # fmt: skip
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Begin the book and say what the job asks for."""
    from capture.commands.edge import say, say_json, warn  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.plan_options import chosen_plan  # noqa: PLC0415 - the same
    from capture.journey import Journey  # noqa: PLC0415 - the same

    plan = chosen_plan(given.plan, given)
    before = given.comeback_of or ""
    with Journey.start(
        plan,
        given.book,
        bench=given.bench or edge.bench,
        clock=edge.clock,
        user=edge.by,
        version=edge.version,
        comeback_of=Path(before) if before and Path(before).is_dir() else before,
    ) as journey:
        for warning in journey.book.warnings:
            warn(warning)
        follows = journey.round().follows
    if given.json:
        say_json(_answer(given.book, plan, follows))
        return DONE
    for line in _lines(given.book, plan, follows, known=Path(before).is_dir()):
        say(line)
    return DONE


def _lines(book: Path, plan: "Plan", follows: str, *, known: bool) -> Iterator[str]:
    from capture.words.plans import asked, cautions, summary  # noqa: PLC0415 - slow

    yield f"book {book} begun for job {plan.job.number}: {plan.job.engine}"
    if follows:
        alone = "" if known else " (its number alone: no such folder here)"
        yield f"comeback of job {follows}{alone}"
    yield summary(plan)
    still = asked(plan)
    for key, figure in still[:_MOST_ASKS]:
        yield f"to be looked up: {key}: {figure}"
    if len(still) > _MOST_ASKS:
        yield f"and {len(still) - _MOST_ASKS} more: benchproof limit {book}"
    if still:
        yield f"give each with its source: benchproof limit {book} LOCATION.CHECK --help"
    for caution in cautions(plan):
        yield f"caution: {caution}"
    yield f"what is asked, in its order: benchproof round {book}"
    yield f"how one of them is read:     benchproof check {book} LOCATION.CHECK"
    yield f"on paper first:              benchproof sheet {book} -o sheet.pdf"


def _answer(book: Path, plan: "Plan", follows: str) -> dict[str, object]:
    from capture.words.plans import asked, cautions  # noqa: PLC0415 - only with --json

    return {
        "book": str(book),
        "job": plan.job.number,
        "comeback_of": follows or None,
        "locations": len(plan.locations),
        "checks": len(plan.walk()),
        "hold_points": [hold.id for hold in plan.hold_points],
        "asks": [{"key": key, "figure": figure} for key, figure in asked(plan)],
        "cautions": cautions(plan),
    }
