"""What holds a cover off, one line per location: what waits for the hand, and what follows it.

Checks that are worked out from others are folded under those they wait for. No Qt in here.
"""

from typing import NamedTuple

from capture.desk.hold.lines import Line
from capture.desk.where import Where
from capture.words.quantities import count_text
from store.attempt import Standing
from store.evidence import PhotoTaken

_MOST_NAMED = 4
_WORST_FIRST: tuple[Standing, ...] = (
    "outside", "too close to call", "not measured", "no limit", "within",
)  # fmt: skip


class Group(NamedTuple):
    """One location, or another cover. ``key`` is its id, ``goes`` the first that waits for a hand.

    ``detail`` names what is open, ``after`` what is worked out then, or the limit of the only one.
    """

    key: str
    goes: Where
    number: int
    name: str
    state: Standing
    word: str
    question: str
    detail: str
    after: str = ""
    suspect: bool = False
    photo: PhotoTaken | None = None

    @property
    def heading(self) -> str:
        """Number and name, as the round shows them."""
        return f"{self.number}  {self.name}" if self.number else self.name

    @property
    def spoken(self) -> str:
        """The line for a screen reader."""
        parts = (self.word, self.question, self.detail, self.after)
        return f"{self.number or ''} {self.name}: ".lstrip() + ", ".join(filter(None, parts))


def groups_of(lines: list[Line]) -> list[Group]:
    """Return a line per location in walk order, from a line per thing unproven."""
    by_location: dict[str, list[Line]] = {}
    for line in lines:
        by_location.setdefault(line.key.partition(".")[0], []).append(line)
    return [_group(location, held) for location, held in by_location.items()]


def _group(location: str, held: list[Line]) -> Group:
    by_hand = [line for line in held if not line.follows]
    follows = [line for line in held if line.follows]
    to_do = (line for line in by_hand if line.state == "not measured")
    first = next(to_do, (by_hand or follows)[0])
    worst = min(held, key=lambda line: _WORST_FIRST.index(line.state))
    alone = by_hand[0] if len(by_hand) == 1 else None
    if not by_hand and len(follows) == 1:
        alone, follows = follows[0], []
    named_above = alone is not None and (len(held) == 1 or alone.detail != "still to do")
    then = f"then worked out: {_named(follows)}" if follows and by_hand else ""
    limit = alone.limit if alone else ""
    return Group(
        key=location,
        goes=first.goes,
        number=first.number,
        name=first.name,
        state=worst.state,
        word=worst.word,
        question=alone.question
        if alone
        else count_text(len(held), "check" if all(line.is_check for line in held) else "thing"),
        detail=alone.detail if alone and named_above else _detail(by_hand or follows),
        after="; ".join(filter(None, (limit, then))),
        suspect=any(line.suspect for line in held),
        photo=next((line.photo for line in held if line.photo), None),
    )


def _detail(lines: list[Line]) -> str:
    """Return which of several are open: what was found first, then what is still to do."""
    found = [line for line in lines if line.word != "not measured"]
    to_do = [line for line in lines if line.word == "not measured"]
    said = [_said(line) for line in found[:_MOST_NAMED]]
    if len(found) > _MOST_NAMED:
        said.append(f"{len(found) - _MOST_NAMED} more")
    waits = "wait for others" if all(line.follows for line in to_do) else "still to do"
    return "; ".join([*said, *([f"{waits}: {_named(to_do)}"] if to_do else [])])


def _said(line: Line) -> str:
    """Return "depth outside"; what a location lacks as a whole is a sentence already."""
    return f"{line.called} {line.word}" if line.is_check else line.called


def _named(lines: list[Line]) -> str:
    named = [line.called for line in lines]
    more = len(named) - _MOST_NAMED
    return ", ".join(named) if more <= 0 else f"{', '.join(named[:_MOST_NAMED])} and {more} more"
