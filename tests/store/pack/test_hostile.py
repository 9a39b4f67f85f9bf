"""Hostile packs: refused with the reason, and nothing is written outside a folder thrown away.

Every zip is made by hand here, most with headers that no zip program writes.
"""

import os
import re
import stat
import struct
import subprocess
import sys
import tempfile
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO, NamedTuple

import pytest

from store.errors import BadPack, NotAPack
from store.finding import Finding
from store.pack import staging, zip_entries
from store.pack.inspection import verify_pack
from store.pack.names import check_name, check_names
from tests.store import small_job

HELLO = b"hello\n"


class Entry(NamedTuple):
    """One entry of a zip: what its own header says, and what the directory says of it."""

    name: bytes
    content: bytes = HELLO
    method: int = 0
    flags: int = 0
    mode: int = stat.S_IFREG | 0o644
    size: int | None = None  # as said, not as it is
    packed: bytes | None = None
    other_name: bytes | None = None  # in the local header
    other_size: int | None = None
    offset: int | None = None
    crc: int | None = None
    extra: bytes = b""


GOOD = (Entry(b"p/bagit.txt"), Entry(b"p/data/a.txt"))


def zipped(*entries: Entry, before: bytes = b"", after: bytes = b"", comment: bytes = b"",
           gap: bytes = b"") -> bytes:  # fmt: skip
    """Return a zip of exactly these headers (APPNOTE 6.3: 4.3.7, 4.3.12, 4.3.16)."""
    out, directory = before, b""
    for entry in entries:
        raw = zlib.compress(entry.content, 9)[2:-4] if entry.method == 8 else entry.content
        packed = raw if entry.packed is None else entry.packed
        size = len(entry.content) if entry.size is None else entry.size
        crc = zlib.crc32(entry.content) if entry.crc is None else entry.crc
        name = entry.other_name or entry.name
        offset = len(out) if entry.offset is None else entry.offset
        local_size = size if entry.other_size is None else entry.other_size
        if entry.offset is None:
            out += struct.pack(
                "<4sHHHHHIIIHH", b"PK\x03\x04", 20, entry.flags, entry.method, 0, 33, crc,
                len(packed), local_size, len(name), 0,
            ) + name + packed + gap  # fmt: skip
        directory += struct.pack(
            "<4sHHHHHHIIIHHHHHII", b"PK\x01\x02", 0x031E, 20, entry.flags, entry.method, 0, 33,
            crc, len(packed), size, len(entry.name), len(entry.extra), 0, 0, 0,
            entry.mode << 16, offset,
        ) + entry.name + entry.extra  # fmt: skip
    end = struct.pack(
        "<4sHHHHIIH", b"PK\x05\x06", 0, 0, len(entries), len(entries), len(directory), len(out),
        len(comment),
    )  # fmt: skip
    return out + directory + end + comment + after


def bomb(times: int) -> bytes:
    """Return a zip of many entries that share the same packed bytes."""
    first = Entry(b"p/data/0", b"\0" * 900_000, method=8)
    rest = [first._replace(name=b"p/data/%d" % n, offset=0) for n in range(1, times)]
    return zipped(first, *rest)


def with_directory_bytes(content: bytes, said: int) -> bytes:
    """Return a zip whose end says another size of the directory (APPNOTE 4.3.16)."""
    return content[:-10] + struct.pack("<I", said) + content[-6:]


HOSTILE: dict[str, tuple[bytes, str]] = {
    "a path that leads up": (zipped(*GOOD, Entry(b"p/../../out.txt")), r'"\.\."'),
    "a path that is only dots": (zipped(*GOOD, Entry(b"..")), r'"\.\."'),
    "an absolute path": (zipped(*GOOD, Entry(b"/tmp/out.txt")), "absolute"),
    "a drive": (zipped(*GOOD, Entry(b"C:/out.txt")), "absolute"),
    "a backslash that leads up": (zipped(*GOOD, Entry(b"p\\..\\..\\out.txt")), "letter"),
    "a share": (zipped(*GOOD, Entry(b"\\\\host\\share\\out.txt")), "absolute"),
    "an empty part": (zipped(*GOOD, Entry(b"p//out.txt")), "empty part"),
    "a dot part": (zipped(*GOOD, Entry(b"p/./out.txt")), "empty part"),
    "no name": (zipped(*GOOD, Entry(b"")), "empty part"),
    "a NUL in a name": (zipped(*GOOD, Entry(b"p/data/b.txt\0.jpg")), "NUL"),
    "a line feed in a name": (zipped(*GOOD, Entry(b"p/data/b\n.txt")), "letter"),
    "a letter of another script": (
        zipped(*GOOD, Entry("p/data/bücher.txt".encode(), flags=0x800)), "letter",
    ),
    "a reversed name": (
        zipped(*GOOD, Entry("p/data/\u202egpj.exe".encode(), flags=0x800)), "letter",
    ),
    "a device": (zipped(*GOOD, Entry(b"p/data/AUX")), "reserved"),
    "a device with a suffix": (zipped(*GOOD, Entry(b"p/data/com1.txt")), "reserved"),
    "a dot at the end": (zipped(*GOOD, Entry(b"p/data/a.txt.")), "reserved"),
    "a stream": (zipped(*GOOD, Entry(b"p/data/a.txt:b")), "letter"),
    "a name too long": (zipped(*GOOD, Entry(b"p/" + b"n" * 300)), "too long"),
    "a path too deep": (zipped(*GOOD, Entry(b"p/" + b"d/" * 20 + b"f")), "too deep"),
    "one name twice": (zipped(*GOOD, GOOD[1]), "there twice"),
    "names that differ in case": (zipped(*GOOD, Entry(b"p/data/A.TXT")), "case only"),
    "folders that differ in case": (zipped(*GOOD, Entry(b"p/Data/b.txt")), "case only"),
    "a file that is a folder too": (zipped(*GOOD, Entry(b"p/data")), "file and a folder"),
    "a link": (zipped(*GOOD, Entry(b"p/data/l", b"/etc", mode=stat.S_IFLNK | 0o777)), "link"),
    "a device file": (zipped(*GOOD, Entry(b"p/data/l", mode=stat.S_IFCHR | 0o666)), "link"),
    "a folder that is a link": (
        zipped(*GOOD, Entry(b"p/l/", b"", mode=stat.S_IFLNK | 0o777)), "link",
    ),
    "an encrypted file": (zipped(*GOOD, Entry(b"p/data/b", flags=1)), "encrypted"),
    "another way of packing": (zipped(*GOOD, Entry(b"p/data/b", method=12)), "packed in a way"),
    "a second name": (
        zipped(*GOOD, Entry(b"p/data/b", extra=b"\x75\x70\x05\x00\x01\0\0\0\0")), "second name",
    ),
    "another name in its own header": (
        zipped(*GOOD, Entry(b"p/data/b", other_name=b"p/../b")), "called otherwise",
    ),
    "another size in its own header": (
        zipped(*GOOD, Entry(b"p/data/b", other_size=7)), "another size",
    ),
    "a stored file of two sizes": (zipped(*GOOD, Entry(b"p/data/b", size=5000)), "two sizes"),
    "more bytes than declared": (
        zipped(*GOOD, Entry(b"p/data/b", b"x" * 5000, method=8, size=40)), "damaged|declared",
    ),
    "fewer bytes than declared": (
        zipped(*GOOD, Entry(b"p/data/b", b"x" * 5000, method=8, size=9000)), "declared|damaged",
    ),
    "bytes that are not deflated": (
        zipped(*GOOD, Entry(b"p/data/b", method=8, packed=b"\xff" * 6)), "damaged",
    ),
    "a wrong checksum": (zipped(*GOOD, Entry(b"p/data/b", crc=1)), "damaged"),
    "a bomb": (zipped(*GOOD, Entry(b"p/data/b", b"\0" * 50_000_000, method=8)), "times its size"),
    "a bomb of shared bytes": (zipped(*GOOD) + bomb(2), "share bytes|between"),
    "many files of the same bytes": (bomb(3), "times its size|share bytes|between"),
    "a file within another": (
        zipped(*GOOD, GOOD[0]._replace(name=b"p/b", offset=0)), "otherwise|share",
    ),
    "a file that is not there": (zipped(*GOOD, Entry(b"p/b", offset=3)), "share|not where"),
    "a file behind the end": (zipped(*GOOD, Entry(b"p/b", offset=10**6)), "between|not where"),
    "bytes between the files": (zipped(*GOOD, gap=b"hidden"), "between|no file"),
    "bytes before": (zipped(*GOOD, before=b"MZ hidden"), "between"),
    "bytes after": (zipped(*GOOD, after=b"hidden"), "after its end"),
    "a comment": (zipped(*GOOD, comment=b"hidden"), "after its end|comment"),
    "cut off": (zipped(*GOOD)[:-5], "cut off"),
    "a folder with bytes": (zipped(*GOOD, Entry(b"p/d/", HELLO, mode=stat.S_IFDIR)), "with bytes"),
    "a directory said to be huge": (with_directory_bytes(zipped(*GOOD), 0x7FFFFFF0), "larger than"),
    "a directory said to be larger than the file": (
        with_directory_bytes(zipped(*GOOD), 5000), "contradicts|between",
    ),
    "a size over the cap": (
        zipped(*GOOD, Entry(b"p/data/b", method=8, size=0xFFFFFFFE)), "at most",
    ),
}  # fmt: skip


def refusal(path: Path) -> Finding:
    found = verify_pack(path, measure=small_job.measure)
    (refused,) = [finding for finding in found if finding.code == "pack-refused"]
    assert refused.severity == "altered"
    return refused


def everything_below(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*")}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_zip_is_refused_and_writes_nothing_outside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    content, words = HOSTILE[name]
    inner = tmp_path / "deep" / "deeper"
    inner.mkdir(parents=True)
    (inner / "hostile.zip").write_bytes(content)
    monkeypatch.setattr(tempfile, "tempdir", str(inner / "staging"))
    (inner / "staging").mkdir()
    before = everything_below(tmp_path)
    monkeypatch.chdir(inner)
    outside = [Path("/tmp/out.txt"), Path("/out.txt")]  # noqa: S108 - where it would escape to
    there = [path.exists() for path in outside]
    refused = refusal(inner / "hostile.zip")
    assert re.search(words, refused.detail), refused.detail
    assert everything_below(tmp_path) == before
    assert [path.exists() for path in outside] == there


def test_there_are_as_many_cases_as_were_promised() -> None:
    assert len(HOSTILE) >= 40


def test_the_maker_of_zips_makes_good_ones_too(tmp_path: Path) -> None:
    """So that the refusals above are of what was put in on purpose."""
    good = (
        *GOOD,
        Entry(b"p/", b"", mode=stat.S_IFDIR | 0o755),
        Entry(b"p/c", b"x" * 999, method=8),
    )
    (tmp_path / "good.zip").write_bytes(zipped(*good))
    zip_entries.check_entries(tmp_path / "good.zip")
    with staging.staged(tmp_path / "good.zip", lambda _done, _of: None) as root:
        assert everything_below(root) == {"bagit.txt", "data", "data/a.txt", "c"}
        assert (root / "c").read_bytes() == b"x" * 999
        kept = root
    assert not kept.exists()


@pytest.mark.parametrize("flags", [0, 0x08])
def test_zips_of_other_programs_are_taken(tmp_path: Path, flags: int) -> None:
    """A customer may pack the folder anew: Python's library, streaming or not."""
    path = tmp_path / "again.zip"
    with (
        path.open("wb") as file,
        zipfile.ZipFile(_Unseekable(file) if flags else file, "w", zipfile.ZIP_DEFLATED) as archive,
    ):
        archive.writestr("p/bagit.txt", HELLO)
        archive.writestr("p/data/a.txt", HELLO * 1000)
    zip_entries.check_entries(path)
    with staging.staged(path, lambda _done, _of: None) as root:
        assert (root / "data/a.txt").read_bytes() == HELLO * 1000


class _Unseekable:
    """A file that can only be written on: zipfile then puts sizes behind the bytes."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file

    def write(self, data: bytes) -> int:
        return self._file.write(data)

    def flush(self) -> None:
        self._file.flush()


def large_end(directory_bytes: int, offset: int | None = None) -> bytes:
    """Return a zip with the end records of one over 4 GB, too (APPNOTE 4.3.14, 4.3.15)."""
    plain = zipped(*GOOD)
    body, end = plain[:-22], plain[-22:]
    begin = struct.unpack("<I", end[16:20])[0]
    large = struct.pack(
        "<4sQHHIIQQQQ", b"PK\x06\x06", 44, 45, 45, 0, 0, 2, 2, directory_bytes, begin
    )
    locator = struct.pack("<4sIQI", b"PK\x06\x07", 0, len(body) if offset is None else offset, 1)
    return body + large + locator + end


def test_the_end_of_a_zip_over_4_gb_is_believed_no_more_than_another(tmp_path: Path) -> None:
    path = tmp_path / "large.zip"
    plain = zipped(*GOOD)
    right = struct.unpack("<I", plain[-10:-6])[0]
    path.write_bytes(large_end(right))
    zip_entries.check_entries(path)
    for content in (large_end(0x7FFFFFFFFFFF), large_end(right + 40), large_end(right, 10**12)):
        path.write_bytes(content)
        with pytest.raises(BadPack):
            zip_entries.check_entries(path)


def test_too_many_files_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(zip_entries, "MOST_FILES", 3)
    many = [Entry(b"p/data/%d" % n) for n in range(9)]
    (tmp_path / "many.zip").write_bytes(zipped(*GOOD, *many))
    assert "at most 3" in refusal(tmp_path / "many.zip").detail


def test_too_many_bytes_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(zip_entries, "LARGEST_PACK_BYTES", 10)
    (tmp_path / "large.zip").write_bytes(zipped(*GOOD))
    assert "at most 10" in refusal(tmp_path / "large.zip").detail


@pytest.mark.parametrize("entries", [(Entry(b"p/a.txt"),), (Entry(b"a/x"), Entry(b"b/y")), ()])
def test_a_zip_of_something_else_is_no_pack(tmp_path: Path, entries: tuple[Entry, ...]) -> None:
    (tmp_path / "other.zip").write_bytes(zipped(*entries))
    with pytest.raises(NotAPack):
        verify_pack(tmp_path / "other.zip", measure=small_job.measure)


# Folders.


def link(pack: Path) -> None:
    (pack / "data" / "more").symlink_to("/etc")


def hanging_link(pack: Path) -> None:
    (pack / "data" / "more").symlink_to("/nowhere/at/all")


def link_for_a_file(pack: Path) -> None:
    table = pack / "data" / "readings.csv"
    moved = pack.parent / "readings.csv"
    table.rename(moved)
    table.symlink_to(moved)


def pipe(pack: Path) -> None:
    os.mkfifo(pack / "data" / "more")


def strange_name(pack: Path) -> None:
    (pack / "data" / "a\nb").write_text("x")


def case(pack: Path) -> None:
    (pack / "data" / "READINGS.csv").write_text("x")


def reserved(pack: Path) -> None:
    (pack / "data" / "nul.txt").write_text("x")


FOLDERS: tuple[tuple[Callable[[Path], None], str], ...] = (
    (link, "link"), (hanging_link, "link"), (link_for_a_file, "link"), (pipe, "link or a device"),
    (strange_name, "letter"), (case, "case only"), (reserved, "reserved"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("change", "words"), FOLDERS, ids=lambda each: getattr(each, "__name__", "")
)
def test_a_hostile_folder_is_refused(
    pack: Path, change: Callable[[Path], None], words: str
) -> None:
    change(pack)
    assert words in refusal(pack).detail


@pytest.mark.parametrize(
    "name", ["a", "a/b.c", "data/photos/ab/" + "a" * 64 + ".jpg", "con-rod", "x (1)"]
)
def test_plain_names_are_taken(name: str) -> None:
    check_name(name)
    with pytest.raises(BadPack):
        check_names([name, name])


def test_no_database_is_opened(pack: Path) -> None:
    """JSON lines and files only: SQLite is never given a file of a stranger's."""
    code = (
        "import sqlite3, sys\n"
        "def refuse(*_, **__): raise SystemExit('a database was opened')\n"
        "sqlite3.connect = refuse\n"
        "from pathlib import Path\n"
        "from tests.store.small_job import measure\n"
        "from store.pack.inspection import verify_pack\n"
        "print(*(f.code for f in verify_pack(Path(sys.argv[1]), measure=measure)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(pack)],
        cwd=Path(__file__).parents[3], capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (0, "signing-key report-unchecked\n"), done.stderr
