"""What one is marking, and as whom: a check, a photo of it, and the first marks if it is second."""

from typing import NamedTuple

from annotate.marks import Layer
from capture.desk.marking.rim_names import RimNames
from capture.desk.where import Where
from capture.errors import WrongUse
from store.evidence import Marked, PhotoTaken
from store.round import Attempt, Check, Place, Round

_WANTED = ("close-up", "with scale", "which hole")


class Sitting(NamedTuple):
    """One check's marks being placed on one photo. ``first`` are the marks these are second to.

    ``by`` is "" while it is asked who places second ones.
    """

    place: Place
    check: Check
    taken: PhotoTaken
    number: int  # of the location in the walk, from 1
    locations: int
    by: str
    first: Attempt | None = None

    @property
    def second_to(self) -> str:
        """The entry of the first marks, "" if these are first ones."""
        return self.first.stamp.entry if self.first else ""

    @property
    def to_second(self) -> Attempt | None:
        """The last marks on this photo that another person could place blind second ones to."""
        standing = (
            a for a in reversed(self.check.attempts)
            if a.photo == self.taken.photo and a.struck is None
        )  # fmt: skip
        return None if self.first else next(standing, None)

    @property
    def has_others(self) -> bool:
        """Whether other photos could be measured as one with this one's; not blind second marks."""
        shown = [p for p in self.place.photos if p.struck is None and p.taken.can_be_shown]
        return self.first is None and len(shown) > 1

    @property
    def attempts(self) -> int:
        """How often marks were accepted on this photo, struck ones too: all are kept."""
        return sum(attempt.photo == self.taken.photo for attempt in self.check.attempts)

    @property
    def caption(self) -> str:
        """The line above the question. It says nothing of what was measured."""
        which = f"marks no. {self.attempts + 1} on this photo"
        if self.first is not None:
            which = ", ".join(filter(None, ("second person", self.by, "blind")))
        location = self.place.location
        return (
            f"{self.number} of {self.locations}  ·  {location.id} {location.name}  ·  "
            f"{self.taken.role}  ·  {which}"
        )

    @property
    def names(self) -> RimNames:
        """What the plan calls the two holes here."""
        return RimNames(self.place.location.near, self.place.location.far)

    def bare_layer(self) -> Layer:
        """Return the photo's layer without marks."""
        return Layer(
            width_px=self.taken.width_px or 1,
            height_px=self.taken.height_px or 1,
            focal_35mm=self.taken.focal_35mm,
        )

    @property
    def is_first_person(self) -> bool:
        """Whether who works now placed the first marks; case and spaces make no other person."""
        return self.first is not None and _folded(self.first.stamp.by) == _folded(self.by)


def sit_down(known: Round | None, where: Where, by: str) -> Sitting:
    """Return what is to be marked; raises WrongUse where that can't be, saying what to do."""
    checks = {check.key: check for check in known.checks} if known else {}
    check = checks.get(where.key)
    if known is None or check is None:
        raise WrongUse("no check is chosen: choose one that asks how much of a hole is covered")
    if check.characteristic.kind != "coverage":
        raise WrongUse(
            f"{check.key} takes a typed reading, not marks: choose a check of a coverage"
        )
    place = known.place(check.location.id)
    first = _first(check, where.second_to)
    wanted = first.photo if first else where.photo
    taken = _photo(place, wanted)
    if not taken.can_be_shown:
        raise WrongUse(f"{taken.file_name} can't be shown: take the photo again")
    ids = [each.location.id for each in known.places]
    return Sitting(place, check, taken, ids.index(place.location.id) + 1, len(ids), by, first)


def _first(check: Check, entry: str) -> Attempt | None:
    if not entry:
        return None
    for attempt in check.attempts:
        if attempt.stamp.entry == entry and isinstance(attempt.record, Marked):
            if attempt.struck is not None:
                raise WrongUse("the first marks were struck: there is nothing to compare with")
            return attempt
    raise WrongUse("second marks need the first ones: place those first")


def _photo(place: Place, wanted: str) -> PhotoTaken:
    standing = [photo.taken for photo in place.photos if photo.struck is None]
    for taken in standing:
        if taken.photo == wanted:
            return taken
    if wanted:
        raise WrongUse("that photo is not at this location any more: choose another one")
    for role in _WANTED:
        for taken in reversed(standing):
            if taken.role == role:
                return taken
    if standing:
        return standing[-1]
    raise WrongUse(f"{place.location.id} has no photo yet: take one of the hole first")


def _folded(name: str) -> str:
    return " ".join(name.split()).casefold()
