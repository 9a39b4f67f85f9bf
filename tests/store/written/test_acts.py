"""The acts of the user: kept whole, judged, and never undone."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import msgspec
import pytest

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from annotate.result import Unknown
from store.book import Act, Book
from store.characteristic import Characteristic, Limit
from store.errors import (
    BadAct,
    BadPlan,
    BadRecord,
    CannotWrite,
    NoSuchEntry,
    NotProven,
    PhotoMissing,
)
from store.evidence import CloseRefused, Derived, Judged, Read
from store.judge import judge, limit_for
from store.plan import Location, Plan
from store.written import acts, bench_acts
from tests.store.small_job import WHO, answer, file_photo, marks, new_book, plan, reading


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with new_book(tmp_path / "book") as the_book:
        yield the_book


def kinds(book: Book) -> list[str]:
    return [entry.kind for entry in book.entries()]


def press_in(book: Book, bore: float = 20.0, plug: float = 20.1) -> None:
    acts.record_reading(book, reading("P3.bore", bore), **WHO)
    acts.record_reading(book, reading("P3.plug", plug), **WHO)


def prove_everything(book: Book) -> None:
    press_in(book)
    acts.record_reading(book, answer("P3.clean", said=True), **WHO)
    file_photo(book, "P3")


def test_a_reading_without_a_limit_is_kept_and_not_judged(book: Book) -> None:
    check = acts.record_reading(book, reading("P3.bore", 20.0), **WHO)
    assert (check.state, check.value) == ("no limit", reading("P3.bore", 20.0).quantity)
    assert check.proven
    assert kinds(book) == ["job started", "reading"]


def test_two_readings_bring_their_difference_and_its_verdict(book: Book) -> None:
    press_in(book)
    assert kinds(book)[1:] == ["reading", "reading", "derived", "judged"]
    _, bore, plug, derived, judged = book.entries()
    assert isinstance(derived.evidence, Derived)
    assert isinstance(judged.evidence, Judged)
    assert derived.evidence.from_entries == (plug.hash, bore.hash)
    assert derived.evidence.quantity.value == pytest.approx(0.1)
    assert judged.evidence.subject == derived.hash
    limit = limit_for(plan().characteristic("P3.nip")[1])
    assert limit is not None
    assert judged.evidence.verdict == judge(derived.evidence.quantity, limit)
    check = book.round().check("P3.nip")
    assert (check.state, check.verdict) == ("within", judged.evidence.verdict)


def written_next(
    monkeypatch: pytest.MonkeyPatch, book: Book, write: Callable[[Book], object]
) -> None:
    """Let another program write the moment the book is let go of, once."""
    act, waiting = Book.act, [write]

    @contextmanager
    def overtaken(self: Book, *, at: str, by: str) -> Iterator[Act]:
        with act(self, at=at, by=by) as mine:
            yield mine
        while waiting:
            with Book.open(book.root) as other:
                waiting.pop()(other)

    monkeypatch.setattr(Book, "act", overtaken)


def test_the_answer_to_a_reading_is_about_it_and_not_about_what_another_writes_next(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    written_next(
        monkeypatch,
        book,
        lambda other: acts.record_reading(other, answer("P3.clean", said=False), **WHO),
    )
    check = acts.record_reading(book, answer("P3.clean", said=True), **WHO)
    assert (check.state, len(check.attempts)) == ("within", 1)
    check = book.round().check("P3.clean")
    assert (check.state, len(check.attempts)) == ("outside", 2)


def test_the_answer_to_marks_is_about_them_and_not_about_what_another_writes_next(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = file_photo(book, "OH2")
    written_next(
        monkeypatch,
        book,
        lambda other: acts.record_marks(other, marks(photo, x_px=95.0), **WHO),
    )
    check = acts.record_marks(book, marks(photo), **WHO)
    assert len(check.attempts) == 1
    assert len(book.round().check("OH2.cover").attempts) == 2


def test_a_later_reading_counts_and_the_earlier_one_is_kept(book: Book) -> None:
    press_in(book)
    acts.record_reading(book, reading("P3.plug", 20.3), **WHO)
    check = book.round().check("P3.nip")
    assert check.state == "outside"
    assert [attempt.void for attempt in check.attempts] == [
        "P3.plug was replaced by a later one", "",
    ]  # fmt: skip
    assert [a.number for a in book.round().check("P3.plug").attempts] == [1, 2]


def test_striking_the_later_reading_brings_the_earlier_difference_back(book: Book) -> None:
    press_in(book)
    acts.record_reading(book, reading("P3.plug", 20.3), **WHO)
    wrong = book.round().check("P3.plug").attempts[1].stamp.entry
    before = len(book.entries())
    acts.strike(book, wrong, "read the wrong plug", at="later", by="second man")
    check = book.round().check("P3.nip")
    assert check.state == "within"
    assert check.attempts[1].void == "P3.plug was struck"
    assert len(book.entries()) == before + 1
    struck = book.round().check("P3.plug").attempts[1].struck
    assert struck is not None
    assert (struck.reason, struck.stamp.by, struck.stamp.at) == (
        "read the wrong plug", "second man", "later",
    )  # fmt: skip


def test_striking_can_make_a_new_difference_due(book: Book) -> None:
    acts.record_reading(book, reading("P3.plug", 20.1), **WHO)
    acts.record_reading(book, reading("P3.plug", 20.3), **WHO)
    acts.record_reading(book, reading("P3.bore", 20.0), **WHO)
    acts.strike(book, book.round().check("P3.plug").attempts[1].stamp.entry, "slip", **WHO)
    check = book.round().check("P3.nip")
    assert (check.state, len(check.attempts)) == ("within", 2)
    assert check.value is not None
    assert check.value.value == pytest.approx(0.1)


def test_striking_the_only_reading_leaves_nothing_measured(book: Book) -> None:
    press_in(book)
    acts.strike(book, book.round().check("P3.bore").attempts[0].stamp.entry, "slip", **WHO)
    assert book.round().check("P3.bore").state == "not measured"
    assert book.round().check("P3.bore").why == "struck: slip"
    nip = book.round().check("P3.nip")
    assert (nip.state, nip.why, nip.verdict) == ("not measured", "P3.bore was struck", None)


def test_an_agreement_is_judged_though_the_plan_gives_no_limit(book: Book) -> None:
    acts.record_reading(book, reading("OH2.deep", 5.12, half_step=0.05), **WHO)
    acts.record_reading(book, reading("OH2.other", 5.14, half_step=0.05), **WHO)
    assert book.round().check("OH2.agree").state == "within"
    acts.record_reading(book, reading("OH2.other", 5.94, half_step=0.05), **WHO)
    assert book.round().check("OH2.agree").state == "outside"


def test_an_agreement_of_exact_values_that_differ_can_not_be_worked_out(book: Book) -> None:
    acts.record_reading(book, reading("OH2.deep", 5.1, half_step=0.0), **WHO)
    acts.record_reading(book, reading("OH2.other", 5.2, half_step=0.0), **WHO)
    check = book.round().check("OH2.agree")
    assert (check.state, check.why) == ("not measured", "could not be worked out")


def test_a_difference_may_rest_on_a_difference(tmp_path: Path) -> None:
    def length(name: str, formula: str = "") -> Characteristic:
        kind = "computed" if formula else "length"
        return Characteristic(id=name, kind=kind, question="?", unit="mm", formula=formula)

    here = Location(
        id="L",
        name="l",
        characteristics=(
            length("second", "L.first - L.c"), length("first", "L.a - L.b"), length("a"),
            length("b"), length("c"),
        ),
    )  # fmt: skip
    with new_book(tmp_path / "b", Plan(job=plan().job, locations=(here,))) as book:
        for key, value in (("L.a", 9.0), ("L.b", 4.0), ("L.c", 2.0)):
            acts.record_reading(book, reading(key, value), **WHO)
        second = book.round().check("L.second")
        assert second.value is not None
        assert second.value.value == 3.0
        acts.record_reading(book, reading("L.a", 10.0), **WHO)
        second = book.round().check("L.second")
        assert second.value is not None
        assert second.value.value == 4.0


def test_differences_that_rest_on_each_other_are_never_measured(tmp_path: Path) -> None:
    def of(name: str, formula: str) -> Characteristic:
        return Characteristic(id=name, kind="computed", question="?", unit="mm", formula=formula)

    bare = Characteristic(id="a", kind="length", question="?", unit="mm")
    here = Location(
        id="L", name="l", characteristics=(of("x", "L.y - L.a"), of("y", "L.x - L.a"), bare)
    )
    with new_book(tmp_path / "b", Plan(job=plan().job, locations=(here,))) as book:
        acts.record_reading(book, reading("L.a", 9.0), **WHO)
        assert book.round().check("L.x").why == "waits for L.y"
        assert kinds(book) == ["job started", "reading"]


@pytest.mark.parametrize(
    ("wrong", "error", "words"),
    [
        (reading("P3.nip", 0.1), BadAct, "enter P3.plug and P3.bore instead"),
        (reading("P3.clean", 1.0), BadAct, "asks for yes or no"),
        (answer("P3.bore", said=True), BadAct, "asks for a value"),
        (reading("P3.bore", 20.0, unit="N.m"), UnitMismatch, "N.m"),
        (reading("P4.bore", 20.0), BadPlan, "no check 'P4.bore'"),
        (Read(key="P3.bore", text=5, quantity=Quantity(1, "mm")), BadRecord, "reading"),  # type: ignore[arg-type]
    ],
)
def test_a_reading_that_does_not_answer_is_refused_and_nothing_is_kept(
    book: Book, wrong: Read, error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        acts.record_reading(book, wrong, **WHO)
    assert kinds(book) == ["job started"]


def test_a_reading_is_judged_in_the_unit_of_its_limit(tmp_path: Path) -> None:
    limit = Limit("builder's own", at_least=Quantity(12.0, "mm"))
    check = Characteristic(id="d", kind="depth", question="?", unit="mm", limit=limit)
    here = Location(id="L", name="l", characteristics=(check,))
    with new_book(tmp_path / "b", Plan(job=plan().job, locations=(here,))) as book:
        assert acts.record_reading(book, reading("L.d", 0.49, unit="in"), **WHO).state == "within"
        assert acts.record_reading(book, reading("L.d", 0.46, unit="in"), **WHO).state == "outside"


def test_yes_is_within_and_no_is_outside(book: Book) -> None:
    assert acts.record_reading(book, answer("P3.clean", said=True), **WHO).state == "within"
    check = acts.record_reading(book, answer("P3.clean", said=False), **WHO)
    assert (check.state, check.why, check.answer) == ("outside", "answered no", False)
    assert "judged" not in kinds(book)


def test_marks_are_kept_with_what_they_gave_and_judged(book: Book) -> None:
    photo = file_photo(book, "OH2", "with scale")
    check = acts.record_marks(book, marks(photo), **WHO)
    assert check.state == "within"
    assert check.current is not None
    assert (check.current.photo, check.current.record) == (photo, marks(photo))
    assert acts.record_marks(book, marks(photo, x_px=600.0), **WHO).state == "outside"
    assert len(book.round().check("OH2.cover").attempts) == 2


def test_marks_that_do_not_carry_the_number_are_not_measured_and_say_why(book: Book) -> None:
    marked = marks(file_photo(book, "OH2"))
    empty = msgspec.structs.replace(marked.result, covered=Unknown("the far rim is not seen"))
    check = acts.record_marks(book, msgspec.structs.replace(marked, result=empty), **WHO)
    assert (check.state, check.why) == ("not measured", "the far rim is not seen")
    assert check.current is not None
    assert check.current.why_no_value == "the far rim is not seen"
    assert kinds(book)[-2:] == ["marked", "judged"]


def test_marks_need_their_photo_filed_at_the_place(book: Book) -> None:
    photo = file_photo(book, "P3")
    with pytest.raises(PhotoMissing, match="not filed at OH2"):
        acts.record_marks(book, marks(photo), **WHO)
    filing = file_photo(book, "OH2")
    acts.strike(book, book.entries()[-1].hash, "wrong hole", **WHO)
    with pytest.raises(PhotoMissing):
        acts.record_marks(book, marks(filing), **WHO)
    with pytest.raises(BadAct, match="asks for a length"):
        acts.record_marks(book, msgspec.structs.replace(marks(photo), key="P3.bore"), **WHO)


def test_striking_the_filing_of_a_photo_takes_its_marks_along(book: Book) -> None:
    photo = file_photo(book, "OH2")
    filing = book.entries()[-1].hash
    acts.record_marks(book, marks(photo), **WHO)
    acts.strike(book, filing, "that is the first hole", **WHO)
    check = book.round().check("OH2.cover")
    assert (check.state, check.why) == ("not measured", "the filing of its photo was struck")
    file_photo(book, "OH2")
    assert book.round().check("OH2.cover").state == "within"


def test_what_can_be_struck_once_with_a_reason(book: Book) -> None:
    press_in(book)
    _, bore, _, derived, judged = book.entries()
    # What follows from readings names them: they are what may have been entered wrongly.
    from_readings = "4 is worked out from others: strike the one that is wrong of 2, 3"
    for entry, why in (
        (derived, from_readings),
        (judged, from_readings),
        (book.entries()[0], "1 .job started. can't be struck: enter what is right"),
    ):
        with pytest.raises(BadAct, match=why):
            acts.strike(book, entry.hash, "no", **WHO)
    with pytest.raises(BadAct, match="needs its reason"):
        acts.strike(book, bore.hash, "  ", **WHO)
    with pytest.raises(NoSuchEntry):
        acts.strike(book, "ffffff", "no", **WHO)
    assert acts.strike(book, bore.seq, "slip", **WHO).kind == "struck"
    with pytest.raises(BadAct, match="struck already"):
        acts.strike(book, bore.hash, "again", **WHO)


def test_a_hold_point_refuses_with_everything_unproven_and_keeps_the_refusal(book: Book) -> None:
    press_in(book, plug=20.3)
    with pytest.raises(NotProven, match="the lid must not go on yet: 3 behind it") as refused:
        bench_acts.close(book, "lid", **WHO)
    expected = (
        ("P3.nip", "outside"), ("P3.clean", "not measured"), ("P3", "no photo: fitted"),
    )  # fmt: skip
    assert refused.value.unproven == expected
    last = book.entries()[-1]
    assert last.evidence == CloseRefused("lid", expected)
    hold = book.round().hold("lid")
    assert (hold.state, len(hold.refusals), hold.refusals[0].unproven) == ("open", 1, expected)


def test_a_hold_point_closes_when_all_it_hides_is_proven(book: Book) -> None:
    prove_everything(book)
    entry = bench_acts.close(book, "lid", at="noon", by="R. Tamm")
    hold = book.round().hold("lid")
    assert hold.closed is not None
    assert (hold.state, hold.closed.entry, hold.closed.at) == ("closed", entry.hash, "noon")
    assert all(check.hidden for check in book.round().place("P3").checks)
    assert not any(check.hidden for check in book.round().place("OH2").checks)
    with pytest.raises(BadAct, match=r"closed already, by R\. Tamm"):
        bench_acts.close(book, "lid", **WHO)


def test_a_closing_by_mistake_is_struck_and_the_hold_point_is_open_again(book: Book) -> None:
    prove_everything(book)
    closing = bench_acts.close(book, "lid", **WHO)
    acts.strike(book, closing.hash, "pressed by mistake", **WHO)
    assert book.round().hold("lid").state == "open"
    assert not book.round().check("P3.bore").hidden
    bench_acts.close(book, "lid", **WHO)
    assert book.round().hold("lid").state == "closed"


def test_a_reading_struck_behind_a_closed_hold_point_shows_there(book: Book) -> None:
    prove_everything(book)
    bench_acts.close(book, "lid", **WHO)
    acts.strike(book, book.round().check("P3.bore").attempts[0].stamp.entry, "slip", **WHO)
    hold = book.round().hold("lid")
    assert hold.state == "closed"
    assert hold.unproven == (
        ("P3.bore", "not measured: struck: slip"),
        ("P3.nip", "not measured: P3.bore was struck"),
    )


def test_a_photo_struck_is_missing(book: Book) -> None:
    prove_everything(book)
    acts.strike(book, book.entries()[-1].hash, "blurred", **WHO)
    with pytest.raises(NotProven, match="P3: no photo: fitted"):
        bench_acts.close(book, "lid", **WHO)


def waive(book: Book, key: str, **changes: str) -> None:
    words = {
        "reason": "car is needed", "decided_by": "R. Tamm", "owner_agreed": "on the phone, 14:10",
    }  # fmt: skip
    bench_acts.waive(book, "lid", key, **(words | changes), **WHO)


def test_a_waiver_lets_the_part_on_and_leaves_the_verdict(book: Book) -> None:
    prove_everything(book)
    acts.record_reading(book, reading("P3.plug", 20.3), **WHO)
    waive(book, "P3.nip")
    check = book.round().check("P3.nip")
    assert check.waiver is not None
    assert (check.state, check.proven, check.waiver.state) == ("outside", False, "outside")
    assert check.waiver.owner_agreed == "on the phone, 14:10"
    hold = book.round().hold("lid")
    assert (hold.unproven, hold.waived) == ((), (check.waiver,))
    bench_acts.close(book, "lid", **WHO)


def test_a_waiver_does_not_outlive_what_it_was_given_for(book: Book) -> None:
    prove_everything(book)
    acts.record_reading(book, reading("P3.plug", 20.3), **WHO)
    waive(book, "P3.nip")
    acts.record_reading(book, reading("P3.plug", 20.4), **WHO)
    check = book.round().check("P3.nip")
    assert check.waiver is None
    assert [w.stands for w in check.waivers] == [False]
    with pytest.raises(NotProven, match=r"P3\.nip: outside"):
        bench_acts.close(book, "lid", **WHO)


def test_a_waiver_of_nothing_measured_ends_when_something_is(book: Book) -> None:
    waive(book, "P3.clean")
    first = book.round().check("P3.clean").waiver
    assert first is not None
    assert first.state == "not measured"
    acts.record_reading(book, answer("P3.clean", said=False), **WHO)
    assert book.round().check("P3.clean").waiver is None


def test_a_waiver_can_be_struck(book: Book) -> None:
    waive(book, "P3.clean")
    acts.strike(book, book.entries()[-1].hash, "owner took it back", **WHO)
    (waived,) = book.round().check("P3.clean").waivers
    assert not waived.stands
    assert waived.struck is not None


def test_missing_photos_are_waived_by_the_place(book: Book) -> None:
    prove_everything(book)
    acts.strike(book, book.entries()[-1].hash, "blurred", **WHO)
    waive(book, "P3")
    hold = book.round().hold("lid")
    assert hold.unproven == ()
    assert [w.key for w in hold.waived] == ["P3"]
    bench_acts.close(book, "lid", **WHO)


def test_a_waiver_for_missing_photos_does_not_cover_one_lost_later(tmp_path: Path) -> None:
    holds = (msgspec.structs.replace(plan().hold_points[0], roles=("fitted", "bare bore")),)
    with new_book(tmp_path / "b", msgspec.structs.replace(plan(), hold_points=holds)) as book:
        file_photo(book, "P3", "fitted")
        filing = book.entries()[-1].hash
        waive(book, "P3")
        assert book.round().place("P3").waivers[0].stands
        acts.strike(book, filing, "blurred", **WHO)
        assert not book.round().place("P3").waivers[0].stands
        missing = [why for key, why in book.round().hold("lid").unproven if key == "P3"]
        assert missing == ["no photo: fitted", "no photo: bare bore"]


@pytest.mark.parametrize(
    ("key", "changes", "words"),
    [
        ("P3.clean", {"reason": " "}, "needs its reason"),
        ("P3.clean", {"decided_by": ""}, "name of who decided"),
        ("P3.clean", {"owner_agreed": ""}, "how the owner agreed"),
        ("OH2.cover", {}, "OH2.cover is not unproven at lid; unproven there: P3.bore"),
        ("P4", {}, "not unproven"),
    ],
)
def test_a_waiver_needs_its_words_and_something_to_waive(
    book: Book, key: str, changes: dict[str, str], words: str
) -> None:
    with pytest.raises(BadAct, match=words):
        waive(book, key, **changes)
    assert kinds(book) == ["job started"]


def test_what_is_proven_needs_no_waiver(book: Book) -> None:
    prove_everything(book)
    with pytest.raises(BadAct, match="unproven there: nothing"):
        waive(book, "P3.nip")


def test_an_unknown_hold_point_is_told_with_those_there_are(book: Book) -> None:
    with pytest.raises(BadPlan, match="no hold point 'cap' in this job; there are lid"):
        bench_acts.close(book, "cap", **WHO)


def test_a_book_opened_read_only_takes_nothing(book: Book) -> None:
    with Book.open(book.root, read_only=True) as reader:
        for act in (
            lambda: acts.record_reading(reader, reading("P3.bore", 20.0), **WHO),
            lambda: bench_acts.close(reader, "lid", **WHO),
            lambda: file_photo(reader, "P3"),
        ):
            with pytest.raises(CannotWrite, match="opened read-only"):
                act()
    assert kinds(book) == ["job started"]
