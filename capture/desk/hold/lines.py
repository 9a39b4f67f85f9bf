"""What holds a cover off, one line for each check or want that is unproven. No Qt in here."""

from typing import NamedTuple

from capture.desk.walk.lying import figures_of, word_of
from capture.desk.where import Where
from capture.words.quantities import count_text, is_told_as_depth, limit_text
from store.attempt import Standing
from store.evidence import PhotoTaken
from store.round import Check, Hold, Place, Round


class Line(NamedTuple):
    """One thing unproven. ``key`` is what a waiver names, ``goes`` where the line leads.

    ``short`` names it on a chip: its location's number, and the check where one of several is
    meant. ``question`` says which check of the location; ``detail`` is what was found or is still
    to do, ``limit`` what it is held against. ``called`` is the check's own short name, ``follows``
    says that it is worked out from others which are not there yet.
    """

    key: str
    goes: Where
    number: int
    name: str
    state: Standing
    word: str
    question: str
    detail: str
    limit: str = ""
    short: str = ""
    called: str = ""
    follows: bool = False
    suspect: bool = False
    photo: PhotoTaken | None = None

    @property
    def is_check(self) -> bool:
        """Whether it is a check, and not what its location lacks as a whole."""
        return "." in self.key

    @property
    def may_be_waived(self) -> bool:
        """Whether somebody may decide to go on all the same: not over a cover that is not on."""
        return self.number > 0

    @property
    def heading(self) -> str:
        """Number and name, as the round shows them."""
        return f"{self.number}  {self.name}" if self.number else self.name

    @property
    def spoken(self) -> str:
        """The line for a screen reader."""
        parts = (self.word, self.question, self.detail, self.limit)
        return f"{self.number or ''} {self.name}: ".lstrip() + ", ".join(filter(None, parts))


def lines_of(known: Round, hold: Hold) -> list[Line]:
    """Return a line for each thing a hold point still wants, in walk order."""
    places = {place.location.id: (n, place) for n, place in enumerate(known.places, 1)}
    holds = {other.hold_point.id: other for other in known.holds}
    many = [key.partition(".")[0] for key, _ in hold.unproven]
    lines = []
    for key, why in hold.unproven:
        location, _, check_id = key.partition(".")
        if key in holds:
            lines.append(_cover_line(holds[key], why))
            continue
        number, place = places[location]
        line = _check_line(number, place, key, why) if check_id else _want(number, place, why)
        one_of_several = many.count(location) > 1
        what = line.called if check_id else "as a whole"
        lines.append(line._replace(short=f"{number} {what}" if one_of_several else str(number)))
    return lines


def _cover_line(other: Hold, why: str) -> Line:
    point = other.hold_point
    return Line(
        point.id, Where("hold", point.id), 0, point.name, "not measured", "not on yet", "", why
    )


def _want(number: int, place: Place, why: str) -> Line:
    location = place.location
    return Line(
        key=location.id,
        goes=Where("location", location.id),
        number=number,
        name=location.name,
        state="not measured",
        word="wanted",
        question="",
        detail=why,
        called=why,
        photo=_last_photo(place),
    )


def _check_line(number: int, place: Place, key: str, why: str) -> Line:
    check = next(each for each in place.checks if each.key == key)
    return Line(
        key=key,
        goes=Where("location", key),
        number=number,
        name=place.location.name,
        state=check.state,
        word=word_of(check.state, [check]),
        question=check.characteristic.question,
        detail=_detail(check, why),
        limit=_limit(check),
        called=check.characteristic.id.replace("-", " ").replace("_", " "),
        follows=check.characteristic.is_worked_out and check.current is None,
        suspect=bool(check.suspect),
        photo=_photo_of(place, check),
    )


def _detail(check: Check, why: str) -> str:
    """Return what was found and against what, or what is still to be done."""
    clauses = why.removeprefix(check.state).removeprefix(": ")
    if check.current is None:
        if check.readings and check.missing:
            spots = len(check.characteristic.spots)
            return f"{len(check.missing)} of {count_text(spots, 'reading')} still to take"
        if clauses:
            return clauses
        return (
            "to be worked out from others" if check.characteristic.is_worked_out else "still to do"
        )
    found = list(figures_of(check)[:1])
    # "answered no" is both what was found and why it is outside: said once.
    found += [clauses] if clauses and clauses not in found else []
    return ", ".join(found)


def _limit(check: Check) -> str:
    asked = check.verdict.limit if check.verdict else check.characteristic.limit
    if check.current is None or asked is None:
        return ""
    depth = is_told_as_depth(check.characteristic)
    return f"limit: {limit_text(asked, depth=depth, kind=check.characteristic.kind)}"


def _photo_of(place: Place, check: Check) -> PhotoTaken | None:
    """Return the photo a check was measured on, the last one of it, or the last one there."""
    marked = check.current.photo if check.current else ""
    of_it = [t for t in _shown(place) if t.photo == marked or check.key in t.keys]
    return of_it[-1] if of_it else _last_photo(place)


def _last_photo(place: Place) -> PhotoTaken | None:
    shown = _shown(place)
    return shown[-1] if shown else None


def _shown(place: Place) -> list[PhotoTaken]:
    return [p.taken for p in place.photos if p.struck is None and p.taken.can_be_shown]
