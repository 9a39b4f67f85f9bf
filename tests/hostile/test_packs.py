"""Packs made to do harm are refused with a reason, by verify and by merge, and write nothing.

The heaviest, and limits of memory and time, are left to ``python -m tests.hostile.packs``.
"""

import re
import sqlite3
import tempfile
import unicodedata
from contextlib import suppress
from pathlib import Path

import pytest

from capture.readings import reread
from store.book import Book
from store.copies.merge import merge
from store.errors import NotAPack, StoreError
from store.pack import lines
from store.pack.inspection import verify_pack
from store.pack.signing_key import read_key
from tests.capture.command import Done, run
from tests.hostile.pack_cases import CASES, SOUND, copied, random_zips, tiny_entries
from tests.hostile.packs import REFUSED, everything_in
from tests.hostile.sound_book import sound_book
from tests.store.pack.packed import make_key
from tests.store.pack.test_hostile import HOSTILE

HEAVY = {
    "a manifest of 65 MB", "a line of 100 MB", "a million and one hashes", "20,001 files more",
    "3,000 strikes of strikes", "a picture in the place of another", "a formula of powers",
    "a photo of a billion pixels on paper",  # only the report shows that it was not so
}  # fmt: skip
UNOPENED = [name for name, case in CASES.items() if case.words == SOUND]
LIGHT = [
    name for name, case in CASES.items() if not case.is_marked and name not in {*HEAVY, *UNOPENED}
]


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a book, its sound pack as folder and zip, and a place for temporary files."""
    folder = tmp_path_factory.mktemp("world")
    for name in ("staging", "in"):
        (folder / name).mkdir()
    key = make_key(folder)
    with sound_book(folder / "book") as journey:
        journey.pack(folder / "sound", key_file=key)
        journey.pack(folder / "sound.zip", key_file=key)
    return folder


@pytest.fixture(autouse=True)
def _staging(world: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(world / "staging"))
    monkeypatch.chdir(world)


def refused(world: Path, pack: Path) -> tuple[Done, Done]:
    """Verify and merge a pack; whatever is not a refusal, or leaves a trace, fails here."""
    before = everything_in(world)
    done = run("verify", pack), run("merge", world / "book", pack)
    assert everything_in(world) == before
    for each in done:
        assert each.code in REFUSED, each
        shown = (each.out + each.err).replace("\n", "")
        assert {c for c in shown if unicodedata.category(c) in {"Cc", "Cf"}} == set()
    assert done[1].err.count("\n") == 1  # one sentence, which names the pack
    return done


def test_the_pack_that_they_are_made_of_is_sound(world: Path) -> None:
    """So that the refusals below are of what was put in on purpose."""
    assert run("verify", world / "sound.zip").code == 0
    merged = run("merge", world / "book", world / "sound")
    assert (merged.code, "nothing new" in merged.out) == (0, True)


@pytest.mark.parametrize("name", LIGHT)
def test_a_hostile_pack_is_refused_with_its_reason(world: Path, tmp_path: Path, name: str) -> None:
    """Looked at without the report, which takes seconds to set again."""
    pack = copied(world / "sound", tmp_path / "hostile")
    CASES[name].change(pack, read_key(world / "key"))
    before = everything_in(world)
    found = verify_pack(pack, reparse=reread)
    wrong = [f"{f.where}: {f.detail}" for f in found if f.severity in {"altered", "damaged"}]
    assert re.search(CASES[name].words, "\n".join(wrong)), wrong
    with Book.open(world / "book") as book, pytest.raises(StoreError) as refusal:
        merge(book, pack, at="2026-03-06T08:00:00+01:00", by="R. Tamm")
    assert "hostile" in str(refusal.value)
    assert everything_in(world) == before


@pytest.mark.parametrize("name", UNOPENED)
def test_a_database_in_a_pack_is_never_opened(
    world: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    pack = copied(world / "sound", tmp_path / "hostile")
    CASES[name].change(pack, read_key(world / "key"))

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a database was opened")

    monkeypatch.setattr(sqlite3, "connect", refuse)
    before = everything_in(world)
    assert {f.severity for f in verify_pack(pack, reparse=reread)} == {"note"}
    assert everything_in(world) == before


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_zip_is_merged_no_more_than_it_is_verified(
    world: Path, tmp_path: Path, name: str
) -> None:
    content, words = HOSTILE[name]
    (tmp_path / "hostile.zip").write_bytes(content)
    _, merged = refused(world, tmp_path / "hostile.zip")
    assert re.search(words, merged.err)
    assert merged.err.startswith("benchproof: hostile.zip is refused, and nothing of it was taken")


def test_a_zip_of_very_many_files_is_refused_at_once(world: Path, tmp_path: Path) -> None:
    (tmp_path / "many.zip").write_bytes(tiny_entries(66_000))
    verified, _ = refused(world, tmp_path / "many.zip")
    assert "at most 20000 are taken" in verified.out


def test_a_sound_zip_with_bytes_of_its_headers_changed_is_harmless_or_refused(
    world: Path, tmp_path: Path
) -> None:
    before, codes = everything_in(world), set()
    for content in random_zips((world / "sound.zip").read_bytes(), 40, seed=1):
        (tmp_path / "changed.zip").write_bytes(content)
        with suppress(NotAPack):
            codes.update(finding.code for finding in verify_pack(tmp_path / "changed.zip"))
    assert everything_in(world) == before
    assert "pack-refused" in codes


def test_chains_larger_than_memory_should_hold_are_refused(
    world: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lines, "LARGEST_CHAINS_BYTES", 1000)
    verified, _ = refused(world, world / "sound.zip")
    assert "at most 1000 are taken" in verified.out


def test_there_are_as_many_cases_as_were_promised() -> None:
    assert len(CASES) + len(HOSTILE) >= 90
