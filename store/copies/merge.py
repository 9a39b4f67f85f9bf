"""Taking another copy of a book in: a union, in which nothing is changed and nothing is lost.

Lines of the other copy that are not here arrive after those that are, byte for byte, in the order
in which they arrived there. Then comes the record of the merge, which holds that order and the
last hash of every chain: whoever checks the book later judges each line by what its own bench knew
(``store.branches.views``). What now follows from both benches' values is worked out and judged
anew.

Order of writing: the files that new lines name, the other branch of a fork, then all rows in one
transaction, then the heads, then the checkpoints that the other copy has. Killed in between, a
merge is done again from the start and gives the same: at worst photos lie here unfiled, or a branch
that no entry tells of yet.
"""

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from msgspec import Struct

from annotate.errors import AnnotateError
from store.book import Act, Book
from store.branches.clashes import Clash, Handed, clashes, handed
from store.branches.forks import (
    branch_entries,
    files_named,
    fork_folder,
    is_news,
    keep_fork,
    recorded_forks,
    take_forks,
)
from store.branches.views import record_of
from store.codec import Entry
from store.copies.other_copy import Checks, OtherCopy, read_copy
from store.errors import BadAct, Busy, CannotWrite, PhotoAltered, StoreError
from store.evidence import Head, Merged
from store.files.disk import check_room
from store.known.unhindered import unhindered
from store.pack.taken import take_branch_checkpoints, take_checkpoints
from store.photos import PhotoVault
from store.round import Round
from store.standing import standing
from store.written.consequences import settle

Progress = Callable[[int, int, str], None]
_CHECKED = 90  # of 100 steps


class Fork(Struct, frozen=True):
    """A line of the other copy that contradicts one here; ``lines`` from there on were set aside.

    ``here`` is the hash of the line that stands here, ``folder`` where the other branch is kept.
    ``is_new`` is whether this merge is the first to find it, or to find more work in it.
    """

    there: Head
    here: str
    lines: int
    folder: Path
    is_new: bool


class Difference(Struct, frozen=True):
    """How another copy's lines compare with those here.

    ``shared`` is the copy's order up to the first line that contradicts one here, ``new`` what of
    it is not here; ``fork`` is that first line, ``branch`` everything from it on.
    """

    shared: tuple[Entry, ...]
    new: tuple[Entry, ...]
    fork: Head | None = None
    branch: tuple[Entry, ...] = ()


class Merge(Struct, frozen=True):
    """What came of a merge. ``taken`` counts new lines by bench, ``photos`` and ``papers`` files.

    ``settled`` counts what was worked out or judged anew since, ``handed`` are the checks at which
    another attempt counts now, ``clashes`` what both benches did. ``after`` is the round now.
    """

    taken: dict[str, int]
    photos: int
    papers: int
    settled: int
    handed: tuple[Handed, ...]
    clashes: tuple[Clash, ...]
    after: Round
    fork: Fork | None = None
    signed_with: str = ""

    @property
    def is_nothing(self) -> bool:
        """Whether the other copy had nothing that was not here."""
        return not (self.taken or self.photos or self.papers or (self.fork and self.fork.is_new))


def merge(
    book: Book,
    other: Path,
    *,
    at: str,
    by: str,
    checks: Checks | None = None,
    progress: Progress | None = None,
) -> Merge:
    """Take in what another copy of this book has and this one has not; return what came of it.

    ``other`` is a book's folder or a pack (zip or folder); it is verified first, with ``checks``,
    and nothing is written to it. ``progress`` is told (done, of 100, words). The same copy once
    more changes nothing. Raises BadAct for another job's book and for a pack with lines left out,
    BadPack and Damaged for a copy that is not what was written, CannotWrite, Busy.
    """
    tell = progress or (lambda _done, _of, _words: None)
    _refuse_itself(book, other)

    def checked(done: int, of: int) -> None:
        tell(_CHECKED * done // max(of, 1), 100, "checking what is to be taken in")

    # What is new, and what contradicts, is told from the lines here as they are after that check.
    with read_copy(other.absolute(), checks or Checks(), checked) as copy, book.still():
        _refuse_other_job(book, copy)
        found = compare(book.entries(), copy.entries)
        tell(_CHECKED, 100, "copying photos and papers")
        files = _copy_files(book.root, copy.root, found.shared)
        _take_forks(book, copy, found)
        fork = _set_aside(book, copy, found)
        tell(99, 100, "writing the lines")
        done = _take(book, found, fork, (files, copy.signed_with), at=at, by=by)
        branch = fork_folder(book.root, found.fork) if found.fork else None
        take_checkpoints(book.root, copy.root, book.entries(), _job_number(book), branch)
    tell(100, 100, "done")
    return done


def compare(ours: Iterable[Entry], theirs: Sequence[Entry]) -> Difference:
    """Return what another copy has more, up to the first line that contradicts one here.

    Lines that only tell of a merge are nothing new: they would go back and forth for ever.
    """
    here = {(entry.bench, entry.seq): entry.hash for entry in ours}
    new: list[Entry] = []
    at = len(theirs)
    for number, entry in enumerate(theirs):
        there = here.get((entry.bench, entry.seq))
        if there is None:
            new.append(entry)
        elif there != entry.hash:
            at = number
            break
    if not any(_is_news(entry) for entry in new):
        new = []
    if at == len(theirs):
        return Difference(tuple(theirs), tuple(new))
    first = theirs[at]
    head = Head(first.bench, first.seq, first.hash)
    return Difference(tuple(theirs[:at]), tuple(new), head, tuple(theirs[at:]))


def _is_news(entry: Entry) -> bool:
    return not isinstance(entry.evidence, Merged) or entry.evidence.fork is not None


def _take(
    book: Book,
    found: Difference,
    fork: Fork | None,
    beside: tuple[dict[str, int], str],
    *,
    at: str,
    by: str,
) -> Merge:
    """Write the rows, and return what came of it; the book is held still since the comparison."""
    before, start, ours = book.round(), book.told.now, book.entries()
    if found.new or (fork and fork.is_new):
        with book.act(at=at, by=by) as act, unhindered():
            if act.told.now != start:
                raise Busy("Another program has written to this book meanwhile: do it again.")
            _write(act, found, fork)
    known = _known_there(found)
    apart = [entry for entry in ours if entry.hash not in known and _is_news(entry)]
    taken: dict[str, int] = {}
    for entry in found.new:
        taken[entry.bench] = taken.get(entry.bench, 0) + 1
    after, told = book.round(), book.told
    benches = {entry.hash: entry.bench for entry in told.entries}
    new = told.now - start - len(found.new)
    files, signed_with = beside
    return Merge(
        taken=taken,
        photos=files["photos"],
        papers=files["papers"],
        settled=max(0, new - 1),
        handed=handed(before, after, benches),
        clashes=clashes(apart, found.new, before.plan, after) if found.new else (),
        after=after,
        fork=fork,
        signed_with=signed_with,
    )


def _known_there(found: Difference) -> set[str]:
    """Return the hashes of what had arrived there before the first of the new lines was written."""
    new = {entry.hash for entry in found.new}
    until = next((n for n, entry in enumerate(found.shared) if entry.hash in new), None)
    return {entry.hash for entry in found.shared[:until]}


def _write(act: Act, found: Difference, fork: Fork | None) -> None:
    """Write the other copy's lines, the record of the merge, and what follows from both."""
    for entry in found.new:
        act.take(entry)
    there = fork.there if fork else None
    act.append(record_of(found.shared, len(found.new), there, found.branch))
    try:
        settle(act)
        standing(act.told, every_reading=False)
    except CannotWrite:
        raise
    except (StoreError, AnnotateError, ArithmeticError) as error:
        raise BadAct(
            f"what the two copies say cannot stand together ({error}): nothing was merged; strike "
            "or change what contradicts in one of them first."
        ) from error


def _job_number(book: Book) -> str:
    return book.told.start.plan.job.number


def _refuse_itself(book: Book, other: Path) -> None:
    if other.exists() and other.resolve() == book.root.resolve():
        raise BadAct(f"{other} is this book itself: name another copy of it, or a pack.")


def _refuse_other_job(book: Book, copy: OtherCopy) -> None:
    here = book.entries()[0]
    there = copy.entries[0] if copy.entries else None
    if there is None or there.hash != here.hash:
        named = getattr(there.evidence, "plan", None) if there else None
        job = f" (job {named.job.number})" if named else ""
        raise BadAct(
            f"that is another book{job}, not a copy of this one: only a book that was begun by the "
            "same entry can be merged."
        )


def _take_forks(book: Book, copy: OtherCopy, found: Difference) -> None:
    """Keep here, too, the branches that the other copy keeps."""
    take_forks(book.root, copy.root, found.shared)
    for fork in recorded_forks(found.shared):
        there, here = fork_folder(copy.root, fork), fork_folder(book.root, fork)
        if there.is_dir():
            _copy_files(here, there, branch_entries(copy.root, fork), also=book.root)
            take_branch_checkpoints(there, here)


def _set_aside(book: Book, copy: OtherCopy, found: Difference) -> Fork | None:
    """Keep the other branch of a fork with its files; None if there is no fork."""
    if found.fork is None:
        return None
    folder = fork_folder(book.root, found.fork)
    keep_fork(book.root, found.fork, [entry.line for entry in found.branch])
    is_new = is_news(book.root, found.fork, found.branch, book.entries())
    _copy_files(folder, copy.root, found.branch, also=book.root)
    here = next(
        entry.hash
        for entry in book.entries()
        if (entry.bench, entry.seq) == (found.fork.bench, found.fork.seq)
    )
    return Fork(found.fork, here, len(found.branch), folder, is_new)


def _copy_files(
    root: Path, source: Path, entries: Iterable[Entry], *, also: Path | None = None
) -> dict[str, int]:
    """Copy the files that entries name and that are not here; return how many by folder.

    ``also`` is a book that has files too, which are not kept twice. Raises PhotoAltered.
    """
    done = {"photos": 0, "papers": 0}
    missing = [
        (folder, digest, suffix)
        for (folder, digest), suffix in files_named(entries).items()
        if not any(digest in PhotoVault(each, folder) for each in (root, also) if each)
    ]
    paths = [PhotoVault(source, folder).path(digest) for folder, digest, _ in missing]
    if paths:
        there = next(each for each in (root, *root.parents) if each.is_dir())
        check_room(there, sum(path.stat().st_size for path in paths), "what was to be taken in")
    for (folder, digest, suffix), path in zip(missing, paths, strict=True):
        kept, _ = PhotoVault(root, folder).put(path, suffix)
        if kept != digest:
            raise PhotoAltered(f"{path.name} of the other copy was changed: run verify on it.")
        done[folder] += 1
    return done
