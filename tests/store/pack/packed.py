"""A small book and its pack, and what a forger does to one: change files, make the bag anew."""

import hashlib
import shutil
import subprocess
import zipfile
from pathlib import Path
from typing import Any

from store.book import Book, Kept
from store.evidence import Marked, OwnerSaid, PaperKept
from store.pack.own_keys import OwnKeys
from store.pack.packing import write_pack
from store.pack.signature import sign
from store.pack.signing_key import SigningKey, read_key
from store.signing.certificate import report_key
from store.written import acts
from tests.store.small_job import (
    WHO,
    answer,
    file_photo,
    marks,
    new_book,
    reading,
)

AT = "2026-03-05T16:40:00+01:00"
VERSION = "0.1.0"
OIL_HOLE, FITTED, SHEET = b"an oil hole, say", b"a lid, fitted", b"what the machine shop wrote"


def make_key(folder: Path, name: str = "key", kind: str = "ed25519") -> Path:
    """Return a private key made by ssh-keygen itself."""
    command = ["ssh-keygen", "-q", "-t", kind, "-N", "", "-C", "test", "-f", str(folder / name)]
    subprocess.run(command, check=True, capture_output=True)
    return folder / name


def small_book(root: Path) -> Book:
    """Return an open book with photos, a paper, marks, readings, a strike and the owner's words."""
    book = new_book(root)
    acts.record_marks(book, marks(file_photo(book, "OH2", "with scale", OIL_HOLE)), **WHO)
    acts.record_reading(book, reading("P3.bore", 20.0), **WHO)
    acts.record_reading(book, reading("P3.plug", 20.3), **WHO)
    acts.strike(book, book.round().check("P3.plug").attempts[0].stamp.entry, "misread", **WHO)
    acts.record_reading(book, reading("P3.plug", 20.1), **WHO)
    acts.record_reading(book, answer("P3.clean", said=True), **WHO)
    acts.record_reading(book, reading("OH2.deep", 5.12, half_step=0.05), **WHO)
    file_photo(book, "P3", content=FITTED)
    keep_paper(book, SHEET)
    book.append(OwnerSaid("told", "one plug wept before", "by phone"), **WHO)
    return book


def keep_paper(book: Book, content: bytes) -> None:
    def describe(kept: Kept) -> PaperKept:
        return PaperKept(kept.photo, "txt", kept.bytes_count, "sheet.txt", "the shop's sheet")

    book.keep_paper(_stream(content), "txt")
    book.add_paper(_stream(content), "txt", describe, **WHO)


def _stream(content: bytes) -> Any:
    from io import BytesIO  # noqa: PLC0415 - beside its use

    return BytesIO(content)


def marked_entry(book: Book) -> str:
    return next(e.hash for e in book.entries() if isinstance(e.evidence, Marked))


def packed(book: Book, target: Path, key: Path, **changes: Any) -> Path:
    """Write a pack of a book at the usual time."""
    values: dict[str, Any] = {"at": AT, "version": VERSION, "keys": both_keys(key)} | changes
    return write_pack(book, target, **values)


def both_keys(key: Path) -> OwnKeys:
    """Return a private key, and a key for reports that is kept beside it."""
    return OwnKeys(read_key(key), report_key(key.parent, "Tamm & Daughter"))


def rebag(pack: Path, key: SigningKey) -> None:
    """Make the manifests of a pack's folder anew and sign them: a forger with a key of his own."""
    payload = sorted(p for p in (pack / "data").rglob("*") if p.is_file())
    size = sum(p.stat().st_size for p in payload)
    info = (pack / "bag-info.txt").read_text().splitlines()
    info = [f"Payload-Oxum: {size}.{len(payload)}" if "Oxum" in line else line for line in info]
    (pack / "bag-info.txt").write_text("".join(f"{line}\n" for line in info))
    (pack / "manifest-sha256.txt").write_text(listing(pack, payload))
    resign(pack / "manifest-sha256.txt", key)
    tags = [p for p in pack.iterdir() if p.is_file() and not p.name.startswith("tagmanifest")]
    (pack / "tagmanifest-sha256.txt").write_text(listing(pack, sorted(tags)))
    resign(pack / "tagmanifest-sha256.txt", key)


def listing(pack: Path, files: list[Path]) -> str:
    return "".join(
        f"{hashlib.sha256(p.read_bytes()).hexdigest()}  {p.relative_to(pack).as_posix()}\n"
        for p in files
    )


def resign(path: Path, key: SigningKey) -> None:
    path.with_name(path.name + ".sig").write_text(sign(path.read_bytes(), key))


def unzipped(pack: Path, folder: Path) -> Path:
    """Return the one folder in a zip, unpacked by the library."""
    with zipfile.ZipFile(pack) as archive:
        archive.extractall(folder)
    (top,) = folder.iterdir()
    return top


def copy_of(pack: Path, target: Path) -> Path:
    return Path(shutil.copytree(pack, target))
