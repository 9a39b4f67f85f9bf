"""The journey of one job, one method per act of the user. No Qt, no SQL, no printing.

Clock, user and version are given; nothing below asks the machine for them.
"""

import hashlib
from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import Protocol, Self

from annotate.beside import Beside
from annotate.estimates.settled import TOLERANCE
from annotate.givens import Givens
from annotate.marks import Layer
from annotate.optics.profile import LensProfile
from annotate.routes import accepted
from annotate.routes.outlined import outline_of
from capture.bench_work import Clock
from capture.entry import parse_length
from capture.errors import SlipSuspected, WrongUse
from capture.hand import fit_hints, suspected_slips
from capture.handing_over import HandingOver
from capture.intake.photo import Photo
from capture.readings import read_of
from capture.twice import refuse_twice
from store.agree import Agreement
from store.book import Book
from store.budgets.budget import Budget
from store.characteristic import ANSWERED_IN_WORDS, Doubt, Spot
from store.codec import Entry
from store.evidence import Derived, Marked, PhotoTaken, Read, SlipAsked, View, Zero
from store.plan import Plan, Role
from store.round import Check, Round
from store.standing import check_now
from store.told.repeats import beside_of, repeats_for
from store.told.working import Working
from store.written import acts
from store.written.acts import next_spot


class Measure(Protocol):
    """Whatever measures as ``annotate.routes.accepted.accept`` does."""

    def __call__(
        self,
        layer: Layer,
        givens: Givens,
        *,
        seed: int,
        lens: LensProfile | None,
        beside: Beside,
        tolerance: float,
    ) -> accepted.Accepted:
        """Return the coverage, and by how many trials; raises CannotMeasure."""
        ...


class Journey(HandingOver):
    """One job being worked on: the acts of HandingOver, and those that give values.

    ``clock`` returns the time as ISO 8601 with offset, ``user`` is who works, ``version`` that of
    this program. Closes its book when left as a context.
    """

    def __init__(self, book: Book, *, clock: Clock, user: str, version: str) -> None:
        super().__init__(book, clock=clock, user=user, version=version)
        self._measure: Measure = accepted.accept

    @classmethod
    def start(
        cls,
        plan: Plan,
        root: Path,
        *,
        bench: str,
        clock: Clock,
        user: str,
        version: str,
        comeback_of: Path | str = "",
    ) -> Self:
        """Return the journey of a new book in ``root``, begun with its plan.

        ``comeback_of`` is the book of the job that this one is the comeback of, or its number in
        words. Raises BookExists, NetworkFolder, CannotWrite.
        """
        follows, follows_entry = str(comeback_of), ""
        if isinstance(comeback_of, Path):
            with Book.open(comeback_of.absolute(), read_only=True) as first:
                follows, follows_entry = first.plan.job.number, first.entries()[-1].hash
        # Absolute: the report is set by a process that stands in another folder.
        book = Book.create(
            root.absolute(), plan, at=clock(), bench=bench, by=user, version=version,
            follows=follows, follows_entry=follows_entry,
        )  # fmt: skip
        return cls(book, clock=clock, user=user, version=version)

    @classmethod
    def open(
        cls, root: Path, *, clock: Clock, user: str, version: str, read_only: bool = False
    ) -> Self:
        """Return the journey of the book in ``root``; raises NotABook, NetworkFolder."""
        book = Book.open(root.absolute(), read_only=read_only)
        if not read_only:
            from store.signing.key_file import clear_left  # noqa: PLC0415 - slow to load

            clear_left()  # of a key begun at the last closing, say, which may not be needed again
        return cls(book, clock=clock, user=user, version=version)

    def measure_with(self, measure: "Measure") -> None:
        """Measure coverages with this instead: the same, done somewhere else."""
        self._measure = measure

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.book.close()

    def add_photo(
        self,
        photo: Photo,
        *,
        location: str,
        role: Role,
        keys: tuple[str, ...] = (),
        gauge: str = "",
        view: View = "direct",
        up: str = "",
        stands: str = "",
    ) -> Entry:
        """Keep a photo's untouched bytes and file it at a location or a hold point.

        ``keys`` are the checks it shows, ``gauge`` the gauge in it; ``view`` and ``up`` say how
        it looks at the block, ``stands`` why it is filed here although another location's tag is in
        it. Raises BadPlan for what the plan does not have, CannotWrite with nothing kept.
        """
        if location not in {hold.id for hold in self.plan.hold_points}:
            self.plan.location(location)
        for key in keys:
            self.plan.characteristic(key)
        if gauge:
            self.plan.gauge(gauge)
        return acts.file_photo(
            self.book,
            BytesIO(photo.original),
            photo.kind.suffix,
            lambda kept: PhotoTaken(
                photo=kept.photo,
                suffix=photo.kind.suffix,
                bytes_count=kept.bytes_count,
                file_name=photo.file_name,
                location=location,
                role=role,
                width_px=photo.width_px,
                height_px=photo.height_px,
                camera_time=photo.camera_time,
                camera=photo.camera,
                focal_35mm=photo.focal_35mm,
                keys=keys,
                gauge=gauge,
                view=view,
                up=up,
                stands=stands,
            ),
            at=self._clock(),
            by=self._user,
        )

    def filed_before(self, photo: Photo) -> tuple[str, ...]:
        """Return "LOCATION (role)" of every standing filing of these very bytes."""
        digest = hashlib.sha256(photo.original).hexdigest()
        told = self.book.told
        return tuple(
            f"{where} ({taken.role})"
            for where in list(told.filings)
            for taken in told.photos_at(where, told.now)
            if taken.photo == digest
        )

    def reading(
        self,
        key: str,
        text: str,
        *,
        gauge: str | None = "",
        read_at: str = "",
        spot: Spot | None = None,
        zero: Zero | None = None,
        doubts: tuple[Doubt, ...] = (),
        part_c: float | None = None,
        gauge_c: float | None = None,
        photos: tuple[str, ...] = (),
        stands: str | None = None,
    ) -> Check:
        """Keep a typed reading of a check, and judge it; return the check after it.

        ``gauge`` is by default the one the plan names, None says that none was used; ``spot`` of a
        grid the next without a reading, ``read_at`` when it was read if that was earlier ("on paper
        at 10:40"). What looks like a known slip is refused with SlipSuspected and nothing kept,
        until ``stands`` says in words why it is kept. Raises BadReading, WrongUse, BadPlan.
        """
        where = next_spot(self.book.told, key) if spot is None else spot
        read = read_of(
            self.plan, key, text, gauge=gauge, read_at=read_at, spot=where, zero=zero,
            doubts=doubts, part_c=part_c, gauge_c=gauge_c, photos=photos,
        )  # fmt: skip
        suspected = suspected_slips(self.book.told, read)
        asked = None
        if suspected:
            if stands is None:
                raise SlipSuspected(key, text, suspected, where)
            asked = SlipAsked(key, text, suspected, "stands", where, stands)
        return acts.record_reading(self.book, read, at=self._clock(), by=self._user, asked=asked)

    def withdraw(self, refused: SlipSuspected, words: str = "") -> Entry:
        """Keep that a reading was typed, looked like a slip, and was not filed."""
        asked = SlipAsked(
            refused.key, refused.text, refused.suspected, "withdrawn", refused.spot or Spot(), words
        )
        return acts.withdraw(self.book, asked, at=self._clock(), by=self._user)

    def zero_on(self, text: str) -> Zero:
        """Return what a difference gauge was zeroed to: a check's reading, or a typed size.

        ``text`` is a check's key, whose value that counts is taken, or a length with its unit.
        Raises WrongUse for a check without a value, BadReading.
        """
        told = self.book.told
        if text in told.wiring_at(told.now).checks:
            entry = told.counting(text, told.now)
            record = entry.evidence if entry else None
            if entry is None or not isinstance(record, Read | Derived) or record.quantity is None:
                raise WrongUse(f"{text} has no value yet: read it first, then zero the gauge on it")
            return Zero(record.quantity, entry.hash, text)
        unit = "in" if self.plan.job.units == "US" else "mm"
        size = parse_length(text, unit=unit, decimal_comma=self.plan.job.decimal_comma)
        return Zero(size, words=text)

    def budget(self, key: str) -> Budget:
        """Return the uncertainty budget of the value of a check that counts.

        Raises WrongUse if it has none.
        """
        told = self.book.told
        entry = told.counting(key, told.now) if self.plan.characteristic(key) else None
        if entry is None or self.book.round().check(key).value is None:
            asked = self.plan.characteristic(key)[1]
            if asked.kind in ANSWERED_IN_WORDS:
                raise WrongUse(f"{key} is answered in words: a budget is of a number")
            raise WrongUse(f"{key} has no value yet, so there is no budget to show")
        return Working(told).budget(entry.hash)

    def agreement(self, key: str) -> Agreement:
        """Return how far the two routes of an agreement agree; raises CannotDerive."""
        told = self.book.told
        check = self.plan.characteristic(key)[1]
        if check.of is None:
            raise WrongUse(f"{key} is no agreement of two routes")
        return Working(told).agreement_of(key, told.now)

    def givens(self, key: str) -> Givens:
        """Return what the plan knows of the two holes of a coverage."""
        _, check = self.plan.characteristic(key)
        return Givens(
            near_diameter=check.near_diameter,
            far_diameter=check.far_diameter,
            wall=check.wall,
            bore_diameter=check.bore_diameter,
            flat=check.flat,
        )

    def coverage(
        self,
        key: str,
        photo: str,
        layer: Layer,
        givens: Givens,
        *,
        seed: int = 0,
        tolerance: float = TOLERANCE,
        second_to: str = "",
        lens: LensProfile | None = None,
        lens_paper: str = "",
        together: Sequence[str] = (),
    ) -> Check:
        """Measure accepted marks on a filed photo, keep both, and judge; return the check.

        ``second_to`` is the entry of another person's marks on the same photo: these are then
        blind second marks, kept beside the first and compared with them, never judged. ``lens`` is
        the camera's profile as used on this photo, ``lens_paper`` the entry of its file.
        ``together`` are the entries of marks on other photos of the hole, measured as one with
        these. As many trials are made as the interval needs to stand still to ``tolerance``, and
        what marking photos again showed by now is in it. Raises CannotMeasure and PhotosDisagree
        with nothing kept, WrongUse for a check that is no coverage, BadPhoto for one picture that
        is to count twice.
        """
        _, check = self.plan.characteristic(key)
        if check.kind != "coverage":
            raise WrongUse(f"{key} is a {check.kind}, not a coverage: it takes a typed reading")
        if check.shape != "round" and outline_of(layer) is None:
            raise WrongUse(
                f"{key} is a {check.shape}: draw the far opening as an outline, or file the photo "
                "and prove it with a wire or a pin in a check of its own"
            )
        told = self.book.told
        repeats, repeats_from = repeats_for(told, layer, told.now)
        beside = beside_of(told, tuple(together), repeats)
        if beside is None:
            raise WrongUse("what is to be measured together with these must be entries of marks")
        if together:
            refuse_twice(self.book, photo, together)
        done = self._measure(
            layer, givens, seed=seed, lens=lens, beside=beside, tolerance=tolerance
        )
        marked = Marked(
            key=key,
            photo=photo,
            layer=layer,
            givens=givens,
            seed=seed,
            trials=done.trials,
            version=self._version,
            result=done.coverage,
            blind=bool(second_to),
            second_to=second_to,
            lens=lens,
            lens_paper=lens_paper,
            together=tuple(together),
            repeats=repeats,
            repeats_from=repeats_from,
        )
        return acts.record_marks(self.book, marked, at=self._clock(), by=self._user)

    def round(self) -> Round:
        """Return where every check and hold point stands."""
        return self.book.round()

    def following(self, key: str) -> tuple[Check, ...]:
        """Return the checks worked out from a check, near or far, that now have a value."""
        told = self.book.told
        followers = told.wiring_at(told.now).followers(key)
        checks = (check_now(told, follower) for follower in followers)
        return tuple(check for check in checks if check.current)

    def fit_hints(self, key: str) -> tuple[str, ...]:
        """Return a sentence for each fit that this check is part of and that looks wrong."""
        return fit_hints(self.book.told, key)
