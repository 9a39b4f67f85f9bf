"""Plan -> a blank build sheet, to be filled in by hand at the block and entered later.

No limit stands beside an empty box: it would sway the hand that reads the gauge, and a number
written down to please a limit is no evidence. The limits stand in words on the last page, to be
turned to when the boxes are filled; those of coverages are not printed at all, for their rims are
placed later, with the sheet on the bench beside the screen.
"""

from pathlib import Path
from typing import Any

from store.files.halfmade import Scratch
from store.plan import Plan
from store.report.figures import count, day
from store.report.lettering import lettered
from store.report.sheet_rows import Printed, limits, walk
from store.report.typeset import kept, typeset

_HEAD_LETTERS = 84


def write_sheet(plan: Plan, out_pdf: Path, printed: Printed) -> Path:
    """Write a plan's build sheet as a tagged PDF and return its path.

    The same plan and ``printed`` give the same bytes; the file appears whole or not at all.
    Raises ReportFailed if the pages can't be set, CannotWrite if they can't be kept.
    """
    with Scratch("sheet") as scratch:
        pages = lettered(sheet_data(plan, printed))
        pdf = typeset(scratch, pages, (), at=printed.at, template="sheet")
        return kept(pdf.read_bytes(), out_pdf, "sheet")


def sheet_data(plan: Plan, printed: Printed) -> dict[str, Any]:
    """Return everything the pages say, as plain JSON."""
    job = plan.job
    many = count(printed.entries, "entry", "entries")
    stood = f"as it stood after {many}" if printed.entries else "before its start"
    return {
        "paper": printed.paper,
        "title": f"Build sheet, job {job.number}, {job.engine}",
        "author": job.shop,
        "head": {
            "job": f"Job {job.number}",
            "middle": _short(f"Build sheet · {job.engine}", _HEAD_LETTERS),
            "state": "to be filled in by hand",
        },
        "foot": {"plan": f"The plan {stood}", "date": day(printed.at)},
        "subject": f"{job.engine}{f', no. {job.engine_number}' if job.engine_number else ''}",
        "count": _count(plan, printed),
        "facts": _facts(plan),
        "how": _how(printed.book),
        "cautions": list(job.cautions),
        "gauges": [_gauge_row(plan, gauge_id) for gauge_id in (g.id for g in plan.gauges)],
        "round": walk(plan, printed),
        "limits": limits(plan, printed),
    }


def _count(plan: Plan, printed: Printed) -> str:
    asked = len([key for key, _, _ in plan.walk() if printed.asks(key)])
    return (
        f"{count(asked, 'check')} at {count(len(plan.locations), 'location')}, "
        f"{count(len(plan.hold_points), 'hold point')}."
    )


def _facts(plan: Plan) -> list[list[str]]:
    job = plan.job
    rows = [["customer", job.customer], ["shop", job.shop]]
    rows += [["asked for", " ".join(job.instructions)]] if job.instructions else []
    rows += [["declined", " ".join(job.declined)]] if job.declined else []
    return rows


def _how(book: str) -> list[str]:
    read_at = 'Enter what is written here with --read-at, in words: "on paper, 10:40".'
    return [
        "Write each reading as the gauge shows it, and its unit if that is not the box's own.",
        "A wrong reading is struck through once and stays legible; the right one goes beside it.",
        "Boxes are read in the order in which they stand: row by row, from the left.",
        "Limits stand on the last page. Turn to it when the boxes are filled, not before.",
        f"A part goes on when 'benchproof close {book}' says that its hold point is closed.",
        f"{read_at} Keep the filled sheet: benchproof paper {book} FILE --what TEXT",
    ]


def _gauge_row(plan: Plan, gauge_id: str) -> list[str]:
    gauge = plan.gauge(gauge_id)
    marked = f", marked {gauge.marked}" if gauge.marked else ""
    checked = f"checked {gauge.last_check}" if gauge.last_check else "no check on record"
    due = f", due {gauge.due}" if gauge.due else ""
    return [gauge.id, f"{gauge.kind}{marked}", f"{checked}{due}"]


def _short(text: str, letters: int) -> str:
    return text if len(text) <= letters else f"{text[: letters - 1]}\u2026"
