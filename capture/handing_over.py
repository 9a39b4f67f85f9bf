"""What leaves the bench and what comes back: report, page, pack, copies, merges, the closed job.

One method per act of the user. No Qt, no SQL, no printing; clock, user and version are given.
"""

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from capture.bench_work import BenchWork, Clock
from capture.verifying import verify_book, verify_pack
from store.book import Book
from store.branches.merges import MergeTold, merges_of
from store.codec import Entry
from store.errors import StoreError

if TYPE_CHECKING:
    from capture.vouched import Vouched
    from store.copies.copying import Copied
    from store.copies.merge import Merge
    from store.pack.job_closed import JobClosed
    from store.pack.own_keys import OwnKeys


class HandingOver(BenchWork):
    """The acts of BenchWork, and those by which others come to know of the book."""

    def __init__(self, book: Book, *, clock: Clock, user: str, version: str) -> None:
        super().__init__(book, clock=clock, user=user)
        self._version = version

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

        with self.book.still():
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

        with self.book.still():
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
        from store.copies.copying import copy_book  # noqa: PLC0415 - few copy

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
        from store.copies.merge import merge  # noqa: PLC0415 - loads what checks packs
        from store.copies.other_copy import Checks  # noqa: PLC0415 - the same

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
