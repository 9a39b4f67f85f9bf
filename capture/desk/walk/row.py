"""What one row of the round is, for the gallery to draw and a screen reader to say. No Qt here."""

from typing import NamedTuple

from capture.desk.walk.lying import Lying
from store.attempt import Standing


class Prop(NamedTuple):
    """What stands between a face and a cover and holds it off.

    Its number is 0 where it is another cover, which has to go on first.
    """

    key: str
    number: int
    name: str
    state: Standing
    suspect: bool = False


class LocationRow(NamedTuple):
    """One location of the walk. ``haystack`` is what finding looks through."""

    key: str
    number: int
    name: str
    lying: Lying
    here: bool = False
    hidden: bool = False
    haystack: str = ""

    @property
    def spoken(self) -> str:
        """The row for a screen reader."""
        lies = self.lying
        parts = [f"{self.number} {self.name}: {lies.word}"]
        parts += lies.values[:1]
        parts += [f"{lies.struck} struck"] if lies.struck else []
        parts += ["gauge suspect"] if lies.suspect else []
        parts += ["waived in writing"] if lies.waived else []
        parts += ["now hidden"] if self.hidden else []
        parts += ["shown now"] if self.here else []
        return ", ".join(parts)


class FoldedRow(NamedTuple):
    """Locations that are out of sight, in one line. ``first`` is where a press goes.

    ``state`` is the worst of them.
    """

    key: str
    first: str
    text: str
    detail: str
    state: Standing = "within"

    @property
    def spoken(self) -> str:
        """The row for a screen reader."""
        return f"{self.text}, {self.detail}"


class HoldRow(NamedTuple):
    """One cover across the gallery. ``warns`` is what must not be overlooked about a closed one."""

    key: str
    name: str
    detail: str
    props: tuple[Prop, ...] = ()
    more: int = 0
    closed: bool = False
    warns: str = ""
    here: bool = False

    @property
    def spoken(self) -> str:
        """The row for a screen reader."""
        parts = [f"hold point {self.name}: {self.detail}"]
        parts += [self.warns] if self.warns else []
        if self.props:
            held = ", ".join(f"{p.number or ''} {p.name} {p.state}".strip() for p in self.props)
            more = f" and {self.more} more" if self.more else ""
            parts.append(f"held off by {held}{more}")
        return ", ".join(parts)


Row = LocationRow | FoldedRow | HoldRow
