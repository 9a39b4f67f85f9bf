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
    positive,
)
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof coverage hole.jpg --click 812,604 --near-diameter "8.05 mm"
  benchproof coverage hole.jpg --click 812,604 --near-diameter "8.05 mm" --wall "1.9 mm" \\
      --bore-diameter "50.8 mm" --limit "covered < 40 %"
  benchproof coverage hole.jpg --near-points "700,500 812,410 930,512 815,640 720,590" \\
      --far-points "760,470 840,440 900,520" --json
  benchproof coverage slot.jpg --click 812,604 --near-diameter "8.05 mm" --wall "1.9 mm" \\
      --far-outline "700,480 930,470 940,690 710,700"
  benchproof coverage hole-1.jpg hole-2.jpg --click 812,604 --click 655,590 \\
      --near-diameter "8.05 mm" --wall "1.9 mm"
  benchproof coverage hole.jpg --click 812,604 --near-diameter "8.05 mm" --budget \\
      --picture workings.png
  benchproof coverage hole.jpg --click 812,604 --book job-12 --check C2.covered
  benchproof coverage hole-2.jpg --click 655,590 --book job-12 --check C2.covered --together 14
  benchproof coverage hole.jpg --near-points "..." --far-points "..." --book job-12 \\
      --check C2.covered --second 14 --by "B. Fitter" """.rstrip()


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument(
        "photo", metavar="PHOTO", type=Path, nargs="+", help="a JPEG, PNG or HEIC photo; several "
        "are of one hole and measured as one, with a --click (or points) for each",
    )  # fmt: skip
    parser.add_argument(
        "--click", type=pixel_pair, metavar="X,Y", action="append",
        help="any point where the hole is open, where one looks through it",
    )  # fmt: skip
    lengths = parser.add_argument_group(
        "lengths", 'typed readings: "8 mm", "5/16 in", "1.8 mm +- 0.05 mm"; without a +- half of '
        "the last step is taken"
    )  # fmt: skip
    lengths.add_argument("--near-diameter", metavar="LENGTH", help="drilled, not of the chamfer")
    lengths.add_argument("--far-diameter", metavar="LENGTH", help="of the hole behind")
    lengths.add_argument(
        "--wall", metavar="LENGTH", help="thickness of the part in front; with the near diameter "
        "it also helps to find the rims",
    )  # fmt: skip
    face = lengths.add_mutually_exclusive_group()
    face.add_argument("--bore-diameter", metavar="LENGTH", help="of the bore the face is part of")
    face.add_argument("--flat", action="store_true", help="the face is flat")
    lengths.add_argument("--marker", metavar="SIDE", help="outer edge of the marker's black square")
    parser.add_argument(
        "--focal-35mm", type=focal_mm, metavar="MM", help="35 mm equivalent, if the file lacks it"
    )
    parser.add_argument(
        "--near-points", type=pixel_pairs, metavar='"X,Y ..."', action="append",
        help="the near rim, by hand",
    )  # fmt: skip
    parser.add_argument(
        "--far-points", type=pixel_pairs, metavar='"X,Y ..."', action="append",
        help="the far rim, by hand",
    )  # fmt: skip
    parser.add_argument(
        "--far-outline", type=pixel_pairs, metavar='"X,Y ..."', help="a far opening that is not "
        "round, a slot or an oval: its corners once round, the hidden ones too; needs --click or "
        "--near-points",
    )  # fmt: skip
    add_lens(parser)
    parser.add_argument("--limit", metavar="LIMIT", help='judge against this, as "covered < 40 %%"')
    parser.add_argument("--book", metavar="BOOK", type=Path, help="file photo and marks there")
    parser.add_argument("--check", metavar="LOCATION.CHECK", help="the check they belong to")
    parser.add_argument(
        "--second", metavar="ENTRY", default="", help="blind second marks: the entry of another "
        "person's marks on this photo; nothing of theirs is shown",
    )  # fmt: skip
    parser.add_argument(
        "--together", metavar="ENTRY", action="append", default=[], help="measure as one with the "
        "marks of this entry, on another photo of the same hole; can be given again",
    )  # fmt: skip
    parser.add_argument(
        "--tolerance", metavar="POINTS", type=positive, default=0.5, help="make as many trials as "
        "the interval needs to stand still to so many points of coverage (0.5)",
    )  # fmt: skip
    parser.add_argument(
        "--budget", action="store_true", help="say every source of doubt, one a line"
    )
    parser.add_argument(
        "--picture", metavar="OUT", type=Path, help="draw how it came about over the photo: rims, "
        "points, how far each lies off, both ways the camera may lean; on a refusal what was "
        "found; of several photos OUT-1, OUT-2 and so on; .svg or .png",
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
    if given.far_outline and (given.far_points or len(given.photo) > 1 or given.together):
        raise WrongUse("--far-outline stands instead of --far-points, on one photo alone")
    if given.far_outline and not (given.click or given.near_points):
        raise WrongUse("--far-outline needs the near rim too: --click inside it, or --near-points")
    far_given = given.far_points or given.far_outline
    if given.click is None and (given.near_points is None or far_given is None):
        raise WrongUse("give --click, a point inside the hole, or both --near-points and "
                       "--far-points")  # fmt: skip
    if given.together and not given.book:
        raise WrongUse("--together names marks in a book: without one give all photos at once")
    if len(given.photo) > 1 and not given.book:
        from capture.intake.ahead import one_ahead  # noqa: PLC0415 - only with several photos

        # Decoded while what measures them is loaded.
        with one_ahead(given.photo) as photos:
            from capture.commands import coverage_together  # noqa: PLC0415 - the same

            return coverage_together.run(given, photos)
    _take_one(given)
    from capture.commands.photo import role_of  # noqa: PLC0415 - not for a mere --help

    role_of(given.role)  # said before anything is measured, with a book or without
    from capture.intake.photo import coming  # noqa: PLC0415 - not for a mere --help

    with coming(given.photo) as photo:
        if given.book:
            from capture.commands import coverage_in_book  # noqa: PLC0415 - only with a book

            return coverage_in_book.run(given, edge, photo)
        from capture.commands import coverage_alone  # noqa: PLC0415 - loads what only this needs

        return coverage_alone.run(given, photo)


def _take_one(given: argparse.Namespace) -> None:
    """Make each option of a photo that of the one photo there is; raises WrongUse for more."""
    if len(given.photo) > 1:
        raise WrongUse("in a book one photo is measured after the other: then name the marks of "
                       "the first with --together")  # fmt: skip
    given.photo = given.photo[0]
    for name in ("click", "near_points", "far_points"):
        there = getattr(given, name)
        if there is not None and len(there) > 1:
            raise WrongUse(f"one photo takes one --{name.replace('_', '-')}")
        setattr(given, name, there[0] if there else None)
