"""The section through what a cover hides: one column per location, standing or flush. No Qt."""

from typing import NamedTuple

from capture.desk.walk.lying import Lying
from capture.desk.walk.row import Prop
from capture.desk.walk.rows import lying_of_all, props_of
from capture.desk.where import Where
from store.attempt import Standing
from store.plan import Location
from store.round import Hold, Round


class Column(NamedTuple):
    """One location under the cover. A ``prop`` holds it off; what is no prop lies flush.

    ``fitted`` is False where this block never had it: there is no bore. ``number`` is 0 for
    another cover that has to go on first.
    """

    key: str
    goes: Where
    number: int
    name: str
    state: Standing
    word: str
    prop: bool = False
    waived: bool = False
    suspect: bool = False
    fitted: bool = True

    @property
    def spoken(self) -> str:
        """The column for a screen reader."""
        held = "holds it off" if self.prop else "waived in writing" if self.waived else "flush"
        return f"{self.number or ''} {self.name}: ".lstrip() + f"{self.word}, {held}"


def columns_of(known: Round, hold: Hold) -> list[Column]:
    """Return the columns of a hold point: covers that come first, then locations in walk order."""
    lying = lying_of_all(known)
    props = {prop.key: prop for prop in props_of(known, hold, lying)}
    covers = [prop for prop in props.values() if not prop.number]
    columns = [
        Column(p.key, Where("hold", p.key), 0, p.name, p.state, "not on yet", prop=True)
        for p in covers
    ]
    return columns + [
        _column(number, place.location, lying[place.location.id], props.get(place.location.id))
        for number, place in enumerate(known.places, 1)
        if place.location.id in hold.hides
    ]


def _column(number: int, location: Location, lies: Lying, prop: Prop | None) -> Column:
    state = prop.state if prop else lies.state
    return Column(
        key=location.id,
        goes=Where("location", location.id),
        number=number,
        name=location.name,
        state=state,
        word="wanted" if prop and state != lies.state else lies.word,
        prop=prop is not None,
        waived=lies.waived and prop is None,
        suspect=lies.suspect,
        fitted=lies.fitted,
    )
