"""benchproof demo: an invented job from plan to report."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from capture.edge import Edge
    from store.round import Check

EXAMPLES = """  benchproof demo
  benchproof demo try-it-here"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument(
        "folder",
        metavar="FOLDER",
        type=Path,
        nargs="?",
        default=Path("benchproof-demo"),
        help="where to put book and report (default: benchproof-demo here; never overwrites)",
    )


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Walk the job, print the round, write the report, check the book."""
    from capture.commands.edge import say  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import ALTERED, DONE  # noqa: PLC0415 - the same
    from capture.demo.job import fresh_folder  # noqa: PLC0415 - the same
    from capture.words.coverages import SCREENING  # noqa: PLC0415 - the same

    folder = fresh_folder(given.folder)
    sound = _work(folder, edge)
    say()
    say(SCREENING)
    say(f"book    {folder.resolve() / 'book'}")
    say(f"report  {folder.resolve() / 'report.pdf'}")
    say(f"look again with: benchproof round {folder / 'book'}")
    return DONE if sound else ALTERED


def _work(folder: Path, edge: "Edge") -> bool:
    """Begin the book and do everything; return whether it then verifies."""
    from capture.commands.edge import counting, say, warn  # noqa: PLC0415 - slow
    from capture.commands.walked import round_lines  # noqa: PLC0415 - the same
    from capture.demo.hands import Told  # noqa: PLC0415 - the same
    from capture.demo.job import BENCH, BUILDER, read_demo_plan, walk  # noqa: PLC0415 - the same
    from capture.journey import Journey  # noqa: PLC0415 - the same
    from capture.verifying import verify_book  # noqa: PLC0415 - the same

    plan = read_demo_plan()
    folder.mkdir(parents=True)
    with Journey.start(
        plan,
        folder / "book",
        bench=BENCH,
        clock=edge.clock,
        user=BUILDER,
        version=edge.version,
    ) as journey:
        for caution in plan.job.cautions:
            say(f"caution: {caution}")
        for warning in journey.book.warnings:
            warn(warning)
        walk(
            journey,
            Told(
                act=lambda line: say(f"- {line}"),
                outcome=lambda line: say(f"      {line}"),
                check=_say_check,
            ),
        )
        say()
        for line in round_lines(journey.round()):
            say(line)
        with counting("setting the report") as count:
            journey.report(folder / "report.pdf", progress=lambda done, of, _: count(done, of))
    with counting("verifying") as count:
        findings = verify_book(folder / "book", version=edge.version, progress=count)
    say()
    for finding in findings:
        say(f"verify: {finding.severity}: {finding.where}: {finding.detail}")
    sound = all(finding.severity == "note" for finding in findings)
    if sound:
        say("verify: sound, and every number worked out again from its marks")
    return sound


def _say_check(check: "Check") -> None:
    from capture.commands.edge import say  # noqa: PLC0415 - the same
    from capture.words.checks import check_line  # noqa: PLC0415 - beside its use

    say(f"      {check_line(check)}")
