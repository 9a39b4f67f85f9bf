"""Where things stand, told from entries alone."""

import msgspec
import pytest

from annotate.quantity import Quantity
from store.codec import FIRST_PREV, Entry, encode
from store.errors import BadPlan, Damaged, NoSuchEntry
from store.evidence import (
    Closed,
    Derived,
    Evidence,
    JobStarted,
    Judged,
    Marked,
    PhotoTaken,
    Read,
    Struck,
)
from store.holds import unproven
from store.judge import judge, limit_for
from store.round import Round
from store.standing import hold_now, standing
from store.told.telling import Telling
from tests.store.small_job import VERSION, answer, marks, plan, reading


def tell(*records: Evidence) -> tuple[Entry, ...]:
    """Chain records into entries, the plan first; claimed times run backwards on purpose."""
    entries: list[Entry] = []
    for number, record in enumerate((JobStarted(plan(), VERSION), *records), start=1):
        entries.append(
            encode(
                record, seq=number, prev=entries[-1].hash if entries else FIRST_PREV,
                salt=f"{number:032x}", at=f"2026-03-02T{23 - number % 24:02}:00:00+01:00",
                bench="north", by=f"hand {number}",
            )
        )  # fmt: skip
    return tuple(entries)


def told(*records: Evidence) -> Round:
    entries = tell(*records)
    round_ = standing(entries)
    for hold in round_.holds:  # what a closing is decided by is what the round says, every time
        assert hold_now(Telling(entries), hold.hold_point.id) == (hold, round_.counts_open)
    return round_


def test_a_job_just_started_waits_for_everything() -> None:
    round_ = told()
    assert [check.key for check in round_.checks] == [key for key, _, _ in plan().walk()]
    assert {check.state for check in round_.checks} == {"not measured"}
    assert [check.why for check in round_.checks] == [
        "", "", "waits for P3.plug and P3.bore", "", "", "", "", "waits for OH2.deep and OH2.other",
    ]  # fmt: skip
    assert round_.tally() == {
        "within": 0, "outside": 0, "too close to call": 0, "not measured": 8, "no limit": 0,
    }  # fmt: skip
    assert (round_.version, round_.entries, round_.job) == (VERSION, 1, plan().job)
    assert round_.started == round_.last
    assert (round_.started.by, round_.started.seq, round_.started.bench) == ("hand 1", 1, "north")
    hold = round_.hold("lid")
    assert (hold.state, hold.closed, hold.refusals, hold.waived) == ("open", None, (), ())
    assert unproven(round_, "lid") == (
        ("P3.bore", "not measured"),
        ("P3.plug", "not measured"),
        ("P3.nip", "not measured: waits for P3.plug and P3.bore"),
        ("P3.clean", "not measured"),
        ("P3", "no photo: fitted"),
    )


def test_without_the_plan_first_there_is_no_round() -> None:
    with pytest.raises(Damaged, match="does not begin with its plan"):
        standing(())
    with pytest.raises(Damaged, match="does not begin with its plan"):
        standing(tell(Closed("lid"))[1:])


def test_the_round_is_found_by_key_place_hold_point_and_entry() -> None:
    entries = tell(reading("P3.bore", 20.0))
    round_ = standing(entries)
    assert round_.check("P3.bore").key == "P3.bore"
    assert round_.place("P3").location.id == "P3"
    assert round_.attempt(entries[1].hash).record == entries[1].evidence
    assert round_.last.entry == entries[1].hash
    with pytest.raises(BadPlan, match="no check"):
        round_.check("P3.bores")
    with pytest.raises(BadPlan, match="no location"):
        round_.place("P9")
    with pytest.raises(BadPlan, match="no hold point"):
        round_.hold("cap")
    with pytest.raises(NoSuchEntry):
        round_.attempt(entries[0].hash)


def test_order_is_that_of_arrival_whatever_the_clock_claims() -> None:
    round_ = told(reading("P3.bore", 20.0), reading("P3.bore", 20.5))
    check = round_.check("P3.bore")
    assert check.attempts[0].stamp.at > check.attempts[1].stamp.at
    assert check.value is not None
    assert check.value.value == 20.5


def test_a_value_with_a_limit_and_without_a_verdict_is_not_measured() -> None:
    round_ = told(marks_filed(), marks("ab" * 32))
    check = round_.check("OH2.cover")
    assert (check.state, check.why) == ("not measured", "there is a value, but it was not judged")
    assert check.value is not None
    assert not check.proven


def marks_filed(location: str = "OH2") -> PhotoTaken:
    return PhotoTaken("ab" * 32, "jpg", 9, "a.jpg", location, "fitted", 640, 480)


def test_marks_on_a_photo_filed_elsewhere_do_not_count() -> None:
    check = told(marks_filed("P3"), marks("ab" * 32)).check("OH2.cover")
    assert check.state == "not measured"
    assert check.attempts[0].void
    assert not check.attempts[0].counts


def test_the_last_verdict_on_an_entry_is_the_one() -> None:
    marked = marks("ab" * 32)
    limit = limit_for(plan().characteristic("OH2.cover")[1])
    assert limit is not None
    entries = tell(marks_filed(), marked)
    verdicts = [judge(Quantity(v, "%", u=0.1), limit) for v in (90.0, 10.0)]
    judged = [Judged("OH2.cover", entries[2].hash, verdict) for verdict in verdicts]
    check = told(marks_filed(), marked, *judged).check("OH2.cover")
    assert (check.state, check.verdict) == ("within", verdicts[1])
    assert check.current is not None
    assert check.current.verdict_stamp is not None
    assert check.current.verdict_stamp.seq == 5


def test_the_first_strike_is_the_one() -> None:
    entries = tell(reading("P3.bore", 20.0))
    twice = (Struck(entries[1].hash, "first"), Struck(entries[1].hash, "second"))
    attempt = told(reading("P3.bore", 20.0), *twice).check("P3.bore").attempts[0]
    assert attempt.struck is not None
    assert (attempt.struck.reason, attempt.struck.stamp.seq) == ("first", 3)
    assert not attempt.counts


def test_a_yes_no_without_an_answer_is_not_measured() -> None:
    check = told(Read(key="P3.clean", text="", quantity=None)).check("P3.clean")
    assert (check.state, check.why) == ("not measured", "there is no answer")
    assert told(answer("P3.clean", said=True)).check("P3.clean").answer is True


def test_an_answer_that_was_replaced_keeps_what_it_stood_at() -> None:
    records = (answer("P3.clean", said=False), answer("P3.clean", said=True))
    check = told(*records).check("P3.clean")
    assert [attempt.state for attempt in check.attempts] == ["outside", "within"]
    assert check.state == "within"
    assert told(reading("P3.bore", 20.0)).check("P3.bore").attempts[0].state == "no limit"


def test_a_derived_value_from_other_entries_than_those_that_count_is_void() -> None:
    records = (reading("P3.bore", 20.0), reading("P3.plug", 20.1))
    _, bore, plug = tell(*records)
    right = Derived("P3.nip", Quantity(0.1, "mm"), (plug.hash, bore.hash))
    swapped = Derived("P3.nip", Quantity(-0.1, "mm"), (bore.hash, plug.hash))
    assert told(*records, right).check("P3.nip").attempts[0].counts
    assert not told(*records, swapped).check("P3.nip").attempts[0].counts


def test_entries_of_what_the_plan_does_not_have_are_passed_over() -> None:
    strange = (
        reading("P9.x", 1.0), marks_filed("P9"), Closed("cap"),
        msgspec.structs.replace(marks("ab" * 32), key="P9.x"),
        Derived("P9.x", Quantity(1.0, "mm"), ("a", "b")), Struck("ff" * 32, "nothing"),
    )  # fmt: skip
    assert told(*strange).checks == told().checks
    assert told(*strange).entries == 7


def test_what_was_marked_tells_its_photo() -> None:
    round_ = told(marks_filed(), marks("ab" * 32), reading("P3.bore", 20.0))
    attempt = round_.check("OH2.cover").attempts[0]
    assert isinstance(attempt.record, Marked)
    assert (attempt.photo, attempt.answer) == ("ab" * 32, None)
    assert round_.check("P3.bore").attempts[0].photo == ""


def test_photos_are_told_by_place_and_role() -> None:
    place = told(marks_filed(), marks_filed("P3")).place("OH2")
    assert [photo.taken for photo in place.photos] == [marks_filed()]
    assert place.photos_of("fitted") == place.photos
    assert place.photos_of("overall") == ()
    assert place.missing(("overall", "fitted")) == ("overall",)


def test_a_photo_that_cannot_be_shown_is_not_the_one_a_hold_point_demands() -> None:
    dark = msgspec.structs.replace(marks_filed("P3"), width_px=None, height_px=None)
    round_ = told(dark)
    assert round_.place("P3").missing(("fitted",)) == ("fitted",)
    assert ("P3", "no photo that can be shown: fitted") in unproven(round_, "lid")
    assert "P3" not in dict(unproven(told(dark, marks_filed("P3")), "lid"))


def test_a_check_knows_what_hides_it() -> None:
    round_ = told(Closed("lid"))
    assert round_.check("P3.bore").hold_points == ("lid",)
    assert round_.check("P3.bore").hidden
    assert round_.check("OH2.deep").hold_points == ()
    assert not round_.check("OH2.deep").hidden
