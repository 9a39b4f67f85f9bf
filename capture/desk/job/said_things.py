"""Gauges, kit, parts, plugs, galleries, papers and the owner's words as rows; and their entries."""

import re
from itertools import chain

from capture.desk.look.row import Row
from capture.words.gauges import gauge_lines, unproven_lines
from capture.words.quantities import count_text, given_text, quantity_text
from capture.words.stock import plug_sum, size_beside
from store.evidence import DebrisLogged, Fitted, KitCounted, OwnerSaid, PaperKept, Read, TakenOut
from store.report.figures import date_said
from store.round import Attempt, Place, Round
from store.stock import GaugeState, KitState, PartState, PlugPlace, Told

_DAY = re.compile(r"\b[0-9]{4}-[0-9]{2}-[0-9]{2}\b")
_OUT_AND_IN = re.compile(r"^out (\d+)(?: =|,) in (\d+)")
_MOST_ALIKE = 3  # a longer list tells nothing from another
KIT, PART, PLUG, GALLERY = "kit ", "part ", "plug ", "gallery "


def gauge_rows(known: Round, today: str) -> list[Row]:
    """Return the register, what is against a gauge on the right."""
    return [_gauge_row(state, today) for state in known.gauges]


def _gauge_row(state: GaugeState, today: str) -> Row:
    gauge = state.gauge
    below = [
        f"reads to {given_text(gauge.resolution)}",
        f"may err by {given_text(gauge.permissible_error)}",
        f"checked {date_said(gauge.last_check)}" if gauge.last_check else "last check not known",
    ]
    below += [f"due {date_said(gauge.due)}"] if gauge.due else []
    below += ["reads a difference"] if gauge.difference else []
    overdue = bool(gauge.due and gauge.due <= today)
    against = [f"SUSPECT since {date_said(state.since)}"] if state.suspect else []
    against += ["OVERDUE"] if overdue else []
    return Row(gauge.id, f"{gauge.id}  {gauge.kind}", ", ".join(below), ", ".join(against))


def gauge_detail(known: Round, gauge: str, today: str) -> str:
    """Return a gauge in full, and what is unproven for it now."""
    state = next((each for each in known.gauges if each.gauge.id == gauge), None)
    if state is None:
        return ""
    lines = [" ".join(line.split()) for line in gauge_lines(state, today)]
    if state.suspect:
        many = len(state.touched)
        rest = "rests" if many == 1 else "rest"
        lines.append(f"{count_text(many, 'entry', 'entries')} {rest} on it")
    else:
        lines.append(f"{count_text(len(_read_with(known, gauge)), 'reading')} with it")
    whole = "\n".join([*lines, *unproven_lines(known, gauge)])
    return _DAY.sub(lambda day: date_said(day[0]), whole)


def _read_with(known: Round, gauge: str) -> list[Attempt]:
    """Return the readings with a gauge that are not struck."""
    return [
        attempt
        for check in known.checks
        for attempt in (check.readings or check.attempts)
        if isinstance(attempt.record, Read)
        and attempt.record.gauge == gauge
        and attempt.struck is None
    ]


def kit_rows(known: Round) -> list[Row]:
    """Return kit lines, then parts."""
    return [*map(_kit_row, known.kit), *map(_part_row, known.parts)]


def _kit_row(state: KitState) -> Row:
    line = state.line
    said = given_text(line.size) if line.size else ""
    size = f", {said}" if said and said not in line.name else ""
    record = state.counted.record if state.counted else None
    if isinstance(record, KitCounted):
        measured = f" ({_measured(state, record)})" if record.size else ""
        counted = f"{record.count} counted{measured}"
        counted += f", {record.words}" if record.words else ""
    else:
        counted = "not counted"
    below = f"{line.count} by the packing, {counted}, {state.wanted} wanted, {state.fitted} fitted"
    return Row(f"{KIT}{line.id}", f"{line.id}  {line.name}{size}", below, "kit line")


def _measured(state: KitState, record: KitCounted) -> str:
    """Return the size of a piece, which the row's head gives where it is the packing's."""
    beside = size_beside(state)
    if record.size is None:
        return ""
    packing = given_text(state.line.size) if state.line.size else ""
    if given_text(record.size) == packing:
        return f"measured{beside.replace(',', '')}"
    return f"{quantity_text(record.size)}{beside}"


def _part_row(state: PartState) -> Row:
    part = state.part
    where = f" at {part.location}" if part.location else ""
    below = _fitted_text(state.fitted) or "not fitted"
    below += f"; {count_text(len(state.earlier), 'piece')} before it" if state.earlier else ""
    return Row(f"{PART}{part.id}", f"{part.id}  {part.name}{where}", below, "part")


def plug_rows(known: Round) -> list[Row]:
    """Return the plug map by groups of those easily mixed up, then the galleries."""
    groups: dict[str, list[PlugPlace]] = {}
    for plug in known.plugs:
        groups.setdefault(plug.location.group, []).append(plug)
    plugs = [_plug_row(plug) for plug in chain.from_iterable(groups.values())]
    return plugs + [_gallery_row(place) for place in known.places if place.location.gallery]


def _plug_row(plug: PlugPlace) -> Row:
    at = plug.location
    out = plug.out.record if plug.out else None
    parts = []
    if plug.out and isinstance(out, TakenOut):
        said = ", ".join(words for words in (out.size, out.words) if words)
        parts.append(f"out{f': {said}' if said else ''}, by {plug.out.stamp.by}")
    parts += [f"in: {_fitted_text(plug.fitted)}"] if plug.fitted else []
    named = 0 < len(plug.alike) <= _MOST_ALIKE
    parts += [f"looks like {', '.join(plug.alike)}"] if named else []
    below = "; ".join(parts) or "neither counted out nor in"
    # Alone at the end of a row "in" is hardly seen to be a word.
    state = {"in": "in again" if plug.out else "put in"}.get(plug.state, plug.state)
    return Row(f"{PLUG}{at.id}", f"{at.id}  {at.name}", below, state)


def plugs_counted(plugs: tuple[PlugPlace, ...]) -> str:
    """Return the sum of the plug map: "8 out, 8 in", and what does not close."""
    return _OUT_AND_IN.sub(r"\1 out, \2 in", plug_sum(plugs))


def _gallery_row(place: Place) -> Row:
    at = place.location
    log = last_log(place)
    if log is None or not isinstance(log.record, DebrisLogged):
        return Row(f"{GALLERY}{at.id}", f"{at.id}  {at.name}", "gallery", "no debris log")
    found = f", found: {log.record.found}" if log.record.found else ""
    below = f"{log.record.how}{found}, by {log.stamp.by}"
    state = "clean" if log.record.clean else "NOT clean"
    return Row(f"{GALLERY}{at.id}", f"{at.id}  {at.name}", below, f"gallery {state}")


def last_log(place: Place) -> Told | None:
    """Return the debris log of a gallery that stands, None if there is none."""
    return next((log for log in reversed(place.debris) if log.struck is None), None)


def paper_rows(known: Round) -> list[Row]:
    """Return every paper, struck ones too, the newest first."""
    return [_paper_row(told, told.record) for told in reversed(known.papers)
            if isinstance(told.record, PaperKept)]  # fmt: skip


def _paper_row(told: Told, paper: PaperKept) -> Row:
    parts = [f"at {paper.location}"] if paper.location else []
    parts += [f"speaks of {', '.join(paper.keys)}"] if paper.keys else []
    parts += [_by(told)]
    return Row(told.stamp.entry, paper.what, ", ".join(parts), paper.file_name)


def owner_rows(known: Round) -> list[Row]:
    """Return what passed with the owner: what the plan says, then what was kept since."""
    job = known.job
    rows = [Row(f"plan {n}", words, "instruction, in the plan")
            for n, words in enumerate(job.instructions)]  # fmt: skip
    rows += [Row(f"declined {n}", words, "declined, in the plan")
             for n, words in enumerate(job.declined)]  # fmt: skip
    for told in known.owner:
        if isinstance(said := told.record, OwnerSaid):
            given = f"{said.how}, {said.who}" if said.who else said.how
            rows.append(Row(told.stamp.entry, said.words, f"{said.about}, {given}, {_by(told)}"))
    return rows


def entry_of(known: Round, key: str) -> str:
    """Return the entry that a row rests on and that could be struck, empty if there is none."""
    kind, _, name = key.partition(" ")
    told: Told | None = None
    if kind == KIT.strip():
        told = next((each.counted for each in known.kit if each.line.id == name), None)
    elif kind == PART.strip():
        told = next((each.fitted for each in known.parts if each.part.id == name), None)
    elif kind == PLUG.strip():
        plug = next((each for each in known.plugs if each.location.id == name), None)
        told = (plug.fitted or plug.out) if plug else None
    elif kind == GALLERY.strip():
        place = next((each for each in known.places if each.location.id == name), None)
        told = last_log(place) if place else None
    else:
        said = (*known.papers, *known.owner)
        told = next((each for each in said if each.stamp.entry == key), None)
    return told.stamp.entry if told and told.struck is None else ""


def _fitted_text(told: Told | None) -> str:
    if told is None or not isinstance(told.record, Fitted):
        return ""
    words = f", {told.record.words}" if told.record.words else ""
    return f"{told.record.identity}{words}, by {told.stamp.by}, entry {told.stamp.seq}"


def _by(told: Told) -> str:
    struck = f"; STRUCK: {told.struck.reason}" if told.struck else ""
    return f"kept by {told.stamp.by} {date_said(told.stamp.at)}, entry {told.stamp.seq}{struck}"
