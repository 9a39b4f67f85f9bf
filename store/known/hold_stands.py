"""What every hold point of one book stands at: what a closing needs to know, and no more.

Worked out from the whole book and kept outside it under its fingerprint
(``store.written.closing``).
"""

from typing import TYPE_CHECKING, Self

import msgspec
from msgspec import Struct

if TYPE_CHECKING:
    from store.round import Hold, Round


class HoldStands(Struct, frozen=True):
    """One hold point: as ``store.round.Hold``, with ``seal`` for whether its plan asks for one."""

    id: str
    name: str
    closed: bool
    unproven: tuple[tuple[str, str], ...]
    unsealed: bool
    seal: bool
    caution: str

    @classmethod
    def of(cls, hold: "Hold") -> Self:
        """Return what of a hold point's standing a closing needs."""
        asked = hold.hold_point
        closed, unsealed = hold.closed is not None, hold.unsealed
        return cls(asked.id, asked.name, closed, hold.unproven, unsealed, asked.seal, asked.caution)


class Stands(Struct, frozen=True):
    """All hold points of one book, and the counts that don't close.

    ``bench`` is whose chain is written to, ``last`` the hash of the book's last entry.
    """

    bench: str
    last: str
    holds: tuple[HoldStands, ...]
    counts_open: tuple[str, ...]

    @classmethod
    def of(cls, walked: "Round", bench: str) -> Self:
        """Return what the hold points of a round stand at."""
        holds = tuple(HoldStands.of(hold) for hold in walked.holds)
        return cls(bench, walked.last.entry, holds, walked.counts_open)

    def hold(self, hold_id: str) -> HoldStands | None:
        """Return one hold point, None for one that the plan does not have."""
        return next((hold for hold in self.holds if hold.id == hold_id), None)

    def as_text(self) -> str:
        """Return it as JSON; ``read`` gives it back."""
        return msgspec.json.encode(self).decode()

    @classmethod
    def read(cls, text: str) -> Self | None:
        """Return what ``as_text`` wrote, None for anything else."""
        try:
            return msgspec.json.decode(text, type=cls)
        except (msgspec.MsgspecError, UnicodeError):
            return None
