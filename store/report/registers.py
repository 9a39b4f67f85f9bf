"""The lists at the end: gauges, corrections, what was asked and changed, parts, owner, papers."""

from typing import Any

from store.codec import Entry
from store.report import customer, gauges, happenings, stocks
from store.report.figures import count
from store.report.trail import Trail
from store.report.words import Bits
from store.round import Round

Row = list[str | Bits]


def registers(known: Round, entries: tuple[Entry, ...], trail: Trail) -> list[dict[str, Any]]:
    """Return the data of the register sections, in the order they are printed."""
    struck = happenings.corrections(entries)
    number = count(len(known.gauges), "gauge")
    suspect = sum(bool(state.suspect) for state in known.gauges)
    overdue = sum(state.overdue for state in known.gauges)
    said = [f"{number[:1].upper()}{number[1:]}"]
    said += [f"{suspect} suspect"] if suspect else []
    said += [f"{overdue} overdue"] if overdue else []
    said += [f"{count(len(struck), 'entry', 'entries')} struck"]
    bench = {
        "code": "G",
        "title": "Gauges and corrections",
        "lead": f"{', '.join(said)}.",
        "list": [
            gauges.register(known, entries, trail),
            _struck(struck),
            *_happened(known, trail),
        ],
    }
    stock = stocks.section(known)
    return [*([stock] if stock else []), bench, customer.section(known)]


def _struck(rows: list[Row]) -> dict[str, Any]:
    heads = ["what for", "struck", "reason given", "by, when, entry"]
    return {
        "name": "Corrections",
        "lane": "A struck entry was wrong. It stays legible and the reason stands beside it.",
        "table": {"heads": heads, "widths": ["auto", 1, 2, 1.6], "rows": rows} if rows else None,
        "notes": [] if rows else [["Nothing was struck."]],
    }


def _happened(known: Round, trail: Trail) -> list[dict[str, Any]]:
    """Return the registers that only a job in which such things happened has."""
    asked: list[tuple[str, str, list[str], list[float | str], list[Row]]] = [
        (
            "Asked before filing",
            "A typed reading looked like a known slip, and the hand was asked to look again.",
            ["check", "typed", "it looked like", "answer", "by, when, entry"],
            ["auto", 1, 1.5, 1.3, 1.6],
            happenings.slips(known),
        ),
        (
            "Plan changed",
            "What was changed at the bench after the job began, and why.",
            ["change", "reason given", "by, when, entry"],
            [2, 1.5, 1.6],
            happenings.changes(known),
        ),
        (
            "Second pair of eyes",
            "Another person marked these again without seeing the first result.",
            ["check", "first", "second, blind", "do they agree?"],
            ["auto", 1, 1, 1.3],
            happenings.seconds(known, trail),
        ),
        (
            "Merges",
            "Other copies that were taken in. What two benches both did is shown, not settled.",
            ["taken in", "done at both", "by, when, entry"],
            [1.3, 2, 1.6],
            happenings.merges(trail),
        ),
    ]
    return [
        {
            "name": name,
            "lane": lane,
            "table": {"heads": heads, "widths": widths, "rows": rows},
            "notes": [],
        }
        for name, lane, heads, widths, rows in asked
        if rows
    ]
