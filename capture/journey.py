"""The journey of one job, one method per act of the user. No Qt, no SQL, no printing.

Clock, user and version are given; nothing below asks the machine for them.
"""

import hashlib
from collections.abc import Callable, Sequence
from contextlib import suppress
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Protocol, Self

from annotate import accepted
from annotate.beside import Beside
from annotate.givens import Givens
from annotate.marks import Layer
from annotate.outlined import outline_of
from annotate.profile import LensProfile
from annotate.settled import TOLERANCE
from capture.bench_work import BenchWork, Clock
from capture.entry import parse_length
from capture.errors import BadPhoto, SlipSuspected, WrongUse
from capture.hand import fit_hints, suspected_slips
from capture.intake.photo import Photo, checked, read_photo
from capture.readings import read_of, reread
from store import acts
from store.acts import next_spot
from store.agree import Agreement
from store.book import Book
from store.budget import Budget
from store.codec import Entry
from store.errors import StoreError
from store.evidence import Derived, Marked, PhotoTaken, Read, SlipAsked, View, Zero
from store.finding import Finding
from store.merges import MergeTold, merges_of
from store.plan import Doubt, Plan, Role, Spot
from store.repeats import beside_of, repeats_for
from store.round import Check, Round
from store.standing import check_now
from store.working import Working

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from capture.vouched import Vouched
    from store.copying import Copied
    from store.merge import Merge
    from store.pack.job_closed import JobClosed
    from store.pack.own_keys import OwnKeys


class Measure(Protocol):
    """Whatever measures as ``annotate.accepted.accept`` does."""

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


class Journey(BenchWork):
    """One job being worked on: the acts of BenchWork, and those that give values.

    ``clock`` returns the time as ISO 8601 with offset, ``user`` is who works, ``version`` that of
    this program. Closes its book when left as a context.
    """

    def __init__(self, book: Book, *, clock: Clock, user: str, version: str) -> None:
        super().__init__(book, clock=clock, user=user)
        self._version = version
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
    ) -> Entry:
        """Keep a photo's untouched bytes and file it at a location or a hold point.

        ``keys`` are the checks it shows, ``gauge`` the gauge in it; ``view`` and ``up`` say how
        it looks at the block. Raises BadPlan for what the plan does not have, CannotWrite with
        nothing kept.
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
        with nothing kept, WrongUse for a check that is no coverage.
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

    def report(
        self,
        target: Path,
        *,
        paper: Literal["a4", "letter"] | None = None,
        budgets: bool = False,
        progress: Callable[[int, int, str], None] | None = None,
        previews: Path | None = None,
        stop: Callable[[], bool] | None = None,
    ) -> Path:
        """Write the customer's report as a PDF; return where it is.

        ``paper`` is by default what a job in its units is printed on; ``budgets`` adds every
        judged reading's uncertainty, line by line. ``progress`` is told (steps done, steps,
        words), ``previews`` is a folder that gets its pages as PNG too, ``stop`` is asked several
        times a second and ends it with ReportStopped.
        """
        from store.report.document import write_report  # noqa: PLC0415 - typesetting is heavy

        return write_report(
            self.book,
            target,
            at=self._clock(),
            version=self._version,
            paper=paper or ("letter" if self.plan.job.units == "US" else "a4"),
            budgets=budgets,
            progress=progress,
            previews=previews,
            stop=stop,
            signer=self._keys().signer,
        )

    def page(
        self,
        target: Path,
        *,
        budgets: bool = False,
        progress: Callable[[int, int, str], None] | None = None,
        stop: Callable[[], bool] | None = None,
    ) -> Path:
        """Write the customer's report as one HTML page that needs no network; return where it is.

        It says what the PDF says. ``budgets``, ``progress`` and ``stop`` are those of ``report``.
        """
        from store.report.page.writing import write_page  # noqa: PLC0415 - loads what prints need

        return write_page(
            self.book,
            target,
            at=self._clock(),
            version=self._version,
            budgets=budgets,
            progress=progress,
            stop=stop,
            signer=self._keys().signer,
        )

    def pack(
        self,
        target: Path,
        *,
        key_file: Path | None = None,
        leave_out: tuple[str, ...] = (),
        progress: Callable[[int, int, str], None] | None = None,
        stop: Callable[[], bool] | None = None,
    ) -> Path:
        """Write a signed copy of the book to hand over, a zip or a folder; return where it is.

        ``key_file`` is an OpenSSH Ed25519 key; by default the bench's own, made on first use.
        ``leave_out`` cites entries whose lines stay at the bench. ``progress`` is told (done, of,
        words), ``stop`` asked between steps; whatever ends it leaves nothing behind. Raises
        BadAct, BadKey, NoSuchEntry, Damaged, CannotWrite, PackStopped.
        """
        from store.pack.packing import write_pack  # noqa: PLC0415 - typesetting is heavy

        return write_pack(
            self.book,
            target.absolute(),
            at=self._clock(),
            version=self._version,
            keys=self._keys(key_file),
            leave_out=leave_out,
            paper="letter" if self.plan.job.units == "US" else "a4",
            progress=progress,
            stop=stop,
        )

    def close(self, hold_point: str) -> Entry:
        """Close a hold point, as ``BenchWork.close``; the last one keeps a checkpoint too."""
        entry = super().close(hold_point)
        # The part went on and the entry says so, whatever becomes of the checkpoint.
        with suppress(StoreError):
            self.job_closed()
        return entry

    def job_closed(self) -> "JobClosed | None":
        """Keep a signed checkpoint if the job's last hold point is closed; None if one is open.

        Raises BadKey, CannotWrite.
        """
        from store.pack.job_closed import is_closed, keep_closing  # noqa: PLC0415 - slow to load
        from store.pack.signing_key import bench_key  # noqa: PLC0415 - the same
        from store.signing.key_file import key_folder  # noqa: PLC0415 - the same

        if not is_closed(self.book):
            return None
        return keep_closing(self.book.root, bench_key(key_folder()))

    def vouch(self) -> "Vouched":
        """Keep what a closed job keeps, make the keys if there are none yet; return what is kept.

        What can't be kept or made is told in it: the part went on all the same.
        """
        from capture.vouched import untold  # noqa: PLC0415 - slow to load

        trouble = ""
        try:
            if self.job_closed() is not None:
                self._keys()
        except StoreError as error:
            trouble = str(error)
        try:
            return self.vouched(trouble)
        except StoreError as error:
            return untold(self.book, trouble or str(error))

    def vouched(self, trouble: str = "") -> "Vouched":
        """Return what can be handed out of this book and its bench's keys; nothing is made.

        Raises Damaged, BadKey.
        """
        from capture.vouched import vouched  # noqa: PLC0415 - slow to load
        from store.signing.key_file import key_folder  # noqa: PLC0415 - the same

        return vouched(self.book, key_folder(), trouble)

    def merges(self) -> tuple[MergeTold, ...]:
        """Return every record of a merge, the first first, with what two benches both did."""
        return merges_of(self.book.told)

    def copy(
        self,
        target: Path,
        *,
        bench: str = "",
        progress: Callable[[int, int, str], None] | None = None,
    ) -> "Copied":
        """Copy the book, also while it is in use, or bring an older copy up to date.

        ``bench`` is the name of the second bench that the copy is for; without it the copy goes
        on as this book does. ``progress`` is told (done, of, words). Raises BadAct for a target
        that is no older copy of this book, PhotoAltered, Damaged, CannotWrite.
        """
        from store.copying import copy_book  # noqa: PLC0415 - few copy

        return copy_book(
            self.book, target, at=self._clock(), by=self._user, bench=bench, progress=progress
        )

    def merge(
        self, other: Path, progress: Callable[[int, int, str], None] | None = None
    ) -> "Merge":
        """Take in what another copy of this book has and this one has not.

        ``other`` is a book's folder or a pack; it is verified first, and nothing is written to it.
        ``progress`` is told (done, of, words). The same copy once more changes nothing. Raises
        BadAct for another job's book, BadPack and Damaged for a copy that is not what was
        written, CannotWrite.
        """
        from store.merge import merge  # noqa: PLC0415 - loads what checks packs
        from store.other_copy import Checks  # noqa: PLC0415 - the same

        version = self._version
        checks = Checks(
            book=lambda root, tell: verify_book(root, version=version, progress=tell),
            # A report is made of lines and is not taken over: it need not be set again.
            pack=lambda root, tell: verify_pack(
                root, version=version, progress=tell, with_report=False
            ),
        )
        return merge(
            self.book, other, at=self._clock(), by=self._user, checks=checks, progress=progress
        )

    def _keys(self, key_file: Path | None = None) -> "OwnKeys":
        """Return what packs and reports are signed with, made on first use.

        Raises BadKey, CannotWrite.
        """
        from store.pack.own_keys import own_keys  # noqa: PLC0415 - slow to load
        from store.signing.key_file import key_folder  # noqa: PLC0415 - the same

        return own_keys(key_folder(), self.plan.job.shop.strip() or self.book.bench, key_file)


def signing_fingerprint(key_file: Path | None = None) -> str:
    """Return the fingerprint of the key that packs are signed with: "SHA256:...".

    It must reach the customer in another way than the pack. Raises BadKey, CannotWrite.
    """
    from store.pack.signing_key import bench_key, read_key  # noqa: PLC0415 - slow to load
    from store.signing.key_file import key_folder  # noqa: PLC0415 - the same

    key = read_key(key_file) if key_file else bench_key(key_folder())
    return key.public.fingerprint


def certificate_fingerprint() -> str:
    """Return the fingerprint of the certificate that reports were signed with, 64 digits.

    Raises BadKey if none was signed yet.
    """
    from store.signing.certificate import KEY_NAME, read_report_key  # noqa: PLC0415 - slow to load
    from store.signing.key_file import key_folder  # noqa: PLC0415 - the same

    return read_report_key(key_folder() / KEY_NAME).certificate.fingerprint


def verify_book(
    root: Path, *, version: str, progress: Callable[[int, int], None] | None = None
) -> list[Finding]:
    """Return every finding on a book, with photos looked at and readings read again."""
    from store.pack.vouching import check_book_checkpoints  # noqa: PLC0415 - slow to load
    from store.verify import verify  # noqa: PLC0415 - loads what only this needs

    found = verify(
        root, version=version, decode=_decoded, size=_size, reparse=reread, progress=progress
    )
    return [*found, *check_book_checkpoints(root)]


def verify_pack(
    path: Path,
    *,
    version: str,
    progress: Callable[[int, int], None] | None = None,
    with_report: bool = True,
) -> list[Finding]:
    """Return every finding on a pack (a zip or a folder), looked at as closely as a book.

    A note names the key that signed it. The report in it is set again and compared, unless
    ``with_report`` is off. Raises NotAPack for what never was one.
    """
    from store.pack.inspection import verify_pack as verify  # noqa: PLC0415 - slow to load
    from store.pack.report_check import check_report  # noqa: PLC0415 - the same

    return verify(
        path, version=version, decode=_decoded, size=_size, reparse=reread, progress=progress,
        report=check_report if with_report else None,
    )  # fmt: skip


def verify_report(path: Path) -> list[Finding]:
    """Return every finding on the signature of a report's PDF; a note names its certificate."""
    from store.pack.report_check import verify_report as verify  # noqa: PLC0415 - slow to load

    return verify(path)


def _size(path: Path) -> tuple[int, int] | None:
    try:
        return checked(path, keep_anyway=True).size_px
    except BadPhoto:
        return None  # empty or out of reach: found by its hash already


def _decoded(path: Path) -> "npt.NDArray[np.uint8] | None":
    return read_photo(path, keep_anyway=True).pixels
