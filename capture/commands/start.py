"""benchproof start: begin a book for one job from a plan file."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_by

if TYPE_CHECKING:
    from capture.commands.edge import Edge

EXAMPLES = """  benchproof start plan.toml job-12
  benchproof start plan.toml job-12 --by "A. Fitter" --bench bench-2"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument("plan", metavar="PLAN", type=Path, help="the plan, a TOML file")
    parser.add_argument("book", metavar="BOOK", type=Path, help="the new book's folder")
    parser.add_argument(
        "--bench", metavar="NAME", help="whose chain it is (default: $BENCHPROOF_BENCH, else "
        "this computer's name)"
    )  # fmt: skip
    add_by(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Begin the book and say what the job asks for."""
    from capture.commands.edge import say, warn  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.journey import Journey  # noqa: PLC0415 - the same
    from capture.plans.reader import read_plan  # noqa: PLC0415 - the same

    plan = read_plan(given.plan)
    with Journey.start(
        plan,
        given.book,
        bench=given.bench or edge.bench,
        clock=edge.clock,
        user=edge.by,
        version=edge.version,
    ) as journey:
        for warning in journey.book.warnings:
            warn(warning)
    say(f"book {given.book} begun for job {plan.job.number}: {plan.job.engine}")
    say(
        f"{len(plan.walk())} checks at {len(plan.locations)} locations, "
        f"{len(plan.hold_points)} hold points"
    )
    for caution in plan.job.cautions:
        say(f"caution: {caution}")
    return DONE
