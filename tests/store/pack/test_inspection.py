"""Verifying a pack: any change is found, whoever made it, or here stands why it is not."""

import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from annotate.errors import CannotMeasure
from annotate.givens import Givens
from annotate.marks import Layer, Rim
from annotate.result import Coverage
from store.book import Book
from store.codec import FIRST_PREV, Entry, decode, encode, hash_of
from store.errors import NotAPack
from store.evidence import Derived, Evidence, Judged, Marked, OwnerSaid, Read, Struck
from store.finding import Finding
from store.pack.bounded import Bounded
from store.pack.inspection import verify_pack
from store.pack.signing_key import SigningKey, read_key
from store.pack.vouching import check_book_checkpoints
from tests.store import small_job
from tests.store.forgery import redo
from tests.store.pack.packed import AT, copy_of, make_key, packed, rebag, resign, small_book
from tests.store.small_job import WHO, file_photo

replace = msgspec.structs.replace
CHAIN = "data/chains/north"


def check(pack: Path, version: str = "") -> list[Finding]:
    return verify_pack(pack, version=version, measure=small_job.measure)


def wrong(pack: Path) -> set[str]:
    """Return the codes of all that is altered or damaged."""
    return {f.code for f in check(pack) if f.severity in {"altered", "damaged"}}


@pytest.mark.parametrize("name", ["pack", "pack.zip"])
def test_a_sound_pack_has_a_note_that_names_the_key(made: Path, key: Path, name: str) -> None:
    note, unchecked = check(made / name)
    assert (note.severity, note.code) == ("note", "signing-key")
    assert (unchecked.severity, unchecked.code) == ("note", "report-unchecked")
    assert read_key(key).public.fingerprint in note.detail


def test_progress_counts_up_to_the_end(made: Path) -> None:
    told: list[tuple[int, int]] = []
    verify_pack(
        made / "pack.zip",
        measure=small_job.measure,
        progress=lambda done, of: told.append((done, of)),
    )
    assert [of for _, of in told] == [100] * len(told)
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert told[-1] == (100, 100)


def files(pack: Path) -> list[Path]:
    return sorted(path for path in pack.rglob("*") if path.is_file())


def test_every_file_changed_or_gone_is_found(pack: Path) -> None:
    missed: list[tuple[str, object]] = []
    for path in files(pack):
        content = path.read_bytes()
        for changed in (content + b"\n", content[:-1], b"", content[1:] + b"\x01"):
            if changed != content:
                path.write_bytes(changed)
                missed += [] if wrong(pack) else [(path.name, len(changed) - len(content))]
        path.unlink()
        missed += [] if wrong(pack) else [(path.name, "gone")]
        path.write_bytes(content)
    assert missed == []
    assert wrong(pack) == set()


@pytest.mark.parametrize(
    "name", ["x", "data/x", "data/photos/x", "data/layers/x.svg", f"{CHAIN}/older/x"]
)
def test_every_file_added_is_found(pack: Path, name: str) -> None:
    (pack / name).parent.mkdir(exist_ok=True)
    (pack / name).write_text("x")
    assert "file-extra" in wrong(pack)


# A forger without the bench's key makes the bag anew.


def test_a_bag_made_anew_with_another_key_is_found_by_the_signers(
    pack: Path, tmp_path: Path
) -> None:
    rebag(pack, read_key(make_key(tmp_path)))
    assert wrong(pack) == {"signature-strange"}


def test_with_the_signers_changed_too_the_checkpoint_is_found(pack: Path, tmp_path: Path) -> None:
    other = read_key(make_key(tmp_path))
    name_signer(pack, other)
    rebag(pack, other)
    assert wrong(pack) == {"signature-strange"}


def test_a_pack_signed_anew_in_every_place_names_another_key(
    pack: Path, key: Path, tmp_path: Path
) -> None:
    """Undetectable from the pack alone; the fingerprint told in another way is what finds it."""
    other = read_key(make_key(tmp_path))
    name_signer(pack, other)
    resign(pack / CHAIN / "checkpoint", other)
    rebag(pack, other)
    note, _ = check(pack)
    assert other.public.fingerprint in note.detail
    assert read_key(key).public.fingerprint not in note.detail


def name_signer(pack: Path, key: SigningKey) -> None:
    line = f'north namespaces="evidence-pack" {key.public.text}\n'
    (pack / "data/allowed_signers").write_text(line)


# A forger with the bench's key, who leaves the chain alone.


def test_a_table_or_drawing_that_does_not_follow_is_found(pack: Path, key: Path) -> None:
    for name, old, new in (
        ("data/readings.csv", b"20.1", b"20.2"),
        ("data/layers/north-000003.json", b"90.0", b"91.0"),
        ("data/layers/north-000003.svg", b"46.90", b"47.90"),
    ):
        content = (pack / name).read_bytes()
        assert old in content
        (pack / name).write_bytes(content.replace(old, new))
        rebag(pack, read_key(key))
        found = [f for f in check(pack) if f.severity != "note"]
        assert [(f.code, f.severity) for f in found] == [("table-differs", "altered")]
        # Another version of this program may write a table otherwise.
        assert [f.severity for f in check(pack, "9.9") if f.severity != "note"] == ["differs"]
        (pack / name).write_bytes(content)
    shutil.copy(pack / "data/layers/north-000003.svg", pack / "data/layers/north-000004.svg")
    rebag(pack, read_key(key))
    assert wrong(pack) == {"drawing-strange"}


def test_a_photo_changed_under_its_name_is_found(pack: Path, key: Path) -> None:
    photo = next((pack / "data/photos").rglob("*.jpg"))
    photo.write_bytes(photo.read_bytes()[::-1])
    rebag(pack, read_key(key))
    assert wrong(pack) == {"photo-altered"}
    photo.unlink()
    rebag(pack, read_key(key))
    assert wrong(pack) == {"photo-missing"}


# A forger with the bench's key, who redoes the chain.


def lines_of(pack: Path) -> list[Entry]:
    return [decode(line) for line in (pack / CHAIN / "ledger.jsonl").read_bytes().splitlines(True)]


def put_lines(
    pack: Path, lines: list[bytes], key: Path, *, hashes: list[str] | None = None
) -> None:
    """Write a chain, its hashes and its checkpoint, and the bag round it."""
    folder = pack / CHAIN
    (folder / "ledger.jsonl").write_bytes(b"".join(lines))
    text = "".join(f"{each}\n" for each in hashes or map(hash_of, lines))
    (folder / "hashes.txt").write_text(text)
    root = hash_of(text.encode())
    (folder / "checkpoint").write_text(f"north/K-118\n{text.count(chr(10))}\n{root}\n")
    resign(folder / "checkpoint", read_key(key))
    rebag(pack, read_key(key))


def retold(pack: Path, key: Path, forge: Callable[[Entry], Evidence | None]) -> None:
    """Write the whole chain anew with each record as ``forge`` returns it, None dropping it."""
    new: list[Entry] = []
    renamed: dict[str, str] = {}
    for old in lines_of(pack):
        record = forge(old)
        if record is None:
            continue
        text = json.dumps(msgspec.to_builtins(record))
        for was, now in renamed.items():
            text = text.replace(was, now)
        entry = encode(
            msgspec.json.decode(text.encode(), type=type(record)),
            seq=len(new) + 1, prev=new[-1].hash if new else FIRST_PREV, salt=old.salt, at=old.at,
            bench=old.bench, by=old.by,
        )  # fmt: skip
        renamed[old.hash] = entry.hash
        new.append(entry)
    put_lines(pack, [entry.line for entry in new], key)


def test_the_retelling_itself_leaves_no_trace(pack: Path, key: Path) -> None:
    """So that what is found below is what was forged."""
    retold(pack, key, lambda entry: entry.evidence)
    assert wrong(pack) == set()


def test_a_mark_a_number_or_a_text_altered_with_the_chain_redone_is_found(
    pack: Path, key: Path, made: Path, tmp_path: Path
) -> None:
    def mark(entry: Entry) -> Evidence:
        record = entry.evidence
        if not isinstance(record, Marked):
            return record
        (rim,) = record.layer.marks
        moved = replace(rim, points_px=((95.0, 30.0), *rim.points_px[1:]))
        return replace(record, layer=replace(record.layer, marks=(moved,)))

    def number(entry: Entry) -> Evidence:
        record = entry.evidence
        if not (isinstance(record, Read) and record.key == "P3.bore" and record.quantity):
            return record
        return replace(record, quantity=replace(record.quantity, value=20.001))

    for forge, code in ((mark, "coverage-differs"), (number, "reading-differs")):
        copy = copy_of(made / "pack", tmp_path / code)
        retold(copy, key, forge)
        assert code in wrong(copy)


def test_a_strike_taken_out_with_the_chain_redone_is_found_by_an_older_checkpoint(
    book: Book, key: Path, tmp_path: Path
) -> None:
    """Alone it would be undetectable: the holder of key and book tells another story."""
    book.append(OwnerSaid("told", "collected", "in person"), **WHO)
    pack = packed(book, tmp_path / "out", key)
    retold(pack, key, lambda e: None if isinstance(e.evidence, Struck) else e.evidence)
    assert "chain-fork" in wrong(pack)


def test_lines_changed_dropped_swapped_or_spliced_are_found(pack: Path, key: Path) -> None:
    lines = [entry.line for entry in lines_of(pack)]
    hashes = [hash_of(line) for line in lines]
    other = decode(lines[5])
    spliced = encode(other.evidence, seq=6, prev=other.prev, salt="0" * 32, at=other.at,
                     bench="north", by="somebody")  # fmt: skip
    for changed, told, codes in (
        # The lines alone: they no longer are those hashed.
        (lines[:4] + lines[5:], hashes, {"line-changed", "entry-gone"}),
        (lines[:-1], hashes, {"entry-gone"}),
        ([*lines, lines[-1]], hashes, {"line-added"}),
        ([lines[0], lines[2], lines[1], *lines[3:]], hashes, {"line-changed"}),
        # The hashes too: the chain breaks.
        (lines[:4] + lines[5:], None, {"chain-broken", "row-differs"}),
        ([lines[0], lines[2], lines[1], *lines[3:]], None, {"chain-broken", "row-differs"}),
        ([*lines[:5], spliced.line, *lines[6:]], None, {"chain-broken"}),
        ([*lines, lines[-1]], None, {"chain-broken", "row-differs"}),
        ([lines[0][:-3] + b" }\n", *lines[1:]], None, {"chain-broken", "line-unreadable"}),
    ):
        put_lines(pack, changed, key, hashes=told)
        assert codes <= wrong(pack)


def test_hashes_that_are_none_are_refused(pack: Path, key: Path) -> None:
    for name in ("hashes.txt", "redacted.txt"):
        content = (pack / CHAIN / name).read_text()
        for changed in (content + "\n", content + "x" * 64 + "\n", content.upper() + "A" * 64):
            (pack / CHAIN / name).write_text(changed)
            rebag(pack, read_key(key))
            assert "pack-refused" in wrong(pack)
        (pack / CHAIN / name).write_text(content)


def test_a_line_listed_as_left_out_that_is_none_is_found(pack: Path, key: Path) -> None:
    (pack / CHAIN / "redacted.txt").write_text("0" * 64 + "\n")
    rebag(pack, read_key(key))
    assert "redacted-strange" in wrong(pack)


def test_checkpoints_of_another_job_or_count_are_found(pack: Path, key: Path) -> None:
    path = pack / CHAIN / "checkpoint"
    bench, count, root = path.read_text().split()
    for text, code in (
        (f"north/K-119\n{count}\n{root}\n", "checkpoint-strange"),
        (f"{bench}\n{int(count) - 1}\n{root}\n", "checkpoint-count"),
        (f"{bench}\n{count}\n{'0' * 64}\n", "chain-fork"),
        (f"{bench}\n{count}\n{root}", "checkpoint-changed"),
    ):
        path.write_text(text)
        resign(path, read_key(key))
        rebag(pack, read_key(key))
        assert code in wrong(pack)


def test_marks_that_ask_for_too_much_are_not_measured(pack: Path, key: Path) -> None:
    """A stranger's line may ask for more trials, or more points, than a machine has memory for."""

    def many_trials(entry: Entry) -> Evidence:
        record = entry.evidence
        return replace(record, trials=10**12) if isinstance(record, Marked) else record

    retold(pack, key, many_trials)
    (finding,) = [f for f in check(pack) if f.code == "coverage-differs"]
    assert "1000000000000 trials over 3 points" in finding.detail


@pytest.mark.parametrize(
    ("trials", "points", "is_done"),
    [(6000, 720, True), (100_000, 400, True), (100_001, 3, False), (0, 3, False), (-5, 3, False),
     (1, 10_001, False), (100_000, 401, False)],
)  # fmt: skip
def test_the_bounds_of_measuring_again(trials: int, points: int, is_done: bool) -> None:
    layer = Layer(640, 480, (Rim("near", ((1.0, 2.0),) * points, 0.5),))
    bounded = Bounded(small_job.measure)
    if is_done:
        again = small_job.measure(layer, Givens(), seed=1, trials=trials)
        assert bounded(layer, Givens(), seed=1, trials=trials) == again
    else:
        with pytest.raises(CannotMeasure, match="stranger"):
            bounded(layer, Givens(), seed=1, trials=trials)


def test_a_line_that_breaks_the_measuring_is_a_finding_and_no_crash(pack: Path) -> None:
    def broken(*_: object, **__: object) -> Coverage:
        raise ZeroDivisionError("by a stranger")

    found = verify_pack(pack, measure=broken)
    (finding,) = [f for f in found if f.code == "lines-unworkable"]
    assert "ZeroDivisionError" in finding.detail
    assert finding.severity == "altered"


# Lines left out: said, and told from an alteration as far as that can be.


def test_a_pack_with_any_line_left_out_verifies_with_a_note(
    book: Book, key: Path, tmp_path: Path
) -> None:
    must_stay = {"job started", "struck"}
    for entry in book.entries():
        if entry.kind not in must_stay:
            pack = packed(book, tmp_path / f"{entry.seq}", key, leave_out=[entry.hash])
            assert wrong(pack) == set(), entry.kind
            assert "lines-left-out" in {f.code for f in check(pack)}


def test_a_mark_altered_is_found_although_a_line_was_left_out(
    book: Book, key: Path, tmp_path: Path
) -> None:
    said = next(e for e in book.entries() if e.kind == "owner said")
    pack = packed(book, tmp_path / "out", key, leave_out=[said.hash])
    assert wrong(pack) == set()
    photo = next((pack / "data/photos").rglob("*.jpg"))
    photo.write_bytes(photo.read_bytes()[::-1])
    rebag(pack, read_key(key))
    assert wrong(pack) == {"photo-altered"}


# Several benches.


@pytest.fixture
def two(tmp_path: Path, key: Path) -> Iterator[Path]:
    with small_book(tmp_path / "two") as north:
        with Book.open(north.root, bench="south") as south:
            file_photo(south, "P3", content=b"seen from the south")
        north.append(OwnerSaid("told", "collected", "in person"), **WHO)
        yield packed(north, tmp_path / "two-pack", key)


def test_two_benches_are_verified_in_order_of_arrival(two: Path, key: Path) -> None:
    assert wrong(two) == set()
    arrival = two / "data/chains/arrival.txt"
    lines = arrival.read_text().splitlines()
    for changed in (lines[::-1], lines[:-1], [*lines, lines[0]], [lines[1], lines[0], *lines[2:]]):
        arrival.write_text("".join(f"{line}\n" for line in changed))
        rebag(two, read_key(key))
        assert "arrival-differs" in wrong(two)


def test_a_chain_that_is_gone_or_that_no_key_is_for_is_found(two: Path, key: Path) -> None:
    shutil.copytree(two / "data/chains/south", two / "data/chains/east")
    rebag(two, read_key(key))
    assert "chain-strange" in wrong(two)
    shutil.rmtree(two / "data/chains/east")
    shutil.rmtree(two / "data/chains/south")
    rebag(two, read_key(key))
    assert "chain-strange" in wrong(two)


# A book against the checkpoints it has left.


def test_a_book_is_held_against_its_checkpoints(made: Path, tmp_path: Path) -> None:
    root = copy_of(made / "book", tmp_path / "book")
    assert check_book_checkpoints(root) == []
    redo(
        root,
        lambda e: (
            replace(e.evidence, words="nothing wept") if e.kind == "owner said" else e.evidence
        ),
    )
    assert [f.code for f in check_book_checkpoints(root)] == ["chain-fork"]


def test_a_changed_checkpoint_of_a_book_is_found(made: Path, tmp_path: Path) -> None:
    root = copy_of(made / "book", tmp_path / "book")
    (path,) = [p for p in (root / "checkpoints/north").iterdir() if p.suffix != ".sig"]
    content = path.read_bytes()
    for changed in (content.replace(b"K-118", b"K-119"), content[:-1], b""):
        path.write_bytes(changed)
        assert check_book_checkpoints(root)
    path.write_bytes(content)
    path.with_name(path.name + ".sig").unlink()
    assert [f.code for f in check_book_checkpoints(root)] == ["checkpoint-changed"]
    (root / "ledger.db").write_bytes(b"no database")
    assert check_book_checkpoints(root) == []


# What never was a pack.


@pytest.mark.parametrize("content", [b"", b"PDF", b"%PDF-1.7\n" * 50, b"\xff\xd8" * 900])
def test_a_file_that_is_no_pack_is_said(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "file").write_bytes(content)
    with pytest.raises(NotAPack, match="is no pack"):
        check(tmp_path / "file")


def test_a_folder_that_is_no_pack_is_said(made: Path, tmp_path: Path) -> None:
    for path in (tmp_path, made / "book", tmp_path / "nothing"):
        with pytest.raises(NotAPack, match="is no pack"):
            check(path)


def test_lines_that_no_table_can_be_made_of_are_said(
    pack: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever a stranger's lines bring about, it is a finding and no crash."""

    def fail(_: object) -> dict[str, str]:
        raise KeyError(AT)

    monkeypatch.setattr("store.pack.inspection.told_files", fail)
    assert wrong(pack) == {"table-unmade"}


def judged_as(judged: Judged, **changes: Any) -> Judged:
    return replace(judged, verdict=replace(judged.verdict, **changes))


@pytest.mark.parametrize(
    ("kind", "change", "code"),
    [
        (Judged, lambda j: judged_as(j, state="outside"), "verdict-differs"),
        (
            Judged,
            lambda j: judged_as(j, limit=replace(j.verdict.limit, source="a manual")),
            "limit-differs",
        ),
        (Derived, lambda d: replace(d, quantity=replace(d.quantity, value=9.0)), "derived-differs"),
        (Read, lambda r: replace(r, exact="1") if r.quantity else r, "reading-differs"),
    ],
)
def test_a_value_that_is_not_that_of_what_it_cites_is_found_although_a_line_was_left_out(
    book: Book, key: Path, tmp_path: Path, kind: type[Evidence], change: Any, code: str
) -> None:
    """One harmless line left out must not be a cloak for whatever else was forged."""
    redo(book.root, lambda e: change(e.evidence) if isinstance(e.evidence, kind) else e.evidence)
    shutil.rmtree(book.root / "checkpoints")
    with Book.open(book.root) as forged:
        said = next(e for e in forged.entries() if e.kind == "owner said")
        pack = packed(forged, tmp_path / "out", key, leave_out=[said.hash])
    assert code in wrong(pack)


def test_what_rests_on_a_line_left_out_is_a_note(book: Book, key: Path, tmp_path: Path) -> None:
    """It can't be worked out again, so it can't be called wrong either."""
    bore = next(
        e for e in book.entries() if isinstance(e.evidence, Read) and e.evidence.key == "P3.bore"
    )
    pack = packed(book, tmp_path / "out", key, leave_out=[bore.hash])
    assert wrong(pack) == set()
    told = {f.code for f in check(pack) if "lines were left out" in f.detail}
    assert "derived-strange" in told or "cites-nothing" in told


def test_a_machine_without_threads_accuses_nobody(
    pack: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("can't start new thread")  # Python's own words

    monkeypatch.setattr("threading.Thread.start", fail)
    assert [f.severity for f in check(pack)] == ["unread"]
