"""One value given for a check, and who said so: the smallest pieces of a round."""

from typing import Literal

from msgspec import Struct

from annotate.quantity import Quantity
from store.codec import Entry
from store.evidence import Derived, Marked, PhotoTaken, Read
from store.formulas.bands import Banded
from store.verdict import State, Verdict

Standing = State | Literal["no limit"]


class Stamp(Struct, frozen=True):
    """Which entry said it, when (a claim) and by whom. ``entry`` is the entry's hash."""

    entry: str
    seq: int
    at: str
    bench: str
    by: str


def numbered(said: Stamp | Entry, home: str) -> str:
    """Return how people cite an entry: "60", or "south 2" where another bench than ``home`` wrote.

    A number counts in one bench's chain only; ``home`` is the bench that began the book.
    """
    return f"{said.seq}" if said.bench == home else f"{said.bench} {said.seq}"


class Strike(Struct, frozen=True):
    """Who struck a wrong entry, when and why."""

    stamp: Stamp
    reason: str


class Attempt(Struct, frozen=True):
    """One value given for a check, or one reading of its grid.

    ``number`` counts from 1 in the order of entry. ``name`` is the attempt it belongs to: "as
    found", "attempt 1" and so on; rework and a replaced part begin the next. ``value`` is the
    quantity that is judged: the reading, the coverage the limit speaks of, or the derived value;
    None for an answer in words and for marks that do not carry it (``why_no_value`` then says
    why). ``verdict`` is the one filed for this attempt, ``other`` that against the limit which
    does not decide; None if none was. ``struck`` and ``void`` (a clause, empty if not) say why it
    does not count. ``suspect`` says which gauge it rests on that may have been wrong.
    ``band`` is where it lies in the check's table, if that has one. ``earlier_verdicts`` are those
    it had before a limit was changed, the oldest first.
    """

    number: int
    stamp: Stamp
    record: Read | Marked | Derived
    name: str = ""
    value: Quantity | None = None
    why_no_value: str = ""
    verdict: Verdict | None = None
    other: Verdict | None = None
    verdict_stamp: Stamp | None = None
    struck: Strike | None = None
    void: str = ""
    suspect: str = ""
    band: Banded | None = None
    earlier_verdicts: tuple[tuple[Stamp, Verdict], ...] = ()

    @property
    def counts(self) -> bool:
        """Whether it is neither struck nor void; the last such attempt is the check's."""
        return self.struck is None and not self.void

    @property
    def answer(self) -> bool | None:
        """The yes or no of a yes-no reading, else None."""
        return self.record.answer if isinstance(self.record, Read) else None

    @property
    def words(self) -> str:
        """The words of a note, else empty."""
        said = isinstance(self.record, Read) and self.record.quantity is None
        return self.record.text if said and self.answer is None else ""  # type: ignore[union-attr] # a Read

    @property
    def state(self) -> Standing:
        """What this attempt stands at by itself, whether or not it is the one that counts."""
        if self.verdict is not None:
            return self.verdict.state
        if self.answer is not None:
            return "within" if self.answer else "outside"
        return "no limit" if self.value is not None or self.words else "not measured"

    @property
    def photo(self) -> str:
        """The id of the photo it was measured on, empty for readings and derived values."""
        return self.record.photo if isinstance(self.record, Marked) else ""


class Second(Struct, frozen=True):
    """A second person's marks on the same photo, placed blind, and how far the two agree.

    ``en`` is the En number of the two by the persons' own doubt alone; None where it can't be
    told, ``why`` then says why.
    """

    attempt: Attempt
    second_to: str
    en: float | None = None
    why: str = ""


class Photo(Struct, frozen=True):
    """A photo filed at a location. The same photo may be filed at several."""

    stamp: Stamp
    taken: PhotoTaken
    struck: Strike | None = None


class Waived(Struct, frozen=True):
    """Somebody decided in writing to go on although ``key`` is unproven.

    ``key`` is a check, or a location for what is missing there as a whole. ``stands`` is False
    once it is struck, or once what it was given for has changed: a later attempt counts, or
    something is missing that was there. A new one is needed then. ``state`` is what was waived.
    """

    stamp: Stamp
    hold_point: str
    key: str
    state: Standing
    reason: str
    decided_by: str
    owner_agreed: str
    stands: bool
    struck: Strike | None = None
