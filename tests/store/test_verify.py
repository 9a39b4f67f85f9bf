"""Verify says everything that is wrong, even when the whole chain was written anew."""

import errno
import os
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt
import pytest

from annotate.errors import CannotMeasure
from annotate.givens import Givens
from annotate.marks import Layer, Point, Rim
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.result import Coverage
from store.book import Book
from store.codec import Entry
from store.errors import NotProven
from store.evidence import (
    Closed,
    CloseRefused,
    Derived,
    Evidence,
    JobStarted,
    Judged,
    Marked,
    PhotoTaken,
    Read,
    Struck,
)
from store.files.notice import FORMAT_NAME
from store.finding import Finding
from store.ledger import FILE_NAME, HEADS_NAME
from store.plan import Plan
from store.verify import verify
from store.written import acts, bench_acts
from tests.store import small_job
from tests.store.forgery import as_rows, lines_of, put_lines, redo
from tests.store.small_job import VERSION, WHO, answer, file_photo, marks, new_book, reading

LENS = LensProfile(500, 500, 320, 240, 0, 0, 0, 0, 0, 640, 480, 0.1)

replace = msgspec.structs.replace


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A whole small job: photos, marks, readings, a strike, a refusal, a closing."""
    root = tmp_path_factory.mktemp("finished") / "book"
    with new_book(root) as book:
        acts.record_marks(book, marks(file_photo(book, "OH2", "with scale", b"oil hole")), **WHO)
        acts.record_reading(book, reading("P3.bore", 20.0), **WHO)
        acts.record_reading(book, reading("P3.plug", 20.3), **WHO)
        with pytest.raises(NotProven):
            bench_acts.close(book, "lid", **WHO)
        wrong = book.round().check("P3.plug").attempts[0].stamp.entry
        acts.strike(book, wrong, "another plug", **WHO)
        acts.record_reading(book, reading("P3.plug", 20.1), **WHO)
        acts.record_reading(book, answer("P3.clean", said=True), **WHO)
        file_photo(book, "P3")
        bench_acts.close(book, "lid", **WHO)
        acts.record_reading(book, reading("OH2.deep", 5.12, half_step=0.05), **WHO)
        acts.record_reading(book, reading("OH2.other", 5.14, half_step=0.05), **WHO)
    return root


@pytest.fixture
def root(finished: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(finished, tmp_path / "book"))


def check(root: Path, **tools: Any) -> list[Finding]:
    findings = verify(root, **({"measure": small_job.measure} | tools))
    for finding in findings:
        assert re.fullmatch(r"[a-z]+(-[a-z]+)+", finding.code)
        assert finding.where
        assert finding.detail
    return findings


def entries_in(root: Path) -> list[Entry]:
    with Book.open(root, read_only=True) as book:
        return list(book.entries())


def codes(findings: list[Finding]) -> list[str]:
    return [f"{finding.severity}: {finding.code}" for finding in findings]


def forged(kind: type[Evidence], change: Callable[[Any], Evidence | None], nth: int = 0) -> Any:
    """Return a forger of the nth record of one kind."""
    seen = 0

    def forge(entry: Entry) -> Evidence | None:
        nonlocal seen
        if not isinstance(entry.evidence, kind):
            return entry.evidence
        seen += 1
        return change(entry.evidence) if seen == nth + 1 else entry.evidence

    return forge


def test_a_sound_book_has_no_findings_and_is_not_touched(root: Path) -> None:
    before = {path: path.read_bytes() for path in root.rglob("*") if path.is_file()}
    assert check(root) == []
    assert {path: path.read_bytes() for path in root.rglob("*") if path.is_file()} == before


def test_a_chain_written_anew_without_a_change_shows_nothing(root: Path) -> None:
    # so that what the tests below find is the forgery, not the rewriting
    redo(root, lambda entry: entry.evidence)
    assert check(root) == []


def moved(marked: Marked) -> Marked:
    rim = marked.layer.marks[0]
    assert isinstance(rim, Rim)
    points = ((rim.points_px[0][0] + 0.01, rim.points_px[0][1]), *rim.points_px[1:])
    layer = replace(marked.layer, marks=(replace(rim, points_px=points),))
    return replace(marked, layer=layer)


def improved(marked: Marked) -> Marked:
    covered: Any = marked.result.covered
    better = replace(covered.quantity, value=covered.quantity.value - 0.001)
    return replace(marked, result=replace(marked.result, covered=replace(covered, quantity=better)))


def surer(marked: Marked) -> Marked:
    covered: Any = marked.result.covered
    better = replace(covered.quantity, u=covered.quantity.u * 0.99)
    return replace(marked, result=replace(marked.result, covered=replace(covered, quantity=better)))


@pytest.mark.parametrize(
    "change",
    [
        moved,
        improved,
        surer,
        lambda marked: replace(marked, seed=marked.seed + 1),
        lambda marked: replace(marked, trials=marked.trials + 1),
        lambda marked: replace(marked, givens=Givens(flat=True)),
        lambda marked: replace(marked, layer=replace(marked.layer, marks=())),
        lambda marked: replace(marked, result=replace(marked.result, warnings=("fine",))),
    ],
)
def test_altered_marks_or_numbers_are_found_though_the_chain_is_whole(
    root: Path, change: Callable[[Marked], Marked]
) -> None:
    redo(root, forged(Marked, change))
    assert "altered: coverage-differs" in codes(check(root))
    assert "altered: coverage-differs" in codes(check(root, version=VERSION))


def test_another_version_may_measure_otherwise_and_is_told_apart(root: Path) -> None:
    redo(root, forged(Marked, improved))
    found = [f for f in check(root, version="9.9") if f.code == "coverage-differs"]
    assert [finding.severity for finding in found] == ["differs"]
    assert f"made by version {VERSION}" in found[0].detail
    redo(root, forged(Marked, lambda m: replace(m, version="0.0.9")))
    found = [f for f in check(root, version=VERSION) if f.code == "coverage-differs"]
    assert [finding.severity for finding in found] == ["differs"]


def test_the_last_digits_of_another_machine_are_no_alteration(root: Path) -> None:
    def elsewhere(layer: Layer, givens: Givens, **how: Any) -> Coverage:
        result = small_job.measure(layer, givens, **how)
        covered: Any = result.covered
        value = covered.quantity.value * (1 + 3e-12)
        return replace(
            result, covered=replace(covered, quantity=replace(covered.quantity, value=value))
        )

    assert check(root, measure=elsewhere) == []


def test_marks_that_give_no_number_any_more_are_found(root: Path) -> None:
    def refuse(*_: object, **__: object) -> Coverage:
        raise CannotMeasure("the rim is too short", "mark more of it")

    (found,) = check(root, measure=refuse)
    assert (found.code, found.severity) == ("coverage-differs", "altered")
    assert "the rim is too short" in found.detail


def test_without_a_measure_of_its_own_verify_uses_the_real_one(root: Path) -> None:
    # three points are not a rim: the real measurement refuses what the stand-in accepts
    assert "altered: coverage-differs" in codes(verify(root))


def rejudged(state: str) -> Callable[[Judged], Judged]:
    return lambda judged: replace(judged, verdict=replace(judged.verdict, state=state))


@pytest.mark.parametrize("nth", [0, 1, 2, 3])
def test_an_altered_verdict_is_found_though_the_chain_is_whole(root: Path, nth: int) -> None:
    redo(root, forged(Judged, rejudged("too close to call"), nth))
    assert codes(check(root)).count("altered: verdict-differs") == 1


def test_altered_odds_and_bounds_are_found(root: Path) -> None:
    redo(root, forged(Judged, lambda j: replace(j, verdict=replace(j.verdict, bound_high=1.0))))
    (found,) = check(root)
    assert (found.code, found.detail) == (
        "verdict-differs", "the value it cites gives other odds or bounds",
    )  # fmt: skip


def test_a_verdict_under_another_limit_than_the_plans_is_found(root: Path) -> None:
    def widened(judged: Judged) -> Judged:
        limit = replace(judged.verdict.limit, at_most=Quantity(90.0, "%"))
        return replace(judged, verdict=replace(judged.verdict, limit=limit))

    redo(root, forged(Judged, widened))
    assert codes(check(root)) == ["altered: limit-differs"]


def test_a_verdict_on_another_entry_is_found(root: Path) -> None:
    redo(root, forged(Judged, lambda j: replace(j, subject="0" * 64)))
    assert codes(check(root)) == [
        "damaged: verdict-missing", "altered: cites-nothing", "altered: verdict-strange",
    ]  # fmt: skip
    photo = next(e for e in entries_in(root) if isinstance(e.evidence, PhotoTaken)).hash
    redo(root, forged(Judged, lambda j: replace(j, subject=photo)))
    found = [f for f in check(root) if f.code == "verdict-strange"]
    assert [f.detail for f in found] == ["it judges nothing that came before it"]
    redo(root, forged(Judged, lambda j: replace(j, key="P3.nip")))
    assert "altered: verdict-strange" in codes(check(root))


def test_a_verdict_that_was_taken_out_is_missed(root: Path) -> None:
    redo(root, forged(Judged, lambda _: None))
    assert "damaged: verdict-missing" in codes(check(root))


def test_a_reading_whose_value_is_not_its_exact_one_is_found(root: Path) -> None:
    def nudged(read: Read) -> Read:
        assert read.quantity is not None
        return replace(read, quantity=replace(read.quantity, value=20.001))

    redo(root, forged(Read, nudged))
    found = next(f for f in check(root) if f.code == "reading-differs")
    assert found.detail == "the value 20.001 mm is not that of the exact one, 20.0"
    redo(root, forged(Read, lambda read: replace(read, exact="twenty")))
    assert "altered: reading-differs" in codes(check(root))
    redo(root, forged(Read, lambda read: replace(read, exact="1/0")))
    assert "altered: reading-differs" in codes(check(root))


def test_an_exact_fraction_is_its_value(root: Path) -> None:
    redo(root, forged(Read, lambda read: replace(read, exact="40/2")))
    assert check(root) == []


def reparse(plan: Plan, read: Read) -> Read | None:
    """Stand in for the bench's own grammar: "20.0 mm"."""
    assert plan == small_job.plan()
    if read.quantity is None:
        return answer(read.key, said=read.text == "yes")
    value, unit = read.text.split()
    step = 0.05 if value.startswith("5.") else 0.0005
    return reading(read.key, float(value), half_step=step, unit=unit)


def test_readings_are_read_again_from_what_was_typed(root: Path) -> None:
    assert check(root, reparse=reparse) == []
    redo(root, forged(Read, lambda read: replace(read, text="20.2 mm")))
    found = check(root, reparse=reparse)
    assert codes(found) == ["altered: reading-differs"]
    assert found[0].detail == "'20.2 mm' is 20.2 mm (exact), not 20.0 mm"
    redo(root, forged(Read, lambda read: replace(read, text="20.0 in")))
    assert codes(check(root, reparse=reparse)) == ["altered: reading-differs"]


def test_a_text_that_is_refused_now_and_another_uncertainty_are_found(root: Path) -> None:
    found = check(root, reparse=lambda *_: None)
    assert {finding.code for finding in found} == {"reading-differs"}
    assert found[0].detail == "the text is refused now"
    again = check(root, reparse=lambda *_: None, version=VERSION)
    assert {finding.severity for finding in again} == {"altered"}

    def vaguer(plan: Plan, read: Read) -> Read | None:
        again = reparse(plan, read)
        return again and replace(again, half_step=again.half_step * 2)

    said = [f for f in check(root, reparse=vaguer) if "half_step" in f.detail]
    assert {(f.severity, f.code) for f in said} == {("altered", "reading-differs")}
    assert said[0].detail == "'20.0 mm' is 20.0 mm (half_step), not 20.0 mm"


def test_a_reading_that_claims_to_be_better_known_than_it_is_is_found(root: Path) -> None:
    def surer(read: Read) -> Read:
        assert read.quantity is not None
        return replace(read, quantity=replace(read.quantity, u=read.quantity.u / 2))

    redo(root, forged(Read, surer))
    same_version = [f for f in check(root, version=VERSION) if f.code == "reading-differs"]
    assert [f.severity for f in same_version] == ["altered"]
    assert same_version[0].detail.startswith("it is uncertain by 0.000288675")
    other = [f for f in check(root, version="9.9") if f.code == "reading-differs"]
    assert [f.severity for f in other] == ["differs"]


def test_a_derived_value_that_does_not_follow_is_found(root: Path) -> None:
    def better(derived: Derived) -> Derived:
        return replace(derived, quantity=replace(derived.quantity, value=0.1))

    redo(root, forged(Derived, better))
    (found, *_) = check(root, version=VERSION)
    assert (found.severity, found.code) == ("altered", "derived-differs")
    assert found.detail.startswith("what it cites gives 0.3")
    assert found.detail.endswith("mm, not 0.1")
    assert check(root, version="9.9")[0].severity == "differs"


def test_a_value_derived_from_what_has_none_is_found(root: Path) -> None:
    photo = next(e for e in entries_in(root) if isinstance(e.evidence, PhotoTaken)).hash
    redo(root, forged(Derived, lambda d: replace(d, from_entries=(photo, d.from_entries[1]))))
    assert "altered: derived-strange" in codes(check(root))
    for nth in (0, 1):  # the bore, the plug
        copy = Path(shutil.copytree(root, root.parent / f"copy{nth}"))
        redo(copy, forged(Read, lambda read: replace(read, quantity=None), nth))
        found = [f for f in check(copy) if f.code == "derived-strange"]
        assert "it is not derived from what counted then" in {f.detail for f in found}


def test_an_agreement_that_can_not_be_worked_out_is_found(root: Path) -> None:
    def exact(read: Read) -> Read:
        assert read.quantity is not None
        return replace(read, half_step=0.0, quantity=replace(read.quantity, u=0.0))

    for nth in (4, 5):  # the two depths
        redo(root, forged(Read, exact, nth))
    found = [f for f in check(root) if f.code == "derived-differs"]
    assert [f.severity for f in found] == ["altered"]
    assert "what it cites gives no value: neither value" in found[0].detail


def test_a_derived_value_from_the_wrong_entries_is_found(root: Path) -> None:
    redo(root, forged(Derived, lambda d: replace(d, from_entries=d.from_entries[::-1])))
    assert "altered: derived-strange" in codes(check(root))
    redo(root, forged(Derived, lambda d: replace(d, from_entries=("0" * 64, d.from_entries[1]))))
    assert {"altered: derived-strange", "altered: cites-nothing"} <= set(codes(check(root)))


def test_a_closing_while_something_was_unproven_is_found(root: Path) -> None:
    redo(root, forged(CloseRefused, lambda refused: Closed(refused.hold_point)))
    found = check(root)
    # and what was done after it was done behind a closed hold point
    assert set(codes(found)) == {"altered: closed-unproven", "altered: not-allowed"}
    closed = next(f for f in found if f.code == "closed-unproven")
    assert "P3.nip, P3.clean, P3" in closed.detail


def test_a_refusal_that_was_otherwise_is_found(root: Path) -> None:
    redo(root, forged(CloseRefused, lambda r: replace(r, unproven=r.unproven[1:])))
    assert codes(check(root)) == ["altered: refusal-differs"]


@pytest.mark.parametrize(
    ("kind", "change", "code"),
    [
        (Struck, lambda s: replace(s, entry="0" * 64), "cites-nothing"),
        (Read, lambda r: replace(r, key="P9.bore"), "not-in-plan"),
        (PhotoTaken, lambda p: replace(p, location="P9"), "not-in-plan"),
        (Closed, lambda _: Closed("cap"), "not-in-plan"),
        (Marked, lambda m: replace(m, photo="0" * 64), "cites-nothing"),
        (Marked, lambda m: replace(m, lens_paper="0" * 64), "cites-nothing"),
        (Marked, lambda m: replace(m, lens=LENS), "coverage-differs"),
        (Closed, lambda _: JobStarted(small_job.plan(), VERSION), "plan-twice"),
        (JobStarted, lambda _: None, "plan-missing"),
    ],
)
def test_entries_that_cite_what_is_not_there_are_found(
    root: Path, kind: type[Evidence], change: Callable[[Any], Evidence | None], code: str
) -> None:
    redo(root, forged(kind, change))
    assert f"altered: {code}" in codes(check(root))


# What a forger who redoes everything can still do, and what shows it all the same.


@pytest.mark.parametrize(
    ("kind", "change"),
    [
        (Struck, lambda struck: replace(struck, reason="a better reason")),
        (Closed, lambda _: None),
        (PhotoTaken, lambda taken: replace(taken, camera="another")),
    ],
)
def test_what_nothing_follows_from_shows_only_in_heads_kept_elsewhere(
    root: Path, kind: type[Evidence], change: Callable[[Any], Evidence | None]
) -> None:
    redo(root, forged(kind, change), heads=False)
    found = codes(check(root))
    assert found
    assert set(found) <= {"altered: head-differs", "altered: entry-gone"}
    redo(root, lambda entry: entry.evidence, heads=True)
    assert check(root) == []  # undetectable from the folder alone: verify's docstring says so


# Photos


def photo_files(root: Path) -> list[Path]:
    return sorted((root / "photos").rglob("*.jpg"))


def test_a_changed_photo_is_found(root: Path) -> None:
    path = photo_files(root)[0]
    path.chmod(0o644)
    content = path.read_bytes()
    path.write_bytes(bytes([content[0] ^ 1]) + content[1:])
    (found,) = check(root)
    assert (found.severity, found.code, found.where) == (
        "altered", "photo-altered", path.relative_to(root).as_posix(),
    )  # fmt: skip


def test_a_truncated_photo_is_found_twice(root: Path) -> None:
    path = photo_files(root)[0]
    path.chmod(0o644)
    path.write_bytes(path.read_bytes()[:-1])
    assert set(codes(check(root))) == {"altered: photo-altered", "altered: photo-size"}


def test_a_missing_photo_is_found_at_its_entry(root: Path) -> None:
    path = photo_files(root)[0]
    path.unlink()
    (found,) = check(root)
    assert (found.severity, found.code) == ("damaged", "photo-missing")
    assert path.stem in found.detail
    assert found.where.startswith("north ")


def test_a_renamed_photo_is_found(root: Path) -> None:
    path = photo_files(root)[0]
    path.rename(path.with_suffix(".png"))
    assert codes(check(root)) == ["altered: photo-suffix"]


def test_an_unfiled_photo_and_a_stranger_are_notes(root: Path) -> None:
    with Book.open(root) as book:
        source = root.parent / "extra"
        source.write_bytes(b"one more")
        book.keep_photo(source, "jpg")
    (root / "photos" / "readme.txt").write_text("hello")
    assert sorted(codes(check(root))) == ["note: photo-stranger", "note: photo-unfiled"]


def test_what_is_none_of_the_books_is_a_note_by_its_name(root: Path) -> None:
    (root / "bill.txt").write_text("pay this")
    (root / "more").mkdir()
    assert [(f.severity, f.code, f.where) for f in check(root)] == [
        ("note", "book-stranger", "bill.txt"), ("note", "book-stranger", "more"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("number", "told"),
    [
        (errno.EIO, "unread: not-read-now"),
        (errno.EMFILE, "unread: not-read-now"),
        (errno.ENOENT, "damaged: photo-unreadable"),  # taken away since it was listed
    ],
)
def test_a_photo_that_can_not_be_read_now_is_not_accused(
    root: Path, monkeypatch: pytest.MonkeyPatch, number: int, told: str
) -> None:
    def fail(_: Path) -> str:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr("store.proving.kept.hash_file", fail)
    assert codes(check(root)) == [told] * 2


def test_a_picture_of_another_size_than_its_entry_claims_is_found(root: Path) -> None:
    taken = [e.evidence for e in entries_in(root) if isinstance(e.evidence, PhotoTaken)]
    sizes = {record.photo: (record.width_px, record.height_px) for record in taken}

    def size(path: Path) -> tuple[int, int] | None:
        return sizes[path.stem]  # type: ignore[return-value] # every photo there has one

    assert check(root, size=size) == []
    # What can't be shown contradicts nothing; but it was shown when it was filed.
    assert set(codes(check(root, size=lambda _: None))) == {"unread: photo-undecoded"}
    redo(root, forged(PhotoTaken, lambda p: replace(p, width_px=10**9)))
    found = [f for f in check(root, size=size) if f.code == "photo-pixels"]
    assert [f.severity for f in found] == ["altered"]
    assert "filed as 1000000000 x" in found[0].detail


def test_a_size_or_suffix_that_was_forged_is_found(root: Path) -> None:
    redo(root, forged(PhotoTaken, lambda p: replace(p, bytes_count=p.bytes_count + 1)))
    assert codes(check(root)) == ["altered: photo-size"]
    redo(root, forged(PhotoTaken, lambda p: replace(p, bytes_count=p.bytes_count - 1)))
    assert check(root) == []


# Marks that were found in the photo

Picture = npt.NDArray[np.uint8]


@pytest.fixture
def with_found_marks(root: Path) -> Path:
    def found(marked: Marked) -> Marked:
        rim = marked.layer.marks[0]
        assert isinstance(rim, Rim)
        sought = replace(rim, placed="found", seed=Point(60.0, 30.0))
        return replace(marked, layer=replace(marked.layer, marks=(sought,)))

    redo(root, forged(Marked, found))
    return root


def test_without_a_decoder_it_is_said_that_found_marks_were_not_looked_for(
    with_found_marks: Path,
) -> None:
    (told,) = check(with_found_marks)
    assert (told.severity, told.code, told.where) == ("note", "marks-not-refound", "1 photos")
    found = codes(check(with_found_marks, decode=lambda _: None))
    assert found == ["unread: photo-undecoded"]
    with Book.open(with_found_marks) as book:
        marked = next(e.evidence for e in book.entries() if isinstance(e.evidence, Marked))
        acts.record_marks(book, marked, **WHO)
    assert [finding.where for finding in check(with_found_marks)] == ["2 photos"]


def test_found_marks_are_looked_for_again_in_the_photo_itself(with_found_marks: Path) -> None:
    asked: list[tuple[bytes, Layer]] = []

    def decode(path: Path) -> Picture:
        return np.frombuffer(path.read_bytes(), dtype=np.uint8)

    def nothing_moved(picture: Picture, layer: Layer) -> list[str]:
        asked.append((picture.tobytes(), layer))
        return []

    assert check(with_found_marks, decode=decode, moved=nothing_moved) == []
    assert [content for content, _ in asked] == [b"oil hole"]
    assert isinstance(asked[0][1].marks[0], Rim)

    def all_moved(_: Picture, __: Layer) -> list[str]:
        return ["near rim", "marker"]

    (found,) = check(with_found_marks, decode=decode, moved=all_moved)
    assert (found.severity, found.code) == ("altered", "marks-moved")
    assert found.detail == "not where the photo shows it: near rim, marker"
    (found,) = check(with_found_marks, decode=decode, moved=all_moved, version=VERSION)
    assert found.severity == "altered"
    (found,) = check(with_found_marks, decode=decode, moved=all_moved, version="9.9")
    assert found.severity == "differs"


def test_marks_by_hand_are_not_looked_for(root: Path) -> None:
    def fail(_: Path) -> Picture:
        raise AssertionError("no picture is needed for marks by hand")

    assert check(root, decode=fail) == []


# The folder and the file


def test_the_folders_own_files_are_missed(root: Path) -> None:
    (root / FORMAT_NAME).unlink()
    (root / HEADS_NAME).unlink()
    assert codes(check(root)) == ["damaged: heads-missing", "damaged: format-missing"]


def test_the_one_head_of_a_book_just_begun_may_not_be_noted_yet(tmp_path: Path) -> None:
    """Its entry is kept before its head is; with more entries a missing list is damage."""
    with new_book(tmp_path / "book") as book:
        (book.root / HEADS_NAME).unlink()
        assert codes(check(book.root)) == ["note: heads-missing"]
        acts.record_reading(book, reading("P3.bore", 20.0), **WHO)
        (book.root / HEADS_NAME).unlink()
        assert codes(check(book.root)) == ["damaged: heads-missing"]


def test_a_folder_without_a_ledger_is_damage_and_its_photos_are_still_listed(root: Path) -> None:
    (root / FILE_NAME).unlink()
    found = codes(check(root))
    assert found[0] == "damaged: ledger-unreadable"
    assert found.count("note: photo-unfiled") == 2


def test_an_empty_ledger_is_damage(root: Path) -> None:
    put_lines(root, [])
    (root / HEADS_NAME).unlink()
    assert "damaged: ledger-empty" in codes(check(root))


def test_what_comes_before_a_damaged_page_is_still_checked(root: Path) -> None:
    with Book.open(root) as book:
        for _ in range(60):
            late = replace(reading("P3.bore", 20.0), read_at="before the lid went on")
            acts.record_reading(book, late, **WHO)
    content = bytearray((root / FILE_NAME).read_bytes())
    content[-4096:] = b"\x99" * 4096
    (root / FILE_NAME).write_bytes(content)
    found = check(root)
    assert {"damaged: ledger-unreadable"} & set(codes(found))
    assert "altered: plan-missing" not in codes(found)


def test_findings_come_oldest_first(root: Path) -> None:
    redo(root, forged(Judged, rejudged("too close to call"), 2), heads=False)
    photo_files(root)[0].unlink()
    (root / FORMAT_NAME).unlink()
    numbers = [int(f.where.split()[1]) for f in check(root) if f.where.startswith("north")]
    assert numbers == sorted(numbers)
    assert check(root)[0].code == "format-missing"


def test_progress_counts_photos_and_entries_to_the_end(root: Path) -> None:
    told: list[tuple[int, int]] = []
    check(root, progress=lambda done, total: told.append((done, total)))
    total = 2 + len(lines_of(root))
    assert told == [(done, total) for done in range(1, total + 1)]


@pytest.fixture
def entries(root: Path) -> Iterator[list[Entry]]:
    with Book.open(root) as book:
        yield list(book.entries())


def test_a_dropped_entry_breaks_the_chain(root: Path, entries: list[Entry]) -> None:
    for gone in range(len(entries)):
        put_lines(root, as_rows(entries[:gone] + entries[gone + 1 :]))
        assert [f for f in check(root) if f.severity != "note"]


def test_two_swapped_entries_break_the_chain(root: Path, entries: list[Entry]) -> None:
    for first in range(len(entries) - 1):
        swapped = [*entries]
        swapped[first], swapped[first + 1] = swapped[first + 1], swapped[first]
        put_lines(root, as_rows(swapped))
        assert "altered: chain-broken" in codes(check(root))
