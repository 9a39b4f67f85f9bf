"""A book as read so far: what its lines tell, where the job stands, whether the chain holds."""

from collections.abc import Iterator
from contextlib import contextmanager

from store.codec import FIRST_PREV, Entry, decode_own
from store.errors import BadRecord, Damaged
from store.known.unhindered import unhindered
from store.ledger import Ledger
from store.round import Round
from store.standing import standing
from store.told.telling import Telling

Moment = tuple[int, int]  # how many entries were read, and the row of the last one


class AsRead:
    """What was read of a ledger's lines, which others may go on writing.

    ``told`` is what they tell, ``broken`` says where the chain is broken, empty while it holds.
    """

    def __init__(self, ledger: Ledger) -> None:
        self.told = Telling()
        self.broken = ""
        self.is_still = False
        self._ledger = ledger
        self._row = 0
        self._round: Round | None = None
        self._links: dict[tuple[str, int], str] = {}  # hash by bench and number

    def refresh(self) -> None:
        """Read what arrived since, from this program or another, unless it is held still."""
        if not self.is_still:
            self.catch_up()

    def catch_up(self) -> None:
        """Read what arrived since, held still or not; raises Damaged."""
        if arrived := self._ledger.hashed_lines(after=self._row):
            self._round = None
            with unhindered():
                self._take_in(arrived)

    @contextmanager
    def still(self) -> Iterator[None]:
        """Read what is there and nothing later while the block lasts, but by ``catch_up``."""
        was, self.is_still = self.is_still, True
        try:
            self.catch_up()
            yield
        finally:
            self.is_still = was

    def moment(self) -> Moment:
        """Return how far was read, to go back to."""
        return self.told.now, self._row

    def go_back(self, moment: Moment) -> None:
        """Forget what was read since: it may have been taken back."""
        known, row = moment
        if self.told.now > known:
            self.told = Telling(self.told.entries[:known])
        self._row, self._round = row, None
        self._links = {(e.bench, e.seq): e.hash for e in self.told.entries}

    def refuse_broken(self) -> None:
        """Catch up, and raise Damaged if the chain is broken."""
        self.catch_up()
        if self.broken:
            raise Damaged(self.broken)

    def round(self, *, every_reading: bool) -> Round:
        """Return the state of the job; as ``standing``."""
        self.refresh()
        if self._round is None:
            with unhindered():
                walked = standing(self.told, every_reading=every_reading)
            if not every_reading:
                return walked
            self._round = walked
        return self._round

    def round_before(self, entry: Entry, known: Round) -> Round:
        """Return the state of the job just before an entry; ``known`` if it is of that moment."""
        self.refresh()
        place = self.told.by_hash[entry.hash][0]
        if known.entries == place:
            return known
        with unhindered():
            return standing(Telling(self.told.entries[:place]), every_reading=False)

    def _take_in(self, arrived: list[tuple[int, str, bytes]]) -> None:
        for row, digest, line in arrived:
            try:
                entry = decode_own(line)
            except BadRecord as error:
                raise Damaged(
                    f"{self._ledger.root}: entry {self.told.now + 1} can't be read ({error}): "
                    "run verify, and go back to a sound copy."
                ) from error
            self._follow(entry, digest)
            self.told.add(entry)
            self._row = row

    def _follow(self, entry: Entry, digest: str) -> None:
        """Note an entry that is not the one hashed, or does not follow the one before it."""
        before = self._links.get((entry.bench, entry.seq - 1), FIRST_PREV)
        starts = entry.seq == 1
        follows = entry.prev == before and starts == (entry.prev == FIRST_PREV)
        again = (entry.bench, entry.seq) in self._links
        if not self.broken and (entry.hash != digest or not follows or again):
            self.broken = (
                f"The book's chain is broken at entry {entry.seq} of {entry.bench}: nothing is "
                "added to it; run benchproof verify, and go back to a sound copy."
            )
        self._links[entry.bench, entry.seq] = entry.hash
