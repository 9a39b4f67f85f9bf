"""The printed targets of our own as pages: a scale card, and tags for the locations of a job.

Both are set from plain data. Markers are drawn from the modules that OpenCV itself gives, so what
is printed is what is looked for.
"""

from pathlib import Path
from typing import Any

from annotate.own_targets import (
    CARD_DICTIONARY,
    CARD_MM,
    LARGEST_OF_BORE,
    PIECE_SIDES,
    SCALED,
    TAG_DICTIONARY,
    TAG_IDS,
    TAG_MM,
    cells,
)
from store.errors import BadPlan
from store.files.halfmade import Scratch
from store.plan import Job
from store.report.figures import count, day
from store.report.lettering import lettered
from store.report.sheet_rows import Paper
from store.report.typeset import Template, kept, typeset

BAR_MM = 100.0  # each bar, and so the square's side
_DIAGONAL_MM = BAR_MM * 2**0.5
_RULE_MM, _RULE_IN = 150, 6
_LABEL_MM, _GAP_MM = 24.0, 4.0
_TAG_LABEL_MM = 12.0
# Narrower pieces have their words along them; the narrowest has room for two lines only.
_NARROW_MM, _TWO_LINES_MM = 30.0, 10.0


def write_card(out_pdf: Path, *, at: str, paper: Paper) -> Path:
    """Write the scale card as a tagged PDF of one page and return its path.

    Raises ReportFailed if it can't be set, CannotWrite if it can't be kept.
    """
    return _write("card", card_data(paper), out_pdf, at)


def write_tags(job: Job, numbers: dict[str, int], out_pdf: Path, *, at: str, paper: Paper) -> Path:
    """Write a tag for each location (by id: its number) and return the PDF's path.

    Raises BadPlan for more locations than there are tags, ReportFailed, CannotWrite.
    """
    return _write("tags", tags_data(job, numbers, at=at, paper=paper), out_pdf, at)


def card_data(paper: Paper) -> dict[str, Any]:
    """Return everything the card says, as plain JSON."""
    return {
        "paper": paper,
        "title": "Scale card",
        "description": "Bars, rules and ArUco markers of stated sizes, to lay beside a hole.",
        "lead": "Print at 100 %, not fitted to the page, on matt paper. Measure the print before "
        "it is used.",
        "square_mm": BAR_MM,
        "across": f"bar across: {BAR_MM:.0f} mm, end to end",
        "down": f"bar down: {BAR_MM:.0f} mm, end to end",
        "diagonal": f"diagonals: {_DIAGONAL_MM:.1f} mm, both alike",
        "rule_mm": _RULE_MM,
        "rule_in": _RULE_IN,
        "inch": "1/64 in",
        "piece_sides": PIECE_SIDES,
        "label_mm": _LABEL_MM,
        "gap_mm": _GAP_MM,
        "parts": _card_words(),
        "box": {
            "head": "This print",
            "rows": [["no.", "date"], ["printer, paper"], ["across, mm", "down, mm"],
                     ["diagonals, mm", "and"], ["measured by"]],
        },
        "cut_head": "Markers to cut out along the dashes",
        "along": "long side along the bore",
        "pieces": [_piece(identifier, side) for identifier, side in CARD_MM.items()],
    }  # fmt: skip


def tags_data(job: Job, numbers: dict[str, int], *, at: str, paper: Paper) -> dict[str, Any]:
    """Return everything the tags say, as plain JSON; raises BadPlan for too many locations."""
    if len(numbers) > len(TAG_IDS):
        raise BadPlan(
            f"the job has {len(numbers)} locations and there are {len(TAG_IDS)} tags: file the "
            "photos with --at instead"
        )
    return {
        "paper": paper,
        "title": f"Tags, job {job.number}",
        "author": job.shop,
        "description": "One ArUco marker for each location, to be photographed with it.",
        "how": [
            (
                "Lay the tag of a location beside it, whole and flat, and no other: the photo is "
                "filed there by it. Keep these tags with this job; on another they mean other "
                "locations."
            ),
            (
                f"A tag is a scale too: its black square is {TAG_MM:g} mm at 100 %. In a bore "
                "glue it to something stiff, and lay its long side along the bore."
            ),
        ],
        "bar_mm": BAR_MM,
        "bar": f"{BAR_MM:.0f} mm: before a tag is a scale, measure the bar and ask",
        "command": 'benchproof card --printed "99.7 mm"',
        "foot": f"{count(len(numbers), 'location')}; ArUco {TAG_DICTIONARY}; {day(at)}",
        "side_mm": TAG_MM,
        "piece_sides": PIECE_SIDES,
        "label_mm": _TAG_LABEL_MM,
        "tags": [_tag(job, location, number) for location, number in numbers.items()],
    }


def _card_words() -> list[dict[str, Any]]:
    part = f"1/{1 / LARGEST_OF_BORE:.0f}"
    bore = (
        "In a bore: its long side along the bore, resting on its two long edges, the black square "
        f"at most {part} of the bore, whose diameter is typed. It floats above the metal there, "
        "which is reckoned with."
    )
    return [
        {
            "head": "Measure the print",
            "words": [
                (
                    "Both bars with a calliper, both diagonals with a rule. What then tells the "
                    "true size of every marker, to be written on its piece, is"
                ),
            ],
            "command": 'benchproof card --printed "99.7 mm" "99.8 mm"',
            "then": f"A bar more than {SCALED * 100:.0f} % off was scaled, and diagonals more than "
            "0.5 mm apart ran askew: print again.",
        },
        {
            "head": "Where it may lie",
            "words": [
                (
                    "On the face that the hole is in, close beside the hole, flat and clean, glued "
                    "to something stiff, its white border whole."
                ),
                bore,
            ],
            "command": "",
            "then": "Count the pieces out again: none may stay inside.",
        },
    ]


def _piece(identifier: int, side_mm: float) -> dict[str, Any]:
    return {
        "side_mm": side_mm,
        "cells": cells(CARD_DICTIONARY, identifier),
        "alt": f"ArUco marker {identifier} of {CARD_DICTIONARY}, {side_mm:g} mm",
        "size": f"{side_mm:g} mm",
        "name": f"{CARD_DICTIONARY}, no. {identifier}",
        "true_size": "true: __________ mm",
        "narrow": side_mm * PIECE_SIDES < _NARROW_MM,
        "room": side_mm * PIECE_SIDES > _TWO_LINES_MM,
    }


def _tag(job: Job, location: str, number: int) -> dict[str, Any]:
    return {
        "cells": cells(TAG_DICTIONARY, number),
        "alt": f"Tag of {location}: ArUco marker {number} of {TAG_DICTIONARY}, {TAG_MM:g} mm",
        "location": location,
        "number": f"tag {number}, {TAG_MM:g} mm",
        "job": f"job {job.number}",
    }


def _write(template: Template, data: dict[str, Any], out_pdf: Path, at: str) -> Path:
    with Scratch(template) as scratch:
        pdf = typeset(scratch, lettered(data), (), at=at, template=template)
        return kept(pdf.read_bytes(), out_pdf, template)
