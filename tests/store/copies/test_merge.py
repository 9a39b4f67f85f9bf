"""Merging two benches' copies of one book: a union, the same twice, with every conflict shown.

What is asserted follows from the rules of the ledger (append only, one chain per bench, the latest
arrival counts); there is no outside value in it.
"""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from annotate.quantity import Quantity
from store.book import Book
from store.branches.forks import fork_folder
from store.branches.views import record_of, views
from store.change import CheckAdded, LimitSet, LocationAdded
from store.characteristic import Characteristic, Limit
from store.codec import FIRST_PREV, Entry, decode, encode
from store.copies.copying import copy_book
from store.copies.merge import compare
from store.errors import BadAct, BadPack, Damaged, NotABook, NotAPack, NotProven
from store.evidence import Evidence, Head, Merged, Run
from store.ledger import FILE_NAME
from store.plan import Location
from store.written import acts, bench_acts, plan_acts
from tests.store.forgery import as_rows, lines_of, put_lines, redo
from tests.store.pack.packed import make_key, packed
from tests.store.pack.test_hostile import HOSTILE
from tests.store.small_job import MM, WHO, answer, file_photo, marks, new_book, reading
from tests.store.two_benches import notes, parted, take_in, tree, work, wrong

Pair = tuple[Book, Book]


@pytest.fixture
def pair(tmp_path: Path) -> Iterator[Pair]:
    north, south = parted(tmp_path)
    with north, south:
        yield north, south


def prove(book: Book, plug_mm: float = 20.1) -> None:
    """Prove all that the lid hides."""
    acts.record_reading(book, reading("P3.plug", plug_mm), **WHO)
    acts.record_reading(book, answer("P3.clean", said=True), **WHO)
    file_photo(book, "P3", content=b"a fitted plug, say")


def test_a_merge_is_the_union_of_both(pair: Pair) -> None:
    north, south = pair
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    acts.record_marks(south, marks(file_photo(south, "OH2", "with scale", b"an oil hole")), **WHO)
    both = work(north) | work(south)
    done = take_in(north, south)
    assert done.taken == {"south": 4}  # where it began from, the photo, the marks, their verdict
    assert (done.photos, done.papers, done.settled) == (1, 0, 0)
    assert not done.clashes
    assert [each.key for each in done.handed] == ["OH2.cover"]
    assert work(north) == both
    assert north.missing_photos() == ()
    assert wrong(north) == []
    heads = (north.root / "heads.txt").read_text()
    assert all(f"{b} {n} {h}\n" in heads for b, (n, h) in north.heads().items())


def test_the_same_copy_twice_changes_nothing(pair: Pair) -> None:
    north, south = pair
    prove(south)
    take_in(north, south)
    once = tree(north.root)
    again = take_in(north, south)
    assert again.is_nothing
    assert tree(north.root) == once


def test_a_merge_writes_nothing_to_the_other_copy(pair: Pair) -> None:
    north, south = pair
    prove(south)
    before = tree(south.root)
    take_in(north, south)
    assert tree(south.root) == before


def test_both_ways_round_both_have_all_of_it_and_it_ends(pair: Pair) -> None:
    north, south = pair
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    acts.record_reading(south, reading("OH2.deep", 5.1), **WHO)
    both = work(north) | work(south)
    take_in(north, south)
    take_in(south, north)
    assert work(north) == work(south) == both
    assert states(north) == states(south)
    assert take_in(north, south).is_nothing
    assert take_in(south, north).is_nothing
    assert wrong(north) == wrong(south) == []


def states(book: Book) -> dict[str, tuple[str, Any]]:
    return {check.key: (check.state, check.value) for check in book.round().checks}


def test_what_both_read_is_shown_and_the_last_to_arrive_counts(pair: Pair) -> None:
    north, south = pair
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    acts.record_reading(south, reading("P3.plug", 20.3), **WHO)
    done = take_in(north, south)
    (clash,) = done.clashes
    assert (clash.kind, clash.of) == ("read twice", "P3.plug")
    assert "'20.1 mm' by R. Tamm (north 3)" in clash.words
    assert "'20.3 mm' by R. Tamm (south 2), which arrived last" in clash.words
    # 20.3 - 20.0 is more than 0.16 (the plan's limit): north's within gives way
    assert [(e.key, e.bench) for e in done.handed] == [("P3.plug", "south"), ("P3.nip", "south")]
    assert (done.handed[1].was.state, done.handed[1].now.state) == ("within", "outside")
    take_in(south, north)
    assert south.round().check("P3.nip").state == "within"  # there north's arrived last
    assert wrong(north) == wrong(south) == []


def test_a_reading_here_and_one_there_give_a_value_together(pair: Pair) -> None:
    north, south = pair
    acts.record_reading(north, reading("OH2.deep", 5.12), **WHO)
    acts.record_reading(south, reading("OH2.other", 5.13), **WHO)
    done = take_in(north, south)
    assert done.settled == 1 + 1  # whether the two ends agree, and the verdict on it
    assert north.round().check("OH2.agree").value is not None
    assert wrong(north) == []


def test_a_limit_changed_here_judges_what_was_read_there(pair: Pair) -> None:
    north, south = pair
    limit = Limit("builder's own", at_most=Quantity(5.0, MM))
    plan_acts.change_plan(north, LimitSet("OH2.deep", limit), "a thicker gasket", **WHO)
    acts.record_reading(south, reading("OH2.deep", 5.12), **WHO)
    done = take_in(north, south)
    assert done.settled == 1
    assert north.round().check("OH2.deep").state == "outside"
    assert wrong(north) == []


def test_closed_there_while_it_was_read_otherwise_here(pair: Pair) -> None:
    north, south = pair
    prove(south)
    bench_acts.close(south, "lid", **WHO)
    acts.record_reading(north, reading("P3.bore", 20.3), **WHO)  # the plug would fall in
    done = take_in(north, south)
    # South's own readings are behind it too: whoever closed over them knew them.
    (behind,) = (clash for clash in done.clashes if clash.kind == "behind closed")
    assert behind.words.startswith("P3.bore was read (north ")
    assert wrong(north) == []
    # At south north's reading arrives last: closed, and not proven any more
    told = take_in(south, north)
    kinds = {clash.kind for clash in told.clashes}
    assert {"behind closed", "closed unproven"} <= kinds
    assert south.round().hold("lid").unproven
    assert wrong(south) == []


def test_each_is_judged_by_what_its_bench_knew(pair: Pair) -> None:
    """Closed here and reworked there: neither could have been done after the other."""
    north, south = pair
    prove(north)
    bench_acts.close(north, "lid", **WHO)
    acts.rework(south, ("P3",), "bored out", **WHO)
    acts.record_reading(south, reading("P3.bore", 20.02), **WHO)
    prove(south)
    bench_acts.close(south, "lid", **WHO)
    done = take_in(north, south)
    assert {"hold point twice", "read twice"} <= {clash.kind for clash in done.clashes}
    assert wrong(north) == []
    take_in(south, north)
    assert wrong(south) == []


def test_a_refusal_there_of_what_is_proven_here(pair: Pair) -> None:
    north, south = pair
    prove(north)
    with pytest.raises(NotProven):
        bench_acts.close(south, "lid", **WHO)
    take_in(north, south)
    assert wrong(north) == []
    assert not north.round().hold("lid").unproven


def test_changes_of_the_plan_that_do_not_fit_together_are_shown(pair: Pair) -> None:
    north, south = pair
    for book, name in ((north, "a drain"), (south, "another drain")):
        there = Location(id="D1", name=name, characteristics=(
            Characteristic(id="deep", kind="depth", question="how deep?", unit=MM),
        ))  # fmt: skip
        plan_acts.change_plan(book, LocationAdded(there), "found", **WHO)
        acts.record_reading(book, reading("D1.deep", 3.0), **WHO)
    done = take_in(north, south)
    assert {clash.kind for clash in done.clashes} == {"plan", "read twice"}
    assert north.plan.location("D1").name == "a drain"
    assert wrong(north) == []


def test_a_reading_that_the_other_plan_has_no_use_for_does_not_break_the_book(pair: Pair) -> None:
    north, south = pair
    for book, kind, unit in ((north, "yes-no", "1"), (south, "length", MM)):
        added = Characteristic(id="extra", kind=kind, question="?", unit=unit)  # type: ignore[arg-type]
        plan_acts.change_plan(book, CheckAdded("P3", added), "found", **WHO)
    acts.record_reading(south, reading("P3.extra", 3.0), **WHO)
    acts.record_reading(north, answer("P3.extra", said=True), **WHO)
    done = take_in(north, south)
    assert {clash.kind for clash in done.clashes} == {"plan", "read twice"}
    assert wrong(north) == []


def test_three_benches_through_one_another(tmp_path: Path, pair: Pair) -> None:
    north, south = pair
    acts.record_reading(south, reading("OH2.deep", 5.1), **WHO)
    copy_book(south, tmp_path / "west", bench="west", **WHO)
    with Book.open(tmp_path / "west") as west:
        prove(west)
        bench_acts.close(west, "lid", **WHO)
        acts.record_reading(south, reading("P3.bore", 20.3), **WHO)
        take_in(south, west)  # west is judged inside south's order
        acts.record_reading(north, reading("OH2.other", 5.1), **WHO)
        done = take_in(north, south)
        assert set(done.taken) == {"south", "west"}
        assert wrong(north) == []
        take_in(west, north)
        assert work(west) == work(north)
        assert wrong(west) == []


def test_a_pack_of_the_other_bench_merges_as_its_book_does(tmp_path: Path, pair: Pair) -> None:
    north, south = pair
    prove(south)
    key = make_key(tmp_path)
    shutil.copytree(north.root, tmp_path / "twin")
    for name in ("pack", "pack.zip"):
        packed(south, tmp_path / name, key)
    done = take_in(north, tmp_path / "pack.zip")
    assert done.signed_with.startswith("SHA256:")
    assert done.photos == 1
    assert wrong(north) == []
    for again in (tmp_path / "pack", south.root):
        assert take_in(north, again).is_nothing
    with Book.open(tmp_path / "twin") as twin:
        take_in(twin, south)
        assert work(twin) == work(north)
        assert states(twin) == states(north)
    packed(north, tmp_path / "both.zip", key)  # two chains with a merge in them, in a pack
    assert take_in(south, tmp_path / "both.zip").taken == {}


def test_a_photo_that_is_missing_here_comes_back(pair: Pair) -> None:
    north, south = pair
    prove(south)
    take_in(north, south)
    (photo,) = (north.root / "photos").rglob("*.jpg")
    photo.unlink()
    done = take_in(north, south)
    assert (done.photos, done.taken) == (1, {})
    assert wrong(north) == []


# forks


def test_a_fork_is_reported_and_both_branches_are_kept(tmp_path: Path, pair: Pair) -> None:
    north, _ = pair
    shutil.copytree(north.root, tmp_path / "copy")
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    with Book.open(tmp_path / "copy") as copy:
        acts.record_reading(copy, reading("P3.plug", 20.3), **WHO)
        file_photo(copy, "P3", content=b"in the other branch only")
        lines = [entry.line for entry in copy.entries()[2:]]
        done = take_in(north, copy)
        assert done.fork is not None
        assert (done.fork.there.bench, done.fork.there.seq) == ("north", 3)
        assert done.fork.lines == len(lines) == 4
        assert (done.taken, done.is_nothing) == ({}, False)
        assert done.fork.folder == fork_folder(north.root, done.fork.there)
        assert (done.fork.folder / "ledger.jsonl").read_bytes() == b"".join(lines)
        assert list((done.fork.folder / "photos").rglob("*.jpg"))
        assert wrong(north) == []
        assert "fork" in notes(north)
        assert north.round().check("P3.plug").value == Quantity(
            20.1, MM, u=reading("", 0).quantity.u  # type: ignore[union-attr] # it has one
        )  # fmt: skip
        once = tree(north.root)
        again = take_in(north, copy)
        assert again.is_nothing
        assert tree(north.root) == once
        # it goes on, and so does what is kept of it
        acts.record_reading(copy, reading("OH2.deep", 5.0), **WHO)
        assert not take_in(north, copy).is_nothing
        once = tree(north.root)
        assert take_in(north, copy).is_nothing
        assert tree(north.root) == once
        kept = (done.fork.folder / "ledger.jsonl").read_bytes()
        assert kept == b"".join(entry.line for entry in copy.entries()[2:])
        # from the other side it is the same fork, seen the other way round
        assert take_in(copy, north).fork is not None
        assert wrong(copy) == []
        # which is no work of either, and does not go back and forth
        assert take_in(north, copy).is_nothing
        assert take_in(copy, north).is_nothing
        assert wrong(copy) == wrong(north) == []
    acts.record_reading(north, reading("P3.plug", 20.12), **WHO)  # work goes on
    assert wrong(north) == []


@pytest.mark.parametrize("gone_on", [False, True])
def test_the_end_of_a_branch_cut_off_is_found(tmp_path: Path, pair: Pair, *, gone_on: bool) -> None:
    """The record of the merge names the last line that was set aside; so does each later one."""
    north, _ = pair
    shutil.copytree(north.root, tmp_path / "copy")
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    with Book.open(tmp_path / "copy") as copy:
        acts.record_reading(copy, reading("P3.plug", 20.3), **WHO)
        done = take_in(north, copy)
        if gone_on:
            acts.record_reading(copy, reading("OH2.deep", 5.0), **WHO)
            take_in(north, copy)
        take_in(copy, north)  # a record of its own, whose end no merge here has named
        last = copy.entries()[-2]
    assert done.fork is not None
    path = done.fork.folder / "ledger.jsonl"
    whole = path.read_bytes().splitlines(keepends=True)
    assert whole[-1] == last.line
    for kept in range(1, len(whole)):
        path.write_bytes(b"".join(whole[:kept]))
        findings = wrong(north)
        assert {(each.severity, each.code) for each in findings} == {("altered", "fork-cut")}
        assert f"entry {last.seq} of north" in findings[-1].detail
    path.write_bytes(b"".join(whole))
    assert wrong(north) == []


@pytest.mark.parametrize("spoil", ["line", "photo", "gone"])
def test_the_branch_kept_is_verified(tmp_path: Path, pair: Pair, spoil: str) -> None:
    north, _ = pair
    shutil.copytree(north.root, tmp_path / "copy")
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    with Book.open(tmp_path / "copy") as copy:
        file_photo(copy, "P3", content=b"in the other branch only")
        acts.record_reading(copy, reading("P3.plug", 20.3), **WHO)
        done = take_in(north, copy)
    assert done.fork is not None
    lines = done.fork.folder / "ledger.jsonl"
    (photo,) = done.fork.folder.rglob("*.jpg")
    if spoil == "line":
        lines.write_bytes(lines.read_bytes().replace(b"20.3 mm", b"20.1 mm"))
    elif spoil == "photo":
        photo.chmod(0o644)
        photo.write_bytes(b"another")
    else:
        lines.unlink()
    codes = {finding.code for finding in wrong(north)}
    assert codes == {{"line": "fork-changed", "photo": "fork-file-altered", "gone": "fork-missing"}[
        spoil
    ]}  # fmt: skip


def test_the_other_benches_lines_before_a_fork_are_taken(tmp_path: Path, pair: Pair) -> None:
    north, south = pair
    acts.record_reading(south, reading("OH2.deep", 5.0), **WHO)
    shutil.copytree(north.root, tmp_path / "copy")
    with Book.open(tmp_path / "copy") as copy:
        take_in(copy, south)
        acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
        done = take_in(north, copy)  # north 3 is the merge there, a reading here
    assert done.taken == {"south": 2}
    assert done.fork is not None
    assert north.round().check("OH2.deep").value is not None
    assert wrong(north) == []


# refused


def test_another_job_is_refused(tmp_path: Path, pair: Pair) -> None:
    north, _ = pair
    before = tree(north.root)
    with (
        new_book(tmp_path / "other") as other,
        pytest.raises(BadAct, match=r"another book .job K-118"),
    ):
        take_in(north, other)
    with pytest.raises(BadAct, match="this book itself"):
        take_in(north, north)
    with pytest.raises(NotABook):
        take_in(north, tmp_path / "nowhere")
    assert tree(north.root) == before


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_pack_is_refused_and_nothing_is_written(
    tmp_path: Path, pair: Pair, name: str
) -> None:
    north, _ = pair
    content, why = HOSTILE[name]
    hostile = tmp_path / "hostile.zip"
    hostile.write_bytes(content)
    before = tree(tmp_path)
    with pytest.raises((BadPack, NotAPack), match=why):
        take_in(north, hostile)
    assert tree(tmp_path) == before


@pytest.mark.parametrize("spoil", ["file", "ledger", "line left out"])
def test_a_pack_that_is_not_whole_is_refused(tmp_path: Path, pair: Pair, spoil: str) -> None:
    north, south = pair
    prove(south)
    key = make_key(tmp_path)
    left_out = (south.round().check("P3.clean").attempts[0].stamp.entry,)
    packed(south, tmp_path / "pack", key, leave_out=left_out if spoil == "line left out" else ())
    if spoil == "file":
        (photo,) = (tmp_path / "pack/data/photos").rglob("*.jpg")
        photo.write_bytes(b"another")
    elif spoil == "ledger":
        path = tmp_path / "pack/data/chains/south/ledger.jsonl"
        path.write_bytes(path.read_bytes().replace(b"20.1 mm", b"20.2 mm"))
    before = tree(north.root)
    expected: type[Exception] = BadAct if spoil == "line left out" else BadPack
    with pytest.raises(expected, match=r"left out|not what was written"):
        take_in(north, tmp_path / "pack")
    assert tree(north.root) == before


def test_a_book_that_is_not_what_was_written_is_refused(pair: Pair) -> None:
    north, south = pair
    prove(south)
    redo(south.root, lambda entry: _other_value(entry.evidence))
    before = tree(north.root)
    with pytest.raises(Damaged, match="not what was written, and nothing of it was taken"):
        take_in(north, south.root)
    assert tree(north.root) == before


def _other_value(evidence: Evidence) -> Evidence:
    from msgspec.structs import replace  # noqa: PLC0415 - beside its use

    is_it = getattr(evidence, "key", "") == "P3.plug" and hasattr(evidence, "exact")
    return replace(evidence, exact="20.2") if is_it else evidence  # type: ignore[type-var]


def test_a_copy_that_is_being_written_is_refused(pair: Pair) -> None:
    north, south = pair
    (south.root / f"{FILE_NAME}-journal").write_bytes(b"cut off")
    with pytest.raises(BadAct, match="cut off"):
        take_in(north, south.root)


# the record of a merge


FORGED: dict[str, tuple[Callable[[Merged], Merged], str]] = {
    "counts too many": (lambda m: Merged(m.order, m.heads, m.taken + 90), "counts more lines"),
    "another head": (
        lambda m: Merged(m.order, (Head("east", 1, "0" * 64), *m.heads), m.taken), "last lines",
    ),
    "a line twice": (lambda m: Merged((m.order[0],) * 2, m.heads, m.taken), "leaves out"),
    "a line too many": (
        lambda m: Merged((*m.order[:-1], Run("east", 1, 1)), m.heads, m.taken), "not here",
    ),
    "very many": (
        lambda m: Merged((*m.order, Run("south", 9, 10**15)), m.heads, m.taken), "more lines than",
    ),
    "another order": (lambda m: Merged(m.order[::-1], m.heads, m.taken), ""),
    "nothing": (lambda m: Merged((), (), m.taken), ""),
}  # fmt: skip


@pytest.mark.parametrize("name", FORGED)
def test_a_forged_record_of_a_merge_is_found(pair: Pair, name: str) -> None:
    north, south = pair
    prove(south)
    take_in(north, south)
    acts.record_reading(north, reading("OH2.deep", 5.0), **WHO)
    acts.record_reading(north, reading("OH2.deep", 5.1), **WHO)
    forge, why = FORGED[name]
    entries = [decode(line) for line in lines_of(north.root)]
    put_lines(north.root, as_rows(_chained(entries, forge)))
    (north.root / "heads.txt").unlink()
    found = [f for f in wrong(north) if f.code == "merge-strange"]
    assert len(found) == 1
    assert why in found[0].detail


def _chained(entries: list[Entry], forge: Callable[[Merged], Merged]) -> list[Entry]:
    """Return the entries with north's merge as ``forge`` has it, and north's chain anew."""
    new: list[Entry] = []
    for old in entries:
        record = old.evidence
        if isinstance(record, Merged) and record.taken:
            record = forge(record)
        prev = [entry.hash for entry in new if entry.bench == old.bench][-1:] or [FIRST_PREV]
        new.append(
            encode(
                record,
                seq=old.seq,
                prev=prev[0],
                salt=old.salt,
                at=old.at,
                bench=old.bench,
                by=old.by,
            )
        )
    return new


def test_merges_in_one_another_can_not_stop_the_check(pair: Pair) -> None:
    """A stranger's lines may nest merges; the check ends, and says so."""
    north, _ = pair
    entries = list(north.entries())
    for number in range(200):
        taken = record_of(entries, 1)
        with north.act(**WHO) as act:
            entries.append(act.append(taken if number else record_of(entries)))
    looked, found = views(list(enumerate(entries)))
    judged = [place for view in looked for place in view.own]
    assert sorted(judged) == list(range(len(entries)))
    assert {finding.code for _, finding in found} <= {"merge-strange"}


def test_an_older_copy_has_nothing_new_and_is_no_fork(pair: Pair) -> None:
    north, _ = pair
    entries = north.entries()
    found = compare(entries, entries[:1])
    assert (found.shared, found.new, found.fork, found.branch) == (entries[:1], (), None, ())
