"""benchproof coverage: how much of an oil hole is covered, measured on one photo."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from capture.commands.typed_options import (
    add_by,
    add_json,
    add_lens,
    focal_mm,
    pixel_pair,
    pixel_pairs,
)
from capture.errors import WrongUse

if TYPE_CHECKING:
    from annotate.result import Coverage
    from capture.commands.coverage_options import Asked
    from capture.edge import Edge
    from store.verdict import Verdict

EXAMPLES = """  benchproof coverage hole.jpg --click 812,604 --near-diameter "8.05 mm"
  benchproof coverage hole.jpg --click 812,604 --near-diameter "8.05 mm" --wall "1.9 mm" \\
      --bore-diameter "50.8 mm" --limit "covered < 40 %"
  benchproof coverage hole.jpg --near-points "700,500 812,410 930,512 815,640 720,590" \\
      --far-points "760,470 840,440 900,520" --json
  benchproof coverage hole.jpg --click 812,604 --book job-12 --check C2.covered
  benchproof coverage hole.jpg --near-points "..." --far-points "..." --book job-12 \\
      --check C2.covered --second 14 --by "B. Fitter" """.rstrip()


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument("photo", metavar="PHOTO", type=Path, help="a JPEG, PNG or HEIC photo")
    parser.add_argument(
        "--click", type=pixel_pair, metavar="X,Y", help="any point inside the hole as seen"
    )
    lengths = parser.add_argument_group(
        "lengths", 'typed readings: "8 mm", "5/16 in", "1.8 mm +- 0.05 mm"; without a +- half of '
        "the last step is taken"
    )  # fmt: skip
    lengths.add_argument("--near-diameter", metavar="LENGTH", help="drilled, not of the chamfer")
    lengths.add_argument("--far-diameter", metavar="LENGTH", help="of the hole behind")
    lengths.add_argument("--wall", metavar="LENGTH", help="thickness of the part in front")
    face = lengths.add_mutually_exclusive_group()
    face.add_argument("--bore-diameter", metavar="LENGTH", help="of the bore the face is part of")
    face.add_argument("--flat", action="store_true", help="the face is flat")
    lengths.add_argument("--marker", metavar="SIDE", help="outer edge of the marker's black square")
    parser.add_argument(
        "--focal-35mm", type=focal_mm, metavar="MM", help="35 mm equivalent, if the file lacks it"
    )
    parser.add_argument(
        "--near-points", type=pixel_pairs, metavar='"X,Y ..."', help="the near rim, by hand"
    )
    parser.add_argument(
        "--far-points", type=pixel_pairs, metavar='"X,Y ..."', help="the far rim, by hand"
    )
    add_lens(parser)
    parser.add_argument("--limit", metavar="LIMIT", help='judge against this, as "covered < 40 %%"')
    parser.add_argument("--book", metavar="BOOK", type=Path, help="file photo and marks there")
    parser.add_argument("--check", metavar="LOCATION.CHECK", help="the check they belong to")
    parser.add_argument(
        "--second", metavar="ENTRY", default="", help="blind second marks: the entry of another "
        "person's marks on this photo; nothing of theirs is shown",
    )  # fmt: skip
    parser.add_argument(
        "--role", metavar="ROLE", default="close-up", help="what the photo shows (close-up)"
    )
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Measure, judge if asked, and say it; return the exit code."""
    if bool(given.book) != bool(given.check):
        raise WrongUse("--book and --check go together: the book, and which check of it")
    if given.second and not given.book:
        raise WrongUse("--second belongs to marks in a book: it needs --book and --check")
    if given.click is None and (given.near_points is None or given.far_points is None):
        raise WrongUse("give --click, a point inside the hole, or both --near-points and "
                       "--far-points")  # fmt: skip
    if given.book:
        from capture.commands import coverage_in_book  # noqa: PLC0415 - only with a book

        return coverage_in_book.run(given, edge)
    return _measure_alone(given)


def _measure_alone(given: argparse.Namespace) -> int:
    from annotate.coverage import measure  # noqa: PLC0415 - not for a mere --help
    from annotate.errors import AnnotateError  # noqa: PLC0415 - the same
    from capture.commands import exits  # noqa: PLC0415 - the same
    from capture.commands.coverage_options import lens_of, place, read_options  # noqa: PLC0415 - the same
    from capture.commands.edge import working  # noqa: PLC0415 - the same
    from capture.errors import BadPhoto  # noqa: PLC0415 - the same
    from capture.intake.photo import read_photo  # noqa: PLC0415 - the same
    from capture.words.refusals import sentence_of  # noqa: PLC0415 - the same
    from store.judge import judge_result, not_measured, subject_of  # noqa: PLC0415 - the same

    asked = read_options(given)
    try:
        with working("reading the photo") as now:
            photo = read_photo(given.photo)
            now("looking for the rims")
            placed = place(given, photo, asked.marker)
            now("measuring")
            lens = lens_of(asked, placed.layer)
            result = measure(placed.layer, asked.givens(flat=given.flat), lens=lens)
    except (BadPhoto, AnnotateError) as refused:
        reason = sentence_of(refused)
        verdict = not_measured(asked.limit, reason) if asked.limit else None
        _say_nothing_measured(given, asked, verdict, reason)
        return exits.NOT_READ
    verdict = judge_result(subject_of(result, asked.limit.of), asked.limit) if asked.limit else None
    _say_measured(given, asked._replace(noted=asked.noted + placed.warnings), verdict, result)
    return exits.OF_STATE[verdict.state] if verdict else exits.DONE


def _say_measured(
    given: argparse.Namespace, asked: "Asked", verdict: "Verdict | None", result: "Coverage"
) -> None:
    from capture.commands import answer  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.words import quantities as wording  # noqa: PLC0415 - the same

    if given.json:
        say_json(answer.coverage_answer(result, verdict, asked.limit_text, asked.noted))
        return
    for line in wording.coverage_lines(result):
        say(line)
    if verdict:
        say(wording.verdict_line(verdict, asked.limit_text))
    for noted in (*asked.noted, *result.warnings):
        say(f"note     {noted}")
    say(wording.SCREENING)


def _say_nothing_measured(
    given: argparse.Namespace, asked: "Asked", verdict: "Verdict | None", reason: str
) -> None:
    from capture.commands.edge import say_json, warn  # noqa: PLC0415 - not for a mere --help

    if given.json:
        from capture.commands import answer  # noqa: PLC0415 - only with --json

        say_json(answer.no_coverage_answer(reason, verdict, asked.limit_text, asked.noted))
    warn(reason)
