"""The acts at the bench that give no value: plan, plugs, parts, kit, gauges, owner, hold points.

One method per act of the user. No Qt, no SQL, no printing; clock and user are given.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Literal

from annotate.quantity import Quantity
from capture.intake.paper import read_paper
from store.book import Book
from store.change import Change
from store.codec import Entry
from store.evidence import KitCounted, MapPlaced, OwnerSaid, PaperKept
from store.plan import Plan
from store.written import acts, bench_acts, plan_acts

Clock = Callable[[], str]


class BenchWork:
    """The acts on one open book."""

    def __init__(self, book: Book, *, clock: Clock, user: str) -> None:
        self.book = book
        self._clock, self._user = clock, user

    @property
    def plan(self) -> Plan:
        """The plan of the job as it stands."""
        return self.book.plan

    def work_as(self, user: str) -> None:
        """Say who works from now on; what was done stays with who did it."""
        self._user = user

    def change_plan(self, change: Change, reason: str = "") -> Entry:
        """Change the plan at the bench, as an entry; a changed limit judges again.

        Raises BadPlan, PhotoMissing, BadAct.
        """
        return plan_acts.change_plan(self.book, change, reason, at=self._clock(), by=self._user)

    def rework(self, *scope: str, what: str) -> Entry:
        """Begin a new attempt at these checks ("LOCATION.CHECK") or whole locations."""
        return acts.rework(self.book, scope, what, at=self._clock(), by=self._user)

    def strike(self, entry: str | int, reason: str) -> Entry:
        """Strike a wrong entry: it stays legible and no longer counts."""
        return acts.strike(self.book, entry, reason, at=self._clock(), by=self._user)

    def take_out(self, location: str, *, size: str = "", words: str = "") -> Entry:
        """Count a plug out, with its size and its old depth as words."""
        return bench_acts.take_out(
            self.book, location, size=size, words=words, at=self._clock(), by=self._user
        )

    def fit(
        self, part: str, identity: str, *, words: str = "", photos: tuple[str, ...] = ()
    ) -> Entry:
        """Say which piece went on as a part; another piece voids what was proven on the old."""
        return bench_acts.fit(
            self.book, part, identity, words=words, photos=photos, at=self._clock(), by=self._user
        )

    def count_kit(
        self, line: str, count: int, *, size: Quantity | None = None, words: str = ""
    ) -> Entry:
        """Say how many pieces a line of the kit really holds."""
        return bench_acts.count_kit(
            self.book, KitCounted(line, count, size, words), at=self._clock(), by=self._user
        )

    def log_debris(self, location: str, *, how: str, clean: bool, found: str = "") -> Entry:
        """Log how a gallery was cleaned, what came out, and whether it is clean now."""
        return bench_acts.log_debris(
            self.book, location, how=how, clean=clean, found=found, at=self._clock(),
            by=self._user,
        )  # fmt: skip

    def owner_said(
        self,
        about: Literal["instruction", "declined", "agreed", "told"],
        words: str,
        *,
        how: str,
        who: str = "",
    ) -> Entry:
        """Keep what passed between shop and owner, with how it was given."""
        said = OwnerSaid(about, words, how, who)
        return bench_acts.owner_said(self.book, said, at=self._clock(), by=self._user)

    def suspect_gauge(self, gauge: str, *, since: str, reason: str) -> Entry:
        """Say that a gauge may have been wrong since a date; what rests on it is unproven."""
        return bench_acts.suspect_gauge(
            self.book, gauge, since=since, reason=reason, at=self._clock(), by=self._user
        )

    def clear_gauge(self, gauge: str, *, reason: str) -> Entry:
        """Say that a suspicion was unfounded, and how that is known."""
        return bench_acts.clear_gauge(
            self.book, gauge, reason=reason, at=self._clock(), by=self._user
        )

    def place_on_map(self, location: str, photo: str, x_px: float, y_px: float) -> Entry:
        """Give a location its place on an overall photo, in pixels of the upright picture."""
        placed = MapPlaced(location, photo, x_px, y_px)
        return bench_acts.place_on_map(self.book, placed, at=self._clock(), by=self._user)

    def add_paper(
        self, path: Path, *, what: str, location: str = "", keys: tuple[str, ...] = ()
    ) -> Entry:
        """Keep an attachment's untouched bytes: a machine shop's sheet, a manual's page.

        Raises BadPlan for what the plan does not have, WrongUse without words, BadPaper for a
        file that can't be taken, CannotWrite with nothing kept.
        """
        for key in keys:
            self.plan.characteristic(key)
        if location:
            self.plan.location(location)
        paper = read_paper(path, what=what)
        return self.book.add_paper(
            path,
            paper.suffix,
            lambda kept: PaperKept(
                paper=kept.photo,
                suffix=paper.suffix,
                bytes_count=kept.bytes_count,
                file_name=paper.file_name,
                what=what,
                location=location,
                keys=keys,
            ),
            at=self._clock(),
            by=self._user,
        )

    def waive(
        self, hold_point: str, key: str, *, reason: str, decided_by: str, owner_agreed: str
    ) -> Entry:
        """Keep somebody's decision to go on although ``key`` is unproven."""
        return bench_acts.waive(
            self.book,
            hold_point,
            key,
            reason=reason,
            decided_by=decided_by,
            owner_agreed=owner_agreed,
            at=self._clock(),
            by=self._user,
        )

    def close(self, hold_point: str) -> Entry:
        """Close a hold point: the part goes on. Raises NotProven; the refusal is kept too."""
        return bench_acts.close(self.book, hold_point, at=self._clock(), by=self._user)

    def reopen(self, hold_point: str, reason: str) -> tuple[Entry, ...]:
        """Open a closed hold point again, and those that hide it; what they hid lies open."""
        return bench_acts.reopen(self.book, hold_point, reason, at=self._clock(), by=self._user)
