"""The plug map: out = in, with those that are easily mixed up side by side."""

import argparse
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from capture.commands.filed_photos import photo_meant
from capture.commands.fitting import fit_piece
from capture.errors import WrongUse
from capture.fitting import part_at
from capture.intake.photo import read_photo
from capture.words.quantities import count_text
from capture.words.stock import plug_sum
from store.attempt import numbered
from store.change import NeverFitted
from store.evidence import Fitted, TakenOut
from store.round import Round
from store.stock import PlugPlace

if TYPE_CHECKING:
    from capture.journey import Journey


def map_lines(walked: Round) -> Iterator[str]:
    """Yield the plugs of each group together, then the sum: out, in, never fitted, to do."""
    if not walked.plugs:
        yield "the plan has no plugs: a location has one with 'plug = true'"
        return
    for title, plugs in _groups(walked.plugs):
        yield f"{title} ({count_text(len(plugs), 'plug')})"
        for plug in plugs:
            yield from _plug_lines(plug, walked.home)
    yield plug_sum(walked.plugs)
    yield from (f"count: {sentence}" for sentence in walked.counts_open)


def _groups(plugs: tuple[PlugPlace, ...]) -> list[tuple[str, list[PlugPlace]]]:
    """Return the plugs by group, in the order in which each group first turns up."""
    found: dict[str, list[PlugPlace]] = {}
    for plug in plugs:
        found.setdefault(plug.location.group or "by itself", []).append(plug)
    return list(found.items())


def _plug_lines(plug: PlugPlace, home: str) -> Iterator[str]:
    alike = f"  looks like {', '.join(plug.alike)}" if plug.alike else ""
    yield f"  {plug.state:<13} {plug.location.id}  {plug.location.name}{alike}"
    out = plug.out.record if plug.out else None
    if plug.out and isinstance(out, TakenOut):
        said = ", ".join(words for words in (out.size, out.words) if words)
        told = f": {said}" if said else ""
        stamp = plug.out.stamp
        yield f"  {'':<13} out{told} (by {stamp.by}, entry {numbered(stamp, home)})"
    fitted = plug.fitted.record if plug.fitted else None
    if plug.fitted and isinstance(fitted, Fitted):
        stamp = plug.fitted.stamp
        yield f"  {'':<13} in: {fitted.identity} (by {stamp.by}, entry {numbered(stamp, home)})"


def _take_out(given: argparse.Namespace, journey: "Journey") -> str:
    walked = journey.round()
    before = next((p for p in walked.plugs if p.location.id == given.location), None)
    entry = journey.take_out(given.location, size=given.size, words=given.note)
    location = journey.plan.location(given.location)
    plug = next(p for p in journey.round().plugs if p.location.id == location.id)
    alike = f"; it looks like {', '.join(plug.alike)}: keep them apart" if plug.alike else ""
    twice = _twice(before, walked.home)
    return f"{given.location} {location.name}: plug out, entry {entry.seq}{twice}{alike}"


def _twice(before: PlugPlace | None, home: str) -> str:
    """Return what to say where a plug was out already: the map shows the later entry alone."""
    if before is None or before.state != "out" or before.out is None:
        return ""
    number = numbered(before.out.stamp, home)
    return f"; it was out already by entry {number}: strike the one that is wrong"


def _put_in(given: argparse.Namespace, journey: "Journey") -> str:
    location = journey.plan.location(given.location)
    if not location.plug:
        raise WrongUse(f"{given.location} has no plug by the plan")
    part, added = _part_there(given, journey)
    piece = fit_piece(journey, part, given.piece, note=given.note, photos=given.photo)
    again = f"; to be read again: {', '.join(piece.voided)}" if piece.voided else ""
    new = f" (part {part} was added to the plan for it)" if added else ""
    return (
        f"{location.id} {location.name}: plug in, {piece.piece}, entry {piece.number}{new}{again}"
    )


def _part_there(given: argparse.Namespace, journey: "Journey") -> tuple[str, bool]:
    """Return the part that belongs at a location, and whether it was added to the plan for it."""
    there = [part.id for part in journey.plan.parts if part.location == given.location]
    if given.part:
        if given.part not in there:
            names = ", ".join(there) or "none"
            raise WrongUse(f"part {given.part!r} does not belong at {given.location}: {names} does")
        return given.part, False
    if len(there) > 1:
        raise WrongUse(f"several parts belong at {given.location}, say --part: {', '.join(there)}")
    if not there and not given.piece:
        raise WrongUse(f"{given.location} needs --piece: what tells this plug from another")
    return part_at(journey, given.location)


def _never(given: argparse.Namespace, journey: "Journey") -> str:
    location = journey.plan.location(given.location)
    if len(given.photo) != 1:
        raise WrongUse(f"'never' needs one --photo of the bare location {location.id}")
    photo = _bare_photo(given.photo[0], given.location, journey)
    reason = given.note or "never fitted on this block"
    entry = journey.change_plan(NeverFitted(location.id, photo), reason)
    return f"{location.id} {location.name}: never fitted on this block, entry {entry.seq}"


def _bare_photo(text: str, location: str, journey: "Journey") -> str:
    """Return a photo filed at a location; a file that is not yet filed there is filed now."""
    try:
        return photo_meant(journey, text, location=location)
    except WrongUse:
        path = Path(text)
        if not path.is_file():
            raise
    entry = journey.add_photo(read_photo(path), location=location, role="bare bore")
    return str(getattr(entry.evidence, "photo", ""))


ACTS: dict[str, Callable[[argparse.Namespace, "Journey"], str]] = {
    "out": _take_out,
    "in": _put_in,
    "never": _never,
}
