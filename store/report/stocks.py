"""Plugs, parts and kit: what came out went in again, which piece is where, what is left over."""

from collections import Counter
from typing import Any

from store.evidence import Fitted, KitCounted, TakenOut
from store.report import words
from store.report.figures import count, given, listed, moment
from store.report.words import Bits
from store.round import Round
from store.stock import KitState, PartState, PlugPlace, Told

_STATES = {
    "in": "out and in again",
    "out": "out, not in again",
    "not counted": "neither counted out nor in",
    "never fitted": "never fitted on this block",
}


def section(known: Round) -> dict[str, Any] | None:
    """Return the section of plugs, parts and kit; None for a job that has none of them."""
    lists = [
        made
        for made in (_open(known), _plugs(known), _kit(known), _parts(known))
        if made is not None
    ]
    if not (known.plugs or known.kit or known.parts):
        return None
    states = Counter(plug.state for plug in known.plugs)
    plugs = ", ".join(f"{number} {state}" for state, number in states.items())
    said = [f"{count(len(known.plugs), 'plug')}: {plugs}"] if known.plugs else []
    said += [count(len(known.parts), "part")] if known.parts else []
    said += [count(len(known.kit), "kit line")] if known.kit else []
    open_ = len(known.counts_open)
    ended = f"{count(open_, 'count')} that {'does' if open_ == 1 else 'do'} not close"
    lead = f"{'; '.join(said)}; {ended if open_ else 'every count closes'}."
    return {
        "code": "P",
        "title": "Plugs, parts and kit",
        "lead": f"{lead[:1].upper()}{lead[1:]}",
        "list": lists,
    }


def _open(known: Round) -> dict[str, Any] | None:
    if not known.counts_open:
        return None
    return {
        "name": "Counts open",
        "lane": "What does not add up. A plug or a clip too many belongs somewhere.",
        "table": None,
        "notes": [[words.sentence(each)] for each in known.counts_open],
    }


def _plugs(known: Round) -> dict[str, Any] | None:
    if not known.plugs:
        return None
    return {
        "name": "Plug map",
        "lane": "Every place a plug belongs, in the order of the round: out and in must be equal.",
        "table": {
            "heads": ["location", "what", "taken out", "fitted", "standing", "looks like"],
            "widths": ["auto", 1.5, 1.6, 1.6, 1.2, 0.9],
            "rows": [_plug(plug) for plug in known.plugs],
        },
        "notes": [],
    }


def _plug(plug: PlugPlace) -> list[str | Bits]:
    standing: str | Bits = _STATES[plug.state]
    if plug.state == "in" and plug.out is None:
        standing = "in; never counted out"
    if plug.state in {"out", "not counted"}:
        standing = [{"bold": _STATES[plug.state]}]
    return [
        plug.location.id,
        plug.location.name,
        _told(plug.out),
        _told(plug.fitted),
        standing,
        listed(plug.alike) or "\u2013",
    ]


def _told(told: Told | None) -> str:
    if told is None:
        return "\u2013"
    match told.record:
        case TakenOut(size=size, words=more):
            said = ", ".join(filter(None, (size, more)))
        case Fitted(identity=identity, words=more):
            said = ", ".join(filter(None, (identity, more)))
        case _:
            said = ""
    return f"{words.shortened(said)}{'; ' if said else ''}{told.stamp.by}, {moment(told.stamp.at)}"


def _kit(known: Round) -> dict[str, Any] | None:
    if not known.kit:
        return None
    return {
        "name": "Kit list",
        "lane": "What the packing says, what was counted, what went on.",
        "table": {
            "heads": [
                "line",
                "what",
                "by the packing",
                "counted",
                "wanted",
                "fitted",
                "counted by",
            ],
            "widths": ["auto", 1.6, 0.9, "auto", "auto", "auto", 1.6],
            "rows": [_kit_row(state) for state in known.kit],
            "right": [2, 3, 4, 5],
        },
        "notes": _sizes(known.kit),
    }


def _kit_row(state: KitState) -> list[str | Bits]:
    line, counted = state.line, state.counted
    number, who = "not counted", "\u2013"
    if counted is not None and isinstance(counted.record, KitCounted):
        number = str(counted.record.count)
        who = f"{counted.stamp.by}, {moment(counted.stamp.at)}"
    name = f"{line.name}, {given(line.size)}" if line.size else line.name
    return [line.id, name, str(line.count), number, str(state.wanted), str(state.fitted), who]


def _sizes(kit: tuple[KitState, ...]) -> list[Bits]:
    found: list[Bits] = []
    for state in kit:
        record = state.counted.record if state.counted else None
        if isinstance(record, KitCounted) and (record.size or record.words):
            size = f"a piece is {given(record.size)}" if record.size else ""
            said = "; ".join(filter(None, (size, record.words)))
            found.append([{"bold": f"{state.line.id}. "}, words.sentence(said)])
    return found


def _parts(known: Round) -> dict[str, Any] | None:
    if not known.parts:
        return None
    rows: list[list[str | Bits]] = []
    for state in known.parts:
        rows += _part_rows(state)
    return {
        "name": "Parts",
        "lane": "Which piece went on where. A piece that another took the place of stays listed.",
        "table": {
            "heads": ["part", "what", "where", "this piece", "fitted by, when"],
            "widths": ["auto", 1.5, "auto", 1.7, 1.6],
            "rows": rows,
        },
        "notes": [],
    }


def _part_rows(state: PartState) -> list[list[str | Bits]]:
    part = state.part
    here = part.location or "\u2013"
    if state.fitted is None:
        return [[part.id, part.name, here, "not fitted yet", "\u2013"], *_earlier(state)]
    return [*_earlier(state), [part.id, part.name, here, *_piece(state.fitted)]]


def _earlier(state: PartState) -> list[list[str | Bits]]:
    rows: list[list[str | Bits]] = []
    for told in state.earlier:
        piece, who = _piece(told)
        said: Bits = [{"struck": piece}] if told.struck else [f"{piece}, replaced since"]
        rows.append([state.part.id, state.part.name, state.part.location or "\u2013", said, who])
    return rows


def _piece(told: Told) -> tuple[str, str]:
    record = told.record
    said = ""
    if isinstance(record, Fitted):
        said = ", ".join(filter(None, (record.identity, record.words)))
    return said, f"{told.stamp.by}, {moment(told.stamp.at)}"
