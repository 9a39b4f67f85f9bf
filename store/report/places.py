"""One location of the round -> its pages: what was photographed, then check by check."""

from typing import Any

from store.evidence import DebrisLogged, Fitted, TakenOut
from store.plan import HoldPoint
from store.report import words
from store.report.checks import check_rows
from store.report.figures import count, listed
from store.report.names import location_name
from store.report.prints import Print, photo_prints
from store.report.trail import Trail
from store.report.values import lead
from store.report.view import BookView
from store.report.words import Bits
from store.round import Place, Round
from store.stock import Told

_MOST = 12  # photos printed of one location; the rest are named by their numbers


def place_pages(
    view: BookView, place: Place, known: Round, trail: Trail
) -> tuple[dict[str, Any], list[Print]]:
    """Return the data of one location's pages, and the pictures they need."""
    every = photo_prints(view, place)
    prints, unprinted = every[:_MOST], len(every[_MOST:])
    missing = _not_taken(place, known)
    if unprinted:
        number = count(unprinted, "more photo")
        missing.append([f"{number}, not printed here: in the book, by the numbers at the end."])
    data = {
        "code": place.location.id,
        "name": location_name(place.location),
        "lead": [*_lead(place, known), *([] if place.photos else [" No photo was taken here."])],
        "photos": [p.data for p in prints],
        "photo-lane": (
            "Marks lie over the picture and are not burnt into it. The untouched photo is in the "
            "book under the number below it."
        ),
        "photo-notes": missing,
        "history": _history(place, known, trail),
        "checks": check_rows(place.checks, known, trail),
    }
    return data, prints


def _lead(place: Place, known: Round) -> Bits:
    holds = [h for h in known.holds if place.location.id in h.hides]
    points: list[HoldPoint] = [h.hold_point for h in holds]
    behind = words.behind(points, {h.hold_point.id for h in holds if h.closed})
    if not place.checks:
        return [f"Nothing is asked here but its plug or its passage. {behind}"]
    if len(place.checks) == 1:
        return [*lead(place.checks[0]), ". ", behind]
    bits: Bits = [f"{count(len(place.checks), 'thing')} asked here: "]
    states = list(dict.fromkeys(words.sign_of(check) for check in place.checks))
    for n, state in enumerate(states):
        number = sum(words.sign_of(check) == state for check in place.checks)
        bits += [f"{', ' if n else ''}{number} ", {"state": state, "size": 12}]
    return [*bits, f". {behind}"]


def _not_taken(place: Place, known: Round) -> list[Bits]:
    notes: list[Bits] = []
    demanded: dict[str, list[str]] = {}
    for hold in known.holds:
        if place.location.id in hold.hides and place.never is None:
            for role in place.missing(hold.hold_point.roles):
                demanded.setdefault(role, []).append(hold.hold_point.id)
    for wanted, ids in demanded.items():
        there = any(p.taken.role == wanted and p.struck is None for p in place.photos)
        fault = "none that can be shown" if there else "not taken"
        points = f"hold point{'s' if len(ids) > 1 else ''} {listed(ids)}"
        notes.append([{"bold": f"\u201c{wanted}\u201d: {fault}"}, f", demanded by {points}."])
    notes += words.waived(place.waivers, known.home)
    notes += [
        words.struck(p.struck, p.stamp, known.home) for p in place.photos if p.struck is not None
    ]
    return notes


def _history(place: Place, known: Round, trail: Trail) -> list[Bits]:
    """Return what was done here: plug out and in, parts fitted, work, passages logged clean."""
    found: list[tuple[int, Bits]] = []
    plug = next((p for p in known.plugs if p.location.id == place.location.id), None)
    told: list[Told] = [*place.debris]
    told += [plug.out] if plug is not None and plug.out is not None else []
    told += [
        each
        for state in known.parts
        if state.part.location == place.location.id
        for each in (*state.earlier, *([state.fitted] if state.fitted else []))
    ]
    found += [(trail.position(t.stamp.entry), done_said(t, known)) for t in told]
    found += [
        (
            trail.position(s.entry),
            [{"bold": "Worked on. "}, f"{words.quoted(what)} {words.signed(s, known.home)}."],
        )
        for s, what in place.reworked
    ]
    if place.never is not None:
        found.append(
            (
                trail.position(place.never.entry),
                [
                    {"bold": "Never fitted on this block. "},
                    f"{words.signed(place.never, known.home)}.",
                ],
            )
        )
    ordered = [bits for _, bits in sorted(found, key=lambda pair: pair[0])]
    if plug is not None and plug.alike:
        ordered.append([f"Easily mixed up with {listed(plug.alike)}."])
    return ordered


def done_said(told: Told, known: Round) -> Bits:
    """Return in a sentence that a plug came out, a part went on, or a passage was cleaned."""
    match told.record:
        case TakenOut(size=size, words=more):
            head, text = "Plug taken out. ", ", ".join(filter(None, (size, more)))
        case Fitted(part=part, identity=identity, words=more):
            name = next((p.name for p in known.plan.parts if p.id == part), part)
            head, text = (
                f"{name[:1].upper()}{name[1:]} fitted. ",
                ", ".join(filter(None, (identity, more))),
            )
        case DebrisLogged(how=how, clean=clean, found=came):
            head = "Debris log: clean. " if clean else "Debris log: not clean. "
            text = "; ".join(filter(None, (how, f"found: {came}" if came else "")))
        case _:
            head, text = "", ""
    said = f"{words.sentence(text)} " if text else ""
    if told.struck is not None:
        crossed: Bits = [{"struck": f"{head}{said}".strip()}, " "]
        return [*crossed, *words.struck(told.struck, told.stamp, known.home)]
    return [{"bold": head}, f"{said}{words.signed(told.stamp, known.home)}."]
