"""What is done to a pack is found by verify in plain words, and by the tools of HOW-TO-CHECK.txt.

Beside each tampering stand the words of verify, the steps of HOW-TO-CHECK.txt that complain (their
commands are run as they are printed), and whether an independent reader of bags, bagit.py, refuses
it. A pack with a line left out is tampered with in all the same ways.
"""

import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from store.evidence import OwnerSaid
from store.finding import Finding
from store.pack.inspection import verify_pack
from store.pack.signature import SUFFIX
from store.pack.signing_key import read_key
from store.written import acts
from tests.store import small_job
from tests.store.pack.conformance import wrong_by_bagit
from tests.store.pack.packed import copy_of, make_key, packed, resign, small_book
from tests.store.pack.test_how_to_check import run
from tests.store.small_job import WHO, file_photo, new_book, reading

CHAIN = "data/chains/north"
MANIFEST, TAGS = "manifest-sha256.txt", "tagmanifest-sha256.txt"
WHO_SIGNED, FILES, CHAINS, PHOTOS = 1, 2, 3, 4


class Packs(NamedTuple):
    """The pack that is tampered with, and one of another job of the same shop, same key."""

    mine: Path
    other: Path
    key: Path


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Packs:
    root = tmp_path_factory.mktemp("packs")
    key = make_key(root)
    with small_book(root / "book") as book:
        packed(book, root / "first", key)
        book.append(OwnerSaid("told", "collected", "in person"), **WHO)
        packed(book, root / "whole", key)
        said = [entry.hash for entry in book.entries() if entry.kind == "owner said"]
        packed(book, root / "redacted", key, leave_out=said[:1])
    with new_book(root / "other-book") as other:
        acts.record_reading(other, reading("P3.bore", 19.0), **WHO)
        file_photo(other, "P3", content=b"another engine")
        packed(other, root / "other", key)
    return Packs(root, root / "other", key)


@pytest.fixture
def whole(made: Packs, tmp_path: Path) -> Packs:
    return Packs(copy_of(made.mine / "whole", tmp_path / "pack"), made.other, made.key)


@pytest.fixture
def redacted(made: Packs, tmp_path: Path) -> Packs:
    return Packs(copy_of(made.mine / "redacted", tmp_path / "pack"), made.other, made.key)


def check(pack: Path) -> list[Finding]:
    found = verify_pack(pack, measure=small_job.measure)
    return [each for each in found if each.severity in {"altered", "damaged"}]


def complaining(pack: Path) -> set[int]:
    """Return the steps of HOW-TO-CHECK.txt that say something else than they are to say.

    The text is that of the sound pack: it came another way, as it asks to.
    """
    root = (pack / CHAIN / "checkpoint").read_text().splitlines()[2]
    expected = ["", "", f"{root}  -\n", ""]
    said = [each.calm for each in run(pack)]
    return {n for n, (one, due) in enumerate(zip(said, expected, strict=True), 1) if one != due}


Change = Callable[[Packs], object]


def photo_in(pack: Path) -> Path:
    return min((pack / "data/photos").rglob("*.jpg"))


def rewrite(name: str, change: Callable[[bytes], bytes]) -> Change:
    def tamper(packs: Packs) -> None:
        path = packs.mine / name
        before = path.read_bytes()
        path.write_bytes(change(before))
        assert path.read_bytes() != before

    return tamper


def lines(change: Callable[[list[bytes]], list[bytes]]) -> Callable[[bytes], bytes]:
    return lambda content: b"".join(change(content.splitlines(keepends=True)))


def borrow(*names: str) -> Change:
    """Put files or folders of another job's pack in the place of this one's."""

    def tamper(packs: Packs) -> None:
        for name in names:
            target, source = packs.mine / name, packs.other / name
            if source.is_dir():
                shutil.rmtree(target)
                shutil.copytree(source, target)
            else:
                shutil.copy(source, target)

    return tamper


def borrow_a_line(packs: Packs) -> None:
    path = packs.mine / CHAIN / "ledger.jsonl"
    mine = path.read_bytes().splitlines(keepends=True)
    theirs = (packs.other / CHAIN / "ledger.jsonl").read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join([*mine[:2], theirs[1], *mine[3:]]))


def borrow_a_photo(packs: Packs) -> None:
    shutil.copy(photo_in(packs.other), photo_in(packs.mine))


def swap_photos(packs: Packs) -> None:
    one, other = sorted((packs.mine / "data/photos").rglob("*.jpg"))[:2]
    content = one.read_bytes()
    one.write_bytes(other.read_bytes())
    other.write_bytes(content)


def flip_a_photo(packs: Packs) -> None:
    path = photo_in(packs.mine)
    path.write_bytes(bytes([path.read_bytes()[0] ^ 1]) + path.read_bytes()[1:])


def cut_a_photo(packs: Packs) -> None:
    path = photo_in(packs.mine)
    path.write_bytes(path.read_bytes()[:-1])


def put(name: str) -> Change:
    return lambda packs: (packs.mine / name).write_text("x")


def drop(name: str) -> Change:
    return lambda packs: (packs.mine / name).unlink()


def older(packs: Packs) -> Path:
    return min(p for p in (packs.mine / CHAIN / "older").iterdir() if p.suffix != SUFFIX)


def drop_an_older_checkpoint(packs: Packs) -> None:
    path = older(packs)
    path.with_name(path.name + SUFFIX).unlink()
    path.unlink()


def sign_something_else(packs: Packs) -> None:
    """A signature of the right key, over another file of the same pack."""
    resign(packs.mine / "bagit.txt", read_key(packs.key))
    shutil.move(packs.mine / "bagit.txt.sig", packs.mine / (MANIFEST + SUFFIX))


# What is done -> a finding of verify (where, words), the steps that complain, does bagit.py refuse.
CHANGED = "its bytes are not those that were packed"
LEDGER = f"{CHAIN}/ledger.jsonl"
TAMPERED: dict[str, tuple[Change, str, str, set[int], bool]] = {
    "a photo with one bit flipped": (
        flip_a_photo, "data/photos/", CHANGED, {FILES, PHOTOS}, True,
    ),
    "a photo cut off": (cut_a_photo, "data/photos/", CHANGED, {FILES, PHOTOS}, True),
    "a photo gone": (
        lambda packs: photo_in(packs.mine).unlink(),
        "data/photos/", "manifest-sha256.txt lists it, and it is gone", {FILES}, True,
    ),
    "two photos in each other's place": (
        swap_photos, "data/photos/", CHANGED, {FILES, PHOTOS}, True,
    ),
    "a photo of another job under this one's name": (
        borrow_a_photo, "data/photos/", CHANGED, {FILES, PHOTOS}, True,
    ),
    "a figure in a line": (
        rewrite(LEDGER, lambda b: b.replace(b"20.1 mm", b"20.2 mm")),
        "north ", "the entry is not the one that was hashed", {FILES, CHAINS}, True,
    ),
    "the last line gone": (
        rewrite(LEDGER, lines(lambda all_: all_[:-1])),
        "north ", "the line is gone, and not listed as left out", {FILES, CHAINS}, True,
    ),
    "the ledger cut off": (
        rewrite(LEDGER, lambda b: b[:-40]), "north ", "not a record", {FILES, CHAINS}, True,
    ),
    "two lines turned round": (
        rewrite(LEDGER, lines(lambda a: [a[0], a[2], a[1], *a[3:]])),
        "north 2", "the row holds the entry north 3", {FILES, CHAINS}, True,
    ),
    "a line twice": (
        rewrite(LEDGER, lines(lambda all_: [*all_, all_[-1]])),
        "north ledger.jsonl", "lines that hashes.txt does not list", {FILES, CHAINS}, True,
    ),
    "a line of another job": (
        borrow_a_line,
        "north 3", "the entry is not the one that was hashed", {FILES, CHAINS}, True,
    ),
    "the last hash gone": (
        rewrite(f"{CHAIN}/hashes.txt", lines(lambda all_: all_[:-1])),
        f"{CHAIN}/checkpoint", "lines, there are", {FILES, CHAINS}, True,
    ),
    "the whole chain of another job": (
        borrow(CHAIN), f"{CHAIN}/hashes.txt", CHANGED, {FILES, PHOTOS}, True,
    ),
    "the manifest of another job, with its signature": (
        borrow(MANIFEST, MANIFEST + SUFFIX), MANIFEST, CHANGED, {FILES}, True,
    ),
    "both manifests of another job, with their signatures": (
        borrow(MANIFEST, MANIFEST + SUFFIX, TAGS, TAGS + SUFFIX),
        "bag-info.txt", CHANGED, {FILES}, True,
    ),
    "the checkpoint of another job, with its signature": (
        borrow(f"{CHAIN}/checkpoint", f"{CHAIN}/checkpoint.sig"),
        f"{CHAIN}/checkpoint", "a FORK, history was rewritten since", {FILES, CHAINS}, True,
    ),
    "an older checkpoint gone": (
        drop_an_older_checkpoint,
        f"{CHAIN}/older/", "manifest-sha256.txt lists it, and it is gone", {FILES}, True,
    ),
    "the table": (
        rewrite("data/readings.csv", lambda b: b.replace(b"20.1", b"20.4")),
        "readings.csv", "it is not what the lines give", {FILES}, True,
    ),
    "a drawing": (
        rewrite("data/layers/north-000003.svg", lambda b: b.replace(b"46.", b"47.")),
        "layers/north-000003.svg", "it is not what the lines give", {FILES}, True,
    ),
    "the way to check": (
        rewrite("data/HOW-TO-CHECK.txt", lambda b: b.replace(b"Expect", b"Accept")),
        "data/HOW-TO-CHECK.txt", CHANGED, {FILES}, True,
    ),
    "a file added to the payload": (
        put("data/note.txt"), "data/note.txt", "does not list it: it was added", {FILES}, True,
    ),
    "a file added beside it": (
        put("note.txt"), "note.txt", "does not list it: it was added", {FILES}, False,
    ),
    "a file gone": (
        drop("data/readings.csv"),
        "data/readings.csv", "manifest-sha256.txt lists it, and it is gone", {FILES}, True,
    ),
    "a signature gone": (
        drop(TAGS + SUFFIX),
        TAGS, "its signature does not hold: tagmanifest-sha256.txt.sig is gone",
        {WHO_SIGNED, FILES}, False,
    ),
    "a signature over something else": (
        sign_something_else, MANIFEST, "one of the two was changed", {WHO_SIGNED, FILES}, True,
    ),
    "something after a signature": (
        rewrite(TAGS + SUFFIX, lambda b: b + b"all is well\n"),
        TAGS, "it is not base64 between two marks", {FILES}, False,
    ),
    "the label": (
        rewrite("bag-info.txt", lambda b: b.replace(b"K-118", b"K-119")),
        "bag-info.txt", CHANGED, {FILES}, True,
    ),
    "the declaration": (
        rewrite("bagit.txt", lambda b: b.replace(b"1.0", b"0.97")),
        "bagit.txt", "not the two lines of a BagIt 1.0 bag", {FILES}, True,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", ["whole", "redacted"])
def test_a_sound_pack_is_calm_in_the_eyes_of_all(made: Packs, name: str) -> None:
    assert check(made.mine / name) == []
    assert complaining(made.mine / name) == set()
    assert wrong_by_bagit(made.mine / name) == ""


@pytest.mark.parametrize("name", TAMPERED)
def test_it_is_found_and_named_by_us_and_by_others(whole: Packs, name: str) -> None:
    tamper, where, words, steps, is_refused = TAMPERED[name]
    tamper(whole)
    found = check(whole.mine)
    assert any(f.where.startswith(where) and words in f.detail for f in found), found
    assert complaining(whole.mine) == steps
    assert bool(wrong_by_bagit(whole.mine)) == is_refused


@pytest.mark.parametrize("name", TAMPERED)
def test_it_is_found_although_a_line_was_left_out(redacted: Packs, name: str) -> None:
    tamper, where, words, *_ = TAMPERED[name]
    tamper(redacted)
    found = check(redacted.mine)
    assert any(f.where.startswith(where) and words in f.detail for f in found), found


@pytest.mark.parametrize("share", [0.0, 0.2, 0.5, 0.8, 0.99])
def test_a_zip_that_is_cut_off_is_refused(made: Packs, tmp_path: Path, share: float) -> None:
    with small_book(tmp_path / "book") as book:
        whole = packed(book, tmp_path / "pack.zip", made.key).read_bytes()
    cut = tmp_path / "cut.zip"
    cut.write_bytes(whole[: int(len(whole) * share)])
    if share:
        (found,) = check(cut)
        assert found.code == "pack-refused"
        assert re.search("cut off", found.detail)
