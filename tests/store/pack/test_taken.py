"""A merge takes the other copy's checkpoints and branches over, and every later pack has them."""

import errno
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from store.book import Book
from store.branches.forks import fork_folder
from store.copies.copying import copy_book
from store.errors import CannotRead
from store.evidence import Read
from store.pack import taken
from store.pack.checkpoint import (
    checkpoint_of,
    keep_checkpoint,
    kept_checkpoints,
    parse_checkpoint,
    signed,
)
from store.pack.inspection import verify_pack
from store.pack.signing_key import read_key
from store.pack.vouching import check_book_checkpoints
from store.written import acts
from tests.store import small_job
from tests.store.pack.packed import make_key, packed, rebag
from tests.store.pack.test_how_to_check import all_steps, is_calm, print_of
from tests.store.small_job import WHO, file_photo, reading
from tests.store.two_benches import parted, take_in, wrong

Pair = tuple[Book, Book]


@pytest.fixture
def pair(tmp_path: Path) -> Iterator[Pair]:
    """Give two benches' copies of one book; the south has read something and left a pack."""
    north, south = parted(tmp_path)
    acts.record_reading(south, reading("P3.plug", 20.1), **WHO)
    packed(south, tmp_path / "from-south.zip", make_key(tmp_path, "south-key"))
    yield north, south
    north.close()
    south.close()


def loud(pack: Path) -> set[str]:
    found = verify_pack(pack, measure=small_job.measure)
    return {each.code for each in found if each.severity != "note"}


def counts(book: Book, bench: str) -> list[int]:
    return [parse_checkpoint(each.text).entries for each in kept_checkpoints(book.root, bench)]


@pytest.mark.parametrize("other", ["south", "from-south.zip"])
def test_the_other_bench_s_checkpoints_are_kept_here_and_vouch_for_its_chain(
    tmp_path: Path, pair: Pair, other: str
) -> None:
    north, _ = pair
    assert counts(north, "south") == []
    take_in(north, tmp_path / other)
    assert (counts(north, "north"), counts(north, "south")) == ([2], [4])
    assert check_book_checkpoints(north.root) == []
    take_in(north, tmp_path / other)
    assert (counts(north, "north"), counts(north, "south")) == ([2], [4])
    assert wrong(north) == []


def test_a_later_pack_takes_them_along_and_names_their_key(tmp_path: Path, pair: Pair) -> None:
    north, south = pair
    take_in(north, south)
    own = make_key(tmp_path, "north-key")
    pack = packed(north, tmp_path / "pack", own)
    older = [p for p in (pack / "data/chains/south/older").iterdir() if p.suffix != ".sig"]
    assert [parse_checkpoint(p.read_bytes()).entries for p in older] == [4]
    text = (pack / "data/HOW-TO-CHECK.txt").read_text()
    theirs = print_of(tmp_path / "south-key")
    assert text.index(print_of(own)) < text.index("Earlier checkpoints") < text.index(theirs)
    assert "by another whose copy was merged" in text
    assert loud(pack) == set()
    assert is_calm(pack)


def test_an_old_pack_s_history_rewritten_there_is_seen_here(tmp_path: Path, pair: Pair) -> None:
    """A checkpoint of the south, kept by the north: the south's chain may not change any more."""
    north, south = pair
    take_in(north, south)
    pack = packed(north, tmp_path / "pack", make_key(tmp_path, "north-key"))
    path = next(p for p in (pack / "data/chains/south/older").iterdir() if p.suffix != ".sig")
    checkpoint = parse_checkpoint(path.read_bytes())
    forged = signed(
        checkpoint_of("south", checkpoint.job, ["0" * 64, "1" * 64]),
        read_key(tmp_path / "south-key"),
    )
    path.write_bytes(forged.text)
    path.with_name(path.name + ".sig").write_bytes(forged.signature)
    rebag(pack, read_key(tmp_path / "north-key"))
    assert loud(pack) == {"chain-fork"}


def test_what_is_not_signed_or_of_another_job_or_bench_is_passed_over(
    tmp_path: Path, pair: Pair
) -> None:
    north, _ = pair
    key = read_key(tmp_path / "south-key")
    hashes = [entry.hash for entry in north.entries()]
    whole = signed(checkpoint_of("north", "K-118", hashes[:1]), key)
    folder = tmp_path / "source"
    for each in (
        signed(checkpoint_of("north", "another job", hashes[:1]), key),
        signed(checkpoint_of("north", "K-118", ["0" * 64]), key),
        type(whole)(whole.text, signed(checkpoint_of("north", "K-118", hashes), key).signature),
        type(whole)(b"no checkpoint\n", whole.signature),
    ):
        shutil.rmtree(folder, ignore_errors=True)
        (folder / "checkpoints/north").mkdir(parents=True)
        (folder / "checkpoints/north/x").write_bytes(each.text)
        (folder / "checkpoints/north/x.sig").write_bytes(each.signature)
        taken.take_checkpoints(north.root, folder, north.entries(), "K-118")
        assert counts(north, "north") == []
    keep_checkpoint(folder, "north", whole)
    taken.take_checkpoints(north.root, folder, north.entries(), "K-118")
    assert counts(north, "north") == [1]


def test_a_stranger_s_many_checkpoints_do_not_fill_ours(
    tmp_path: Path, pair: Pair, monkeypatch: pytest.MonkeyPatch
) -> None:
    north, _ = pair
    key = read_key(tmp_path / "south-key")
    hashes = [entry.hash for entry in north.entries()]
    for count in range(1, len(hashes) + 1):
        each = signed(checkpoint_of("north", "K-118", hashes[:count]), key)
        keep_checkpoint(tmp_path / "source", "north", each)
    monkeypatch.setattr(taken, "_MOST", 1)
    taken.take_checkpoints(north.root, tmp_path / "source", north.entries(), "K-118")
    assert counts(north, "north") == [len(hashes)]


# forks


@pytest.fixture
def forked(tmp_path: Path, pair: Pair) -> Book:
    """Give the north after a merge with a copy of it that went on otherwise, and left a pack."""
    north, _ = pair
    shutil.copytree(north.root, tmp_path / "copy")
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    with Book.open(tmp_path / "copy") as copy:
        acts.record_reading(copy, reading("P3.plug", 20.3), **WHO)
        file_photo(copy, "P3", content=b"in the other branch only")
        packed(copy, tmp_path / "from-copy.zip", tmp_path / "south-key")
        assert take_in(north, copy).fork is not None
    return north


def folder_of(book: Book) -> Path:
    (folder,) = (book.root / "forks").iterdir()
    return folder


def test_a_checkpoint_of_the_other_branch_is_kept_with_that_branch(forked: Book) -> None:
    assert check_book_checkpoints(forked.root) == []
    (path,) = (p for p in (folder_of(forked) / "checkpoints/north").iterdir() if p.suffix != ".sig")
    assert parse_checkpoint(path.read_bytes()).entries == 6
    assert wrong(forked) == []


def test_such_a_checkpoint_is_verified_copied_and_merged_on(tmp_path: Path, forked: Book) -> None:
    copy_book(forked, tmp_path / "backup", **WHO)
    with Book.open(tmp_path / "south") as south:
        take_in(south, forked)
    for root in (forked.root, tmp_path / "backup", tmp_path / "south"):
        (branch,) = (root / "forks").iterdir()
        (path,) = (p for p in (branch / "checkpoints/north").iterdir() if p.suffix != ".sig")
        assert check_book_checkpoints(root) == []
        text = path.read_bytes()
        path.write_bytes(text.replace(b"K-118", b"K-119"))
        assert [f.code for f in check_book_checkpoints(root)] == ["signature-wrong"]
        path.write_bytes(b"x")
        assert [f.code for f in check_book_checkpoints(root)] == ["checkpoint-changed"]
        path.write_bytes(text)
        lines = branch / "ledger.jsonl"
        lines.write_bytes(lines.read_bytes().replace(b"20.3", b"20.4"))
        assert [f.code for f in check_book_checkpoints(root)] == ["chain-fork"]


def test_a_pack_carries_the_branch_with_its_photo_and_verify_looks_at_it(
    tmp_path: Path, forked: Book
) -> None:
    key = tmp_path / "south-key"
    pack = packed(forked, tmp_path / "pack", key)
    name = folder_of(forked).name
    branch = pack / "data/forks" / name
    assert (branch / "ledger.jsonl").read_bytes() == (
        folder_of(forked) / "ledger.jsonl"
    ).read_bytes()
    assert [p.read_bytes() for p in branch.rglob("*.jpg")] == [b"in the other branch only"]
    found = verify_pack(pack, measure=small_job.measure)
    assert {f.severity for f in found} == {"note"}
    assert "fork" in {f.code for f in found}
    assert is_calm(pack)
    lines = (branch / "ledger.jsonl").read_bytes()
    for spoilt in (lines.replace(b"20.3", b"20.4"), lines.partition(b"\n")[2], b"x" + lines):
        (branch / "ledger.jsonl").write_bytes(spoilt)
        rebag(pack, read_key(key))
        assert "fork-changed" in loud(pack)
        # a shell sees what the first line is; what follows it is for verify
        if not spoilt.startswith(lines[:40]):
            (step,) = (step for step in all_steps(pack) if "data/forks" in step)
            said = subprocess.run(["bash", "-c", step], cwd=pack, capture_output=True, check=True)
            assert b"was changed" in said.stdout
    (branch / "ledger.jsonl").write_bytes(lines)
    kept = next(p for p in (branch / "checkpoints/north").iterdir() if p.suffix != ".sig")
    kept.write_bytes(kept.read_bytes().replace(b"K-118", b"K-119"))
    rebag(pack, read_key(key))
    assert loud(pack) == {"signature-wrong"}
    next(branch.rglob("*.jpg")).unlink()
    rebag(pack, read_key(key))
    assert "fork-file-missing" in loud(pack)


def test_who_merges_such_a_pack_has_the_branch_too(tmp_path: Path, forked: Book) -> None:
    pack = packed(forked, tmp_path / "pack", tmp_path / "south-key")
    with Book.open(tmp_path / "south") as south:
        take_in(south, pack)
        (fork,) = (folder for folder in (south.root / "forks").iterdir())
        assert fork.name == folder_of(forked).name
        assert (fork / "ledger.jsonl").is_file()
        assert wrong(south) == []


def test_with_lines_left_out_the_branch_stays_at_the_bench(tmp_path: Path, forked: Book) -> None:
    """For a branch tells the same lines again."""
    read = next(entry for entry in forked.entries() if isinstance(entry.evidence, Read))
    pack = packed(forked, tmp_path / "pack", tmp_path / "south-key", leave_out=[read.hash])
    assert not (pack / "data/forks").exists()
    assert loud(pack) == set()
    assert fork_folder(forked.root, fork_of(forked)).is_dir()


def fork_of(book: Book):  # noqa: ANN201 - a head
    return next(
        entry.evidence.fork
        for entry in book.entries()
        if getattr(entry.evidence, "fork", None) is not None
    )


def test_a_checkpoint_that_can_not_be_read_now_is_asked_for_again(
    pair: Pair, monkeypatch: pytest.MonkeyPatch
) -> None:
    north, south = pair

    def fail(_: Path) -> bytes:
        raise OSError(errno.EIO, "Input/output error")

    with monkeypatch.context() as broken:
        broken.setattr(taken, "_small", fail)
        with pytest.raises(CannotRead, match="could not be read now"):
            take_in(north, south)
    assert counts(north, "south") == []
    assert take_in(north, south).is_nothing  # the lines were kept before
    assert counts(north, "south") == counts(south, "south") != []
