"""The journey of one job, one method per act of the user. No Qt, no SQL, no printing.

Clock, user and version are given; nothing below asks the machine for them.
"""

from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Self

from annotate import coverage as measuring
from annotate.givens import Givens
from annotate.marks import Layer
from annotate.quantity import UNITS
from capture import sizes
from capture.errors import WrongUse
from capture.intake.photo import Photo, read_photo
from capture.readings import read_of, worth_of
from store import acts
from store.book import Book
from store.codec import Entry
from store.evidence import Marked, PhotoTaken
from store.finding import Finding
from store.plan import Characteristic, Plan, Role
from store.round import Check, Round

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

Clock = Callable[[], str]


class Journey:
    """One job being worked on.

    ``clock`` returns the time as ISO 8601 with offset, ``user`` is who works, ``version`` that of
    this program. Closes its book when left as a context.
    """

    def __init__(self, book: Book, *, clock: Clock, user: str, version: str) -> None:
        self.book = book
        self._clock, self._user, self._version = clock, user, version

    @classmethod
    def start(
        cls, plan: Plan, root: Path, *, bench: str, clock: Clock, user: str, version: str
    ) -> Self:
        """Return the journey of a new book in ``root``, begun with its plan.

        Raises BookExists, NetworkFolder, CannotWrite.
        """
        # Absolute: the report is set by a process that stands in another folder.
        book = Book.create(root.absolute(), plan, at=clock(), bench=bench, by=user, version=version)
        return cls(book, clock=clock, user=user, version=version)

    @classmethod
    def open(
        cls, root: Path, *, clock: Clock, user: str, version: str, read_only: bool = False
    ) -> Self:
        """Return the journey of the book in ``root``; raises NotABook, NetworkFolder."""
        book = Book.open(root.absolute(), read_only=read_only)
        return cls(book, clock=clock, user=user, version=version)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.book.close()

    @property
    def plan(self) -> Plan:
        """The plan of the job."""
        return self.book.plan

    def add_photo(self, photo: Photo, *, location: str, role: Role) -> Entry:
        """Keep a photo's untouched bytes and file it at a location; return its entry.

        Raises BadPlan for an unknown location, CannotWrite with nothing kept.
        """
        self.plan.location(location)
        return self.book.add_photo(
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
            ),
            at=self._clock(),
            by=self._user,
        )

    def reading(self, key: str, text: str, *, gauge: str = "", read_at: str = "") -> Check:
        """Keep a typed reading of a check, and judge it; return the check after it.

        ``gauge`` is by default the one the plan names, ``read_at`` when it was read if that was
        earlier ("on paper at 10:40"). Raises BadReading, WrongUse, BadPlan.
        """
        read = read_of(self.plan, key, text, gauge=gauge, read_at=read_at)
        return acts.record_reading(self.book, read, at=self._clock(), by=self._user)

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
        trials: int = measuring.TRIALS,
    ) -> Check:
        """Measure accepted marks on a filed photo, keep both, and judge; return the check.

        Raises CannotMeasure with nothing kept, WrongUse for a check that is no coverage.
        """
        _, check = self.plan.characteristic(key)
        if check.kind != "coverage":
            raise WrongUse(f"{key} is a {check.kind}, not a coverage: it takes a typed reading")
        result = measuring.measure(layer, givens, seed=seed, trials=trials)
        marked = Marked(
            key=key,
            photo=photo,
            layer=layer,
            givens=givens,
            seed=seed,
            trials=trials,
            version=self._version,
            result=result,
        )
        return acts.record_marks(self.book, marked, at=self._clock(), by=self._user)

    def strike(self, entry: str | int, reason: str) -> Entry:
        """Strike a wrong entry: it stays legible and no longer counts."""
        return acts.strike(self.book, entry, reason, at=self._clock(), by=self._user)

    def waive(
        self, hold_point: str, key: str, *, reason: str, decided_by: str, owner_agreed: str
    ) -> Entry:
        """Keep somebody's decision to go on although ``key`` is unproven."""
        return acts.waive(
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
        return acts.close(self.book, hold_point, at=self._clock(), by=self._user)

    def round(self) -> Round:
        """Return where every check and hold point stands."""
        return self.book.round()

    def following(self, key: str) -> tuple[Check, ...]:
        """Return the checks worked out from a check, near or far, that now have a value."""
        walked = self.round()
        roots, found = {key}, []
        for check in walked.checks:
            if roots & set(check.characteristic.of or ()) and check.current:
                roots.add(check.key)
                found.append(check)
        return tuple(found)

    def fit_hints(self, key: str) -> tuple[str, ...]:
        """Return a sentence for each fit that this check is part of and that looks wrong.

        A fit is a difference of two lengths whose limit is narrow: a press fit, a clearance.
        """
        walked = self.round()
        hints = []
        for check in walked.checks:
            pair = check.characteristic.of
            if not pair or key not in pair or not _asks_for_a_fit(check.characteristic):
                continue
            first, second = (walked.check(other) for other in pair)
            # Press fits are written part minus bore, clearances bore minus part.
            part, bore = (second, first) if "bore" in first.characteristic.id else (first, second)
            if part.value is not None and bore.value is not None:
                hints.append(sizes.fit(part.value.to("mm").value, bore.value.to("mm").value))
        return tuple(hint for hint in hints if hint)

    def report(
        self,
        target: Path,
        *,
        paper: Literal["a4", "letter"] | None = None,
        progress: Callable[[int, int, str], None] | None = None,
    ) -> Path:
        """Write the customer's report as a PDF; return where it is.

        ``paper`` is by default what a job in its units is printed on. ``progress`` is told (steps
        done, steps, words).
        """
        from store.report.document import write_report  # noqa: PLC0415 - typesetting is heavy

        return write_report(
            self.book,
            target,
            at=self._clock(),
            version=self._version,
            paper=paper or ("letter" if self.plan.job.units == "US" else "a4"),
            progress=progress,
        )


def _asks_for_a_fit(check: Characteristic) -> bool:
    """Return whether a difference asks two sizes to be nearly alike."""
    bounds = [check.limit.at_least, check.limit.at_most] if check.limit else []
    return (
        check.kind == "difference"
        and UNITS[check.unit][1] == "length"
        and any(bound is not None for bound in bounds[1:])
        and all(b is None or abs(b.to("mm").value) < sizes.NOMINAL_STEP_MM for b in bounds)
    )


def verify_book(
    root: Path, *, version: str, progress: Callable[[int, int], None] | None = None
) -> list[Finding]:
    """Return every finding on a book, with photos looked at and readings read again."""
    from store.verify import verify  # noqa: PLC0415 - loads what only this needs

    return verify(root, version=version, decode=_decoded, reparse=worth_of, progress=progress)


def _decoded(path: Path) -> "npt.NDArray[np.uint8] | None":
    return read_photo(path, keep_anyway=True).pixels
