"""A verdict in words: heading, what is known, and what to do next."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from annotate.quantity import Quantity
from annotate.result import Coverage, Known, Parallax, Unknown
from capture.desk.limit.advice import photo_again
from capture.desk.limit.clauses import fitting, whole
from capture.desk.limit.facts import bounded
from capture.desk.limit.measured import facts_of
from capture.desk.limit.verdict_words import Said, line_in_words, said_covered, said_of
from store.attempt import Attempt
from store.characteristic import Spot
from store.evidence import Read
from store.round import Check, Waived
from tests.capture.desk.limit.made import STAMP, check, covered, limit

NO = Unknown("not told")


def said(made: Check) -> Said:
    return said_of(made, None, facts_of(made))


def clauses(made: Check) -> list[str]:
    return [whole(each) for each in said(made).clauses]


def test_too_close_leads_with_what_is_open_and_the_chances() -> None:
    # P(Z < (40 - 37.6) / 3.1) = P(Z < 0.774) = 0.7805 by the table of the normal distribution.
    assert said(covered(0.376, 0.031)).heading == "Too close to call"
    assert clauses(covered(0.376, 0.031)) == [
        "62\u00a0% open.",
        "78 chances in\u00a0100 that it is within; the rule wants 95.",
    ]


def test_outside_tells_the_chances_of_being_outside_and_what_to_do() -> None:
    made = check("length", Quantity(0.072, "mm", 0.004), limit=limit(0.02, 0.06))
    assert said(made).heading == "Outside"
    assert clauses(made) == [
        "More than\u00a099 chances in\u00a0100 that it is outside; the rule wants 95."
    ]
    assert said(made).following == ("Work on it and measure it again, or have it waived.",)


def test_the_simple_rule_is_said() -> None:
    made = check("length", Quantity(38, "mm", 0.5), limit=limit(None, 40, rule="simple"))
    assert clauses(made) == ["Judged by the value alone (simple rule)."]
    assert bounded(facts_of(made)) == ""


def test_while_readings_are_missing_there_is_no_line_and_the_limit_in_words() -> None:
    made = check(
        "length", limit=limit(58.3, 58.4), repeats=3, missing=(Spot(repeat=2), Spot(repeat=3))
    )
    assert facts_of(made) is None
    assert said(made).heading == "Not measured yet"
    assert clauses(made) == [
        "1 of 3 readings.",
        "The limit, at least 58.3 mm and at most 58.4 mm, is judged when all are in.",
    ]
    assert said(made).following == ("Read no. 2; 2 to go.",)


def test_nothing_of_the_verdict_is_said_while_it_is_covered() -> None:
    words = said_covered("rims being placed")
    assert (words.heading, words.sign) == ("Rims being placed", None)
    assert "accepted" in whole(words.clauses[0])


def test_no_limit_is_recorded_and_asks_for_what_is_missing() -> None:
    value = Quantity(58.352, "mm", 0.004)
    assert said(check("length", value)).heading == "Recorded"
    assert clauses(check("length", value)) == ["Nothing to judge it by."]
    assert said(check("length", value)).following == ()
    asking = check("length", value, asks="journal size")
    assert clauses(asking) == ["Nothing to judge it by yet.", "Asked for: journal size."]
    assert said(asking).following == ("Look up the limit and set it.",)


def test_a_suspect_gauge_comes_first_and_asks_for_another() -> None:
    made = check(
        "length", Quantity(58.352, "mm", 0.004), limit=limit(58.3, 58.4),
        suspect="mic-1 may have been wrong since 3 Feb",
    )  # fmt: skip
    assert said(made).suspect
    assert clauses(made)[0] == "Gauge suspect: mic-1 may have been wrong since 3 Feb."
    assert said(made).following == ("Read it again with another gauge, or clear the gauge.",)


def test_a_waiver_is_said_and_the_verdict_stays() -> None:
    waived = Waived(STAMP, "h", "C1.x", "outside", "no other shells", "T. Orr", "by phone", True)
    made = check("length", Quantity(0.072, "mm", 0.004), limit=limit(0.02, 0.06), waivers=(waived,))
    assert said(made).waived
    assert said(made).heading == "Outside"
    assert clauses(made)[0] == "Waived by T. Orr: no other shells."
    assert said(made).following == ()


def test_a_hidden_one_says_what_must_be_opened() -> None:
    made = check("length", limit=limit(0.02, 0.06), hidden=True)
    assert said(made).following == ("It is hidden now: to work on it, open the hold point again.",)


def test_never_fitted_asks_for_nothing() -> None:
    made = check("length", limit=limit(0.02, 0.06), excused="never fitted on this block")
    assert (said(made).heading, said(made).sign, said(made).following) == ("Never fitted", None, ())
    assert facts_of(made) is None


@pytest.mark.parametrize(
    ("value", "bound", "words"),
    [
        # A depth is positive BELOW, and said with its word; 1.645 u to the wall's side.
        (2.5, limit(None, 2.6), "could be as much as 2.55\u00a0mm BELOW"),
        (2.5, limit(2.4), "could be only 2.45\u00a0mm BELOW"),
        (-0.27, limit(-0.3), "could be as much as 0.32\u00a0mm PROUD"),
        (-0.27, limit(None, -0.2), "could be only 0.22\u00a0mm PROUD"),
    ],
)
def test_a_depth_could_be_in_words_never_in_signs(value, bound, words) -> None:
    facts = facts_of(check("depth", Quantity(value, "mm", 0.03), limit=bound))
    assert bounded(facts) == words
    assert ("PROUD" in facts.said) == (value < 0)


def test_how_far_depths_are_apart_is_no_depth() -> None:
    made = check(
        "depth", Quantity(0.05, "mm", 0.01), limit=limit(None, 0.2), repeats=2, take="range"
    )
    facts = facts_of(made)
    assert facts.said == "0.05\u00a0mm"
    assert facts.aside.endswith("range of 2")


def test_the_other_unit_stands_beside_by_the_exact_inch() -> None:
    # 58.42 mm / 25.4 mm = 2.3 in exactly (inch of 1959).
    facts = facts_of(check("length", Quantity(58.42, "mm", 0.02), limit=limit(58.3, 58.5)))
    assert facts.aside == "2.3000 in"
    made = check("length", Quantity(2.3, "in", 0.001), limit=limit(58.3, 58.5))
    assert facts_of(made).value == pytest.approx(58.42)
    assert facts_of(made).say.unit == "mm"


def test_what_is_exact_says_that_nobody_stated_its_doubt() -> None:
    made = check("length", Quantity(58.35, "mm"), limit=limit(58.3, 58.4))
    assert clauses(made) == ["No uncertainty was stated."]
    assert bounded(facts_of(made)) == ""


def coverage(dx: float, dy: float, lean: float) -> Coverage:
    shift = [Known(Quantity(each, "mm", 0.01)) for each in (dx, dy)]
    return Coverage(
        NO, NO, NO, NO, NO, NO, NO, NO, NO, Known(Quantity(lean, "deg", 0.4)),
        Parallax(shift[0], shift[1], NO), NO,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("dx", "dy", "way"),
    # The far hole seems shifted towards the camera, which must go the other way.
    [(0.5, 0.5, "left and up"), (-0.5, 0.0, "right"), (0.0, -0.5, "down")],
)
def test_the_camera_is_sent_against_the_shift(dx, dy, way) -> None:
    words = photo_again(coverage(dx, dy, 8.1))
    assert f"Move the camera {way} and take it again" in words
    assert "8.1\N{DEGREE SIGN}" in words
    assert "prove it with a pin" in words


def test_a_camera_that_looked_straight_in_is_not_sent_anywhere() -> None:
    assert "Move" not in photo_again(coverage(0.5, 0.5, 1.0))


def test_everything_drawn_is_said_to_who_cannot_see_it() -> None:
    words = " ".join(line_in_words(facts_of(covered(0.376, 0.031))))
    for part in ("38\u00a0% covered", "95 % interval", "Could be as much as 43\u00a0%",
                 "at most 40\u00a0% covered, of the smaller hole"):  # fmt: skip
        assert part in words


@given(
    texts=st.lists(st.text("ab c", min_size=1, max_size=30), max_size=4), room=st.integers(0, 120)
)
def test_sentences_never_take_more_room_than_there_is(texts, room) -> None:
    made = fitting(tuple(texts), room, lambda text: float(len(text)))
    assert len(made) <= room
    if sum(map(len, texts)) + max(0, len(texts) - 1) <= room:
        assert made == " ".join(texts)


def test_a_shorter_way_to_say_it_is_taken_before_it_is_left_out() -> None:
    parts = (("One long sentence.", "One."), "Two.")
    assert fitting(parts, 9, lambda text: float(len(text))) == "One. Two."
    assert fitting(parts, 4, lambda text: float(len(text))) == "One."
    assert fitting(parts, 3, lambda text: float(len(text))) == "On\u2026"


def by_letters(text: str) -> float:
    return float(len(text))


def test_the_waiver_s_reason_and_name_go_before_the_chances() -> None:
    waived = Waived(STAMP, "h", "C1.x", "outside", "no other shells", "T. Orr", "by phone", True)
    made = replace(covered(0.376, 0.031), waivers=(waived,))
    parts = said(made).clauses
    whole_text = fitting(parts, 1000, by_letters)
    assert "Waived by T. Orr: no other shells." in whole_text
    assert whole_text.endswith("78 chances in\u00a0100 that it is within; the rule wants 95.")
    less = fitting(parts, 100, by_letters)
    assert "Waived by T. Orr." in less or "Waived." in less
    assert "T. Orr: no" not in less
    for room in range(40, 140):
        text = fitting(parts, room, by_letters)
        assert len(text) <= room
        assert "78" in text
        assert "95" in text


def test_a_clause_of_several_wordings_stays_and_plain_ones_go_from_the_end() -> None:
    parts = (("Gauge suspect: mic.", "Gauge suspect."), ("75 in 100.",), "By the table: B.")
    assert fitting(parts, 26, by_letters) == "Gauge suspect. 75 in 100."


def test_a_limit_that_is_still_asked_for_is_looked_up_next() -> None:
    unread = check("length", asks="journal size")
    assert said(unread).following[-1] == "Look up the limit and set it."
    read = check("length", Quantity(58.352, "mm", 0.004), asks="journal size")
    assert said(read).following == ("Look up the limit and set it.",)
    assert "Look up" not in " ".join(said(check("length", limit=limit(1, 2))).following)


def test_a_torque_has_one_mark_for_its_unit_in_the_words_and_on_the_line() -> None:
    missing = (Spot(repeat=2), Spot(repeat=3))
    made = check("torque", unit="N.m", limit=limit(None, 50, "N.m"), repeats=3, missing=missing)
    told = " ".join(clauses(made))
    assert "50 N\N{MIDDLE DOT}m" in told
    assert "N.m" not in told


def clock(
    *depths_mm: float, mean: float, unit: str = "mm", take: str = "mean", u: float = 0.01
) -> Check:
    """Return a depth read round the clock, at most 4 mm BELOW, judged by this mean."""
    hours = ("12h", "3h", "6h", "9h")
    readings = tuple(
        Attempt(n, STAMP, Read("C1.x", str(at), at, spot=Spot(hour)), value=at)
        for n, (hour, value) in enumerate(zip(hours, depths_mm, strict=True), 1)
        for at in (Quantity(value, unit, u),)
    )
    return check(
        "depth", Quantity(mean, "mm", 0.02), limit=limit(2, 4),
        positions=hours, take=take, readings=readings,
    )  # fmt: skip


def test_a_reading_outside_is_told_beside_a_mean_that_is_within() -> None:
    # by hand: (4.3 + 3.0 + 2.9 + 3.0) / 4 = 3.3; the plug leans, and at 12h it lies too deep
    leaning = clock(4.3, 3.0, 2.9, 3.0, mean=3.3)
    assert said(leaning).heading == "Within"
    assert clauses(leaning)[0] == "Judged by the mean. 12h itself is outside."
    for room in range(28, 200):
        assert "12h itself is outside." in fitting(said(leaning).clauses, room, by_letters)


def test_readings_outside_are_told_on_either_side() -> None:
    assert clauses(clock(4.3, 3.0, 1.9, 3.0, mean=3.05))[0].endswith(
        "12h and 6h themselves are outside."
    )
    # a PROUD one is far on the other side of at least 2 mm BELOW
    assert clauses(clock(3.9, 3.9, 3.9, -0.5, mean=2.8))[0].endswith(" 9h itself is outside.")


def test_readings_that_lie_on_the_limit_or_make_no_size_say_nothing() -> None:
    for made in (
        clock(4.0, 2.0, 3.0, 3.0, mean=3.0),
        clock(4.3, 3.0, 2.9, 3.0, mean=1.4, take="range"),
        check("length", Quantity(5, "mm", 0.01), limit=limit(2, 4)),
    ):
        assert "sel" not in " ".join(clauses(made))  # neither "itself" nor "themselves"


def test_a_reading_in_another_unit_is_compared_as_what_it_is() -> None:
    # 0.160 in = 4.064 mm, past 4 mm; 0.157 in = 3.988 mm is not (1 in = 25.4 mm exactly)
    assert clauses(clock(0.160, 0.157, 0.12, 0.12, mean=3.0, unit="in", u=0.0005))[0].endswith(
        " 12h itself is outside."
    )


def test_what_was_shortened_is_said_whole_again_when_something_else_had_to_go() -> None:
    parts = (("One long sentence.", "One."), "Two is rather long too.")
    assert fitting(parts, 20, by_letters) == "One long sentence."
    assert fitting(parts, 17, by_letters) == "One."


@given(st.integers(20, 200))
def test_the_chances_are_said_as_fully_as_there_is_room_for(room: int) -> None:
    parts = (*said(covered(0.376, 0.031)).clauses, "Limit: covered at most 40 %.")
    shown = fitting(parts, room, by_letters)
    whole_chances = "78 chances in\u00a0100 that it is within; the rule wants 95."
    shorter = (
        "78 chances in\u00a0100 within; the rule wants 95.",
        "78 in\u00a0100 within; 95 wanted.",
    )
    for each in shorter:
        if each in shown:
            assert len(shown.replace(each, whole_chances)) > room
    if room >= len(shorter[-1]):
        assert any(each in shown for each in (whole_chances, *shorter))
