"""What passed between shop and owner, and the papers kept: instructions, advice, yeses, sheets."""

from typing import Any

from store.attempt import numbered
from store.evidence import OwnerSaid, PaperKept
from store.report import words
from store.report.figures import count, date_said, listed, size
from store.report.words import Bits
from store.round import Round, Waived
from store.stock import Told

_ABOUT = {
    "instruction": "asked",
    "declined": "declined",
    "agreed": "agreed",
    "told": "was told",
}


def section(known: Round) -> dict[str, Any]:
    """Return the section of the owner's words and of the papers."""
    said = len(known.job.instructions) + len(known.job.declined) + len(known.owner)
    waivers = count(len(_waivers(known)), "waiver")
    papers = count(len(known.papers), "paper")
    lead = f"{count(said, 'thing')} between shop and owner, {waivers}, {papers} kept."
    return {
        "code": "O",
        "title": "Owner and papers",
        "lead": f"{lead[:1].upper()}{lead[1:]}",
        "list": [_instructions(known), _papers(known)],
    }


def _instructions(known: Round) -> dict[str, Any]:
    rows = _owner_rows(known)
    notes: list[Bits] = [] if rows else [["None were written down."]]
    if known.follows:
        cited = f"; the last entry of its book is {known.follows_entry[:16]}" if (
            known.follows_entry
        ) else "; its book was not at hand"  # fmt: skip
        notes.append([{"bold": "Comeback. "}, f"This job follows job {known.follows}{cited}."])
    return {
        "name": "Instructions",
        "lane": "What the owner asked for, turned down, was told and agreed to, and how.",
        "table": {
            "heads": ["when", "", "in the owner's or the builder's words", "how given, kept by"],
            "widths": ["auto", "auto", 2, 1.4],
            "rows": rows,
        }
        if rows
        else None,
        "notes": notes,
    }


def _owner_rows(known: Round) -> list[list[str | Bits]]:
    start = "at the start"
    rows: list[list[str | Bits]] = [
        [start, "asked", text, "in the plan"] for text in known.job.instructions
    ]
    rows += [[start, "declined", text, "in the plan"] for text in known.job.declined]
    rows += [_owner_row(told, known.home) for told in known.owner]
    return rows + _agreed_rows(known)


def _owner_row(told: Told, home: str) -> list[str | Bits]:
    record = told.record
    if not isinstance(record, OwnerSaid):
        return ["", "", "", ""]
    text: str | Bits = [{"struck": record.words}] if told.struck else record.words
    who = f"{record.who}; " if record.who else ""
    kept = f"kept by {told.stamp.by}, entry {numbered(told.stamp, home)}"
    return [date_said(told.stamp.at), _ABOUT[record.about], text, f"{who}{record.how}; {kept}"]


def _agreed_rows(known: Round) -> list[list[str | Bits]]:
    """Return a row for each waiver; those given in one breath share it."""
    together: dict[tuple[str, str, str, str], list[Waived]] = {}
    for waiver in _waivers(known):
        said = (waiver.decided_by, waiver.owner_agreed, waiver.hold_point)
        together.setdefault((date_said(waiver.stamp.at), *said), []).append(waiver)
    return [
        [
            when,
            "waiver",
            f"{listed([words.waived_key(w) for w in alike])}, for hold point {hold}",
            f"decided by {decided_by}; owner: {agreed}; {words.entries_said(alike, known.home)}",
        ]
        for (when, decided_by, agreed, hold), alike in together.items()
    ]


def _waivers(known: Round) -> list[Waived]:
    found = [w for check in known.checks for w in check.waivers]
    found += [w for place in known.places for w in place.waivers]
    return [w for w in found if w.struck is None]


def _papers(known: Round) -> dict[str, Any]:
    rows: list[list[str | Bits]] = [_paper(n, told) for n, told in enumerate(known.papers, start=1)]
    return {
        "name": "Papers",
        "lane": "Kept in the book beside the photos. The whole SHA-256 stands on the last pages.",
        "table": {
            "heads": ["no.", "what it is", "belongs to", "file, size", "SHA-256 begins", "kept by"],
            "widths": ["auto", 1.7, 0.9, 1.3, 1.2, 1.2],
            "rows": rows,
        }
        if rows
        else None,
        "notes": [] if rows else [["No paper was kept."]],
    }


def _paper(number: int, told: Told) -> list[str | Bits]:
    record = told.record
    if not isinstance(record, PaperKept):
        return [""] * 6
    belongs = ", ".join(filter(None, (record.location, *record.keys))) or "the job"
    what: str | Bits = [{"struck": record.what}] if told.struck else record.what
    return [
        str(number),
        what,
        belongs,
        [{"tight": words.shortened(record.file_name)}, f", {size(record.bytes_count)}"],
        [{"mono": f"{record.paper[:8]} {record.paper[8:16]}"}],
        f"{told.stamp.by}, {date_said(told.stamp.at)}",
    ]
