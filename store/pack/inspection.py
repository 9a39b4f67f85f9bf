"""Check a pack: nothing of it is believed before it was looked at, and everything wrong is said.

In this order: names, links and sizes (a hostile pack is refused, and nothing written outside a
folder that is thrown away); the bag and every byte; signatures; the chains, line by line; what the
lines say, every number worked out again as for a book; and the table and drawings, made anew.

What it cannot show: whose key it is. The fingerprint in the note must be compared with one that
came in another way. How the report is checked is told in ``store.pack.report_check``.
"""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from store.codec import Entry
from store.errors import BadPack, CannotWrite
from store.evidence import JobStarted, Read
from store.files.passing import is_passing
from store.finding import Finding, Severity, not_read
from store.pack.audit import check_bag
from store.pack.bag import DATA
from store.pack.bounded import Bounded
from store.pack.checkpoint import checkpoint_of
from store.pack.contents import REPORT, told_files
from store.pack.drawings import FOLDER as LAYERS
from store.pack.left_out import LeftOut
from store.pack.lines import Lines, read_lines
from store.pack.staging import staged
from store.pack.vouching import (
    check_branch_checkpoints,
    check_checkpoints,
    check_signatures,
    content,
    read_signers,
)
from store.plan import Plan
from store.proving.kept import count_files
from store.proving.recomputed import Measure, Tools
from store.proving.refinding import moved_marks
from store.verify import check_told, measure_coverage, survived

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from annotate.marks import Layer

ReportCheck = Callable[[Path, "PackedReport"], Iterator[Finding]]
_UNPACK_SHARE, _HASH_SHARE = 20, 20


class PackedReport(Struct, frozen=True):
    """What the report of a pack is held against: its lines, and who signed the pack.

    ``fingerprint`` is the key's, as it is printed in the report; ``version`` is this program's.
    """

    entries: tuple[Entry, ...]
    fingerprint: str
    version: str


def verify_pack(
    path: Path,
    *,
    version: str = "",
    decode: "Callable[[Path], npt.NDArray[np.uint8] | None] | None" = None,
    reparse: Callable[[Plan, Read], Read | None] | None = None,
    progress: Callable[[int, int], None] | None = None,
    measure: Measure | None = None,
    size: Callable[[Path], tuple[int, int] | None] | None = None,
    moved: "Callable[[npt.NDArray[np.uint8], Layer], list[str]]" = moved_marks,
    report: ReportCheck | None = None,
) -> list[Finding]:
    """Return every finding on a pack, a zip or a folder; only notes if it is sound.

    One note names the key that signed it. ``report`` checks the report in it, as
    ``store.pack.report_check.check_report`` does; without it the report is not looked into, which
    is said in a note. The other arguments are those of ``store.verify.verify``;
    ``progress`` is told hundredths. A pack that must not be looked into is one finding with the
    reason, "pack-refused"; what could not be read now is "unread".
    Raises NotAPack for what never was one, CannotWrite without room.
    """
    tell = progress or (lambda _done, _of: None)
    bounded = Bounded(measure or measure_coverage())
    tools = Tools(bounded, moved, decode, reparse, version, size)
    found: list[Finding] = []
    try:
        with staged(path, lambda done, of: tell(_UNPACK_SHARE * done // of, 100)) as root:
            found += check_bag(
                root, lambda done, of: tell(_UNPACK_SHARE + _HASH_SHARE * done // of, 100)
            )
            found += _check_inside(root, tools, report, tell)
    except BadPack as error:
        found.append(Finding("altered", "pack-refused", path.name, str(error)))
    except Exception as error:
        if isinstance(error, CannotWrite) or not is_passing(error):
            raise
        found.append(not_read(error, path.name))
    tell(100, 100)
    return found


def _check_inside(
    root: Path, tools: Tools, report: ReportCheck | None, tell: Callable[[int, int], None]
) -> Iterator[Finding]:
    signers = read_signers(root)
    yield Finding(
        "note", "signing-key", signers.benches[0],
        f"signed with {signers.keys[0].fingerprint}: compare it with the one told in another way",
    )  # fmt: skip
    yield from check_signatures(root, signers)
    found: list[Finding] = []
    lines = read_lines(root, signers.benches, found)
    yield from found
    start = lines.entries[0].evidence if lines.entries else None
    job = start.plan.job.number if isinstance(start, JobStarted) else ""
    for chain in lines.chains:
        named = checkpoint_of(chain.bench, job, []).job
        yield from check_checkpoints(root, chain, named, signers)
    own = {chain.bench: chain.hashes for chain in lines.chains}
    yield from check_branch_checkpoints(root / DATA, own)
    if lines.left_out:
        many = "1 line stays" if lines.left_out == 1 else f"{lines.left_out} lines stay"
        detail = f"{many} at the bench: what rests on such a line can't be worked out again"
        yield Finding("note", "lines-left-out", "ledger", detail)
    yield from _check_content(root, lines, tools, tell)
    yield from _check_told_files(root, lines.entries, start, tools.version)
    if lines.left_out or not isinstance(start, JobStarted):
        return  # no report goes with such a pack, and none can be made of such lines
    if report is None:
        yield Finding("note", "report-unchecked", REPORT, "the report was not looked into")
        return
    fingerprint = signers.keys[0].fingerprint
    yield from report(root, PackedReport(lines.entries, fingerprint, tools.version))


def _check_content(
    root: Path, lines: Lines, tools: Tools, tell: Callable[[int, int], None]
) -> Iterator[Finding]:
    """Find what is wrong in what the lines say and in the files they name."""
    begin = _UNPACK_SHARE + _HASH_SHARE
    total = max(1, count_files(root / DATA) + len(lines.entries))
    done = 0

    def one_done() -> None:
        nonlocal done
        done += 1
        tell(min(99, begin + (100 - begin) * done // total), 100)

    placed = list(enumerate(lines.entries))
    told = sorted(
        survived(check_told(root / DATA, placed, tools, one_done), len(placed)),
        key=lambda each: each[0],
    )
    rest = LeftOut(lines.entries)
    for _, finding in told:
        if lines.left_out and not rest.holds(finding):
            detail = f"{finding.detail} (lines were left out, which may be why)"
            yield Finding("note", finding.code, finding.where, detail)
        else:
            yield finding


def _check_told_files(
    root: Path, shown: tuple[Entry, ...], start: object, version: str
) -> Iterator[Finding]:
    """Find a table or a drawing that is not what the lines give."""
    if not isinstance(start, JobStarted):
        return
    try:
        files = told_files(shown)
    except Exception as error:
        if is_passing(error):
            raise
        # A stranger's lines may bring about anything.
        detail = f"table and drawings can't be made of the lines: {error}"
        yield Finding("altered", "table-unmade", "ledger", detail)
        return
    severity: Severity = "differs" if version and start.version != version else "altered"
    there = {f"{LAYERS}/{path.name}" for path in (root / DATA / LAYERS).glob("*")}
    for name in sorted(there - files.keys()):
        yield Finding("altered", "drawing-strange", name, "no line of the ledger has these marks")
    for name, text in files.items():
        if _bytes_of(root / DATA / name) != text.encode():
            yield Finding(severity, "table-differs", name, "it is not what the lines give")


def _bytes_of(path: Path) -> bytes:
    try:
        return content(path)
    except BadPack:
        return b""
