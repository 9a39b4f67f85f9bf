"""A tiny pack is kept of each version that packs otherwise, and verified for ever.

``benchproof pack`` of that version made each once, of the book that is kept beside it; none is ever
made anew. A test that fails here says that packs in customers' hands are no longer believed.
"""

import hashlib
import shutil
import subprocess
import zipfile
from pathlib import Path

import pytest

from capture.verifying import verify_pack
from store.book import Book
from store.copies.merge import merge
from store.copies.other_copy import Checks
from store.pack.report_check import verify_report
from tests.store.pack.packed import unzipped
from tests.store.pack.test_how_to_check import is_calm
from tests.store.small_job import WHO

FORMATS = Path(__file__).parents[1] / "formats"
# Every pack that is kept: its SHA-256, and the fingerprints that its shop told in another way.
KEPT = {
    "format-2/pack-0.2.0.zip": (
        "87ce51dff5c2ac632a610d8c2908bac4b6737b4373094575e7a997cf9ec0b4ee",
        "SHA256:75Cey8VrL9So/MT62VoIrXkP4rOvtgzxNkQnHy13E7s",
        "b0067e4df038b7c23442607aeb74374c05f3e32e9c6b03b6929c2cad084f5c7d",
    )
}

LATER = Checks(
    pack=lambda root, tell: verify_pack(
        root, version="a later one", progress=tell, with_report=False
    )
)


@pytest.fixture(params=KEPT)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def test_they_are_the_bytes_that_were_handed_over() -> None:
    there = sorted(FORMATS.glob("format-*/*.zip"))
    now = {
        path.relative_to(FORMATS).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in there
    }
    assert now == {name: sums[0] for name, sums in KEPT.items()}


def test_a_later_version_believes_it(name: str) -> None:
    """Measured again a number may differ, which is told; the report can't be set again."""
    found = verify_pack(FORMATS / name, version="a later one")
    assert [f for f in found if f.severity in {"altered", "damaged", "unread"}] == []
    assert [f.detail for f in found if f.code == "signing-key" and KEPT[name][1] in f.detail]
    assert "report-not-compared" in {f.code for f in found}


def test_its_report_holds_by_itself(name: str, tmp_path: Path) -> None:
    pack = unzipped(FORMATS / name, tmp_path / "pack")
    (note,) = verify_report(pack / "data" / "report.pdf")
    assert (note.severity, note.code) == ("note", "report-signer")
    assert KEPT[name][2] in note.detail


def test_a_stranger_checks_it_as_its_own_page_says(name: str, tmp_path: Path) -> None:
    pack = unzipped(FORMATS / name, tmp_path / "pack")
    assert is_calm(pack)
    ledger = pack / "data" / "chains" / "north" / "ledger.jsonl"
    ledger.write_bytes(ledger.read_bytes().replace(b"green, batch 7", b"green, batch 8"))
    assert not is_calm(pack)
    listed = ["sha256sum", "--quiet", "-c", "manifest-sha256.txt"]
    assert subprocess.run(listed, cwd=pack, capture_output=True, check=False).returncode == 1


def test_a_change_to_it_is_found(name: str, tmp_path: Path) -> None:
    pack = Path(shutil.copy(FORMATS / name, tmp_path / "pack.zip"))
    content = pack.read_bytes()
    assert content.count(b"green, batch 7") >= 1
    pack.write_bytes(content.replace(b"green, batch 7", b"green, batch 8"))
    found = verify_pack(pack, version="a later one", with_report=False)
    assert "altered" in {f.severity for f in found}


def test_it_is_taken_in_by_a_copy_of_its_book(name: str, tmp_path: Path) -> None:
    """A photo that has been lost comes back from it, and no line is new."""
    book = Path(shutil.copytree((FORMATS / name).parent / "book", tmp_path / "book"))
    (photo,) = (book / "photos").rglob("*.jpg")
    photo.unlink()
    with Book.open(book) as opened:
        before = opened.entries()
        done = merge(opened, FORMATS / name, checks=LATER, **WHO)
        assert (done.taken, done.photos) == ({}, 1)
        assert opened.entries() == before
    with zipfile.ZipFile(FORMATS / name) as archive:
        (kept,) = (each for each in archive.namelist() if each.endswith(photo.name))
        assert photo.read_bytes() == archive.read(kept)
