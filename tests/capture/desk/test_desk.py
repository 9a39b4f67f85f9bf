"""The desk asks, the bench thread does, and the round comes back."""

from capture.desk.where import Where
from capture.journey import Journey
from capture.verifying import verify_book
from store.round import Round


def test_a_reading_is_filed_and_the_round_comes_before_the_answer(small, qtbot) -> None:
    seen = []
    small.round_changed.connect(lambda known: seen.append(("round", known.check("P1.bore").state)))
    small.act(lambda j: j.reading("P1.bore", "40.012"), then=lambda c: seen.append(("then", c.key)))
    qtbot.waitUntil(lambda: len(seen) == 2)
    assert seen == [("round", "no limit"), ("then", "P1.bore")]


def test_what_is_refused_is_one_sentence_and_nothing_is_filed(small, qtbot) -> None:
    before = small.round.entries
    with qtbot.waitSignal(small.refused) as said:
        small.act(lambda j: j.reading("P1.bore", "1,234"))
    assert "1,234" in said.args[0]
    assert small.round.entries == before


def test_an_error_of_ours_is_told_and_the_desk_goes_on(small, qtbot) -> None:
    with qtbot.waitSignal(small.refused) as said:
        small.act(lambda _: 1 / 0)
    assert "should not have happened (ZeroDivisionError)" in said.args[0]
    done = []
    small.act(lambda j: j.reading("P1.bore", "40.012"), then=done.append)
    qtbot.waitUntil(lambda: bool(done))
    assert done[0].value.value == 40.012


def test_a_round_that_cannot_be_told_is_said_and_told_after_the_next_act(
    small, qtbot, monkeypatch
) -> None:
    whole, broken = Journey.round, [OSError(5, "Input/output error")]

    def once_broken(journey: Journey) -> Round:
        if broken:
            raise broken.pop()
        return whole(journey)

    monkeypatch.setattr(Journey, "round", once_broken)
    done = []
    with qtbot.waitSignal(small.refused):
        small.act(lambda j: j.reading("P1.bore", "40.012"), then=done.append)
    small.act(lambda j: j.reading("P1.plug", "40.12"), then=done.append)
    qtbot.waitUntil(lambda: len(done) == 2)
    assert [small.round.check(key).value.value for key in ("P1.bore", "P1.plug")] == [40.012, 40.12]


def test_acts_are_done_in_the_order_they_were_asked(small, qtbot) -> None:
    done = []
    for text in ("40.012", "40.013", "40.014"):
        small.act(lambda j, text=text: j.reading("P1.bore", text), then=done.append)
    qtbot.waitUntil(lambda: len(done) == 3)
    assert [c.value.value for c in done] == [40.012, 40.013, 40.014]


def test_closing_waits_for_what_was_asked_and_the_book_verifies(small, qtbot) -> None:
    root = small.root
    for text in ("40.012", "40.013"):
        small.act(lambda j, text=text: j.reading("P1.bore", text))
    small.bench.close()
    findings = verify_book(root, version="0.0-test")
    assert findings == []
    from store.book import Book  # noqa: PLC0415 - beside its use

    with Book.open(root, read_only=True) as book:
        assert book.round().check("P1.bore").value.value == 40.013
    small.bench.close = lambda: None  # it is closed


def test_reopening_lands_where_one_was(small, qtbot) -> None:
    small.go_to_check("P1.plug")
    root = small.root
    small.go(Where("first"))
    small.open(root)
    qtbot.waitUntil(lambda: small.where.room == "location")
    assert small.where == Where("location", "P1.plug")


def test_going_back_goes_where_one_was(small) -> None:
    first = small.where
    small.go(Where("map"))
    small.go_back()
    assert small.where == first
