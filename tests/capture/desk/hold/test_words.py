"""What a hold point is called before and after its part went on."""

import pytest
from msgspec import structs

from capture.desk.hold.groups import groups_of
from capture.desk.hold.lines import lines_of
from capture.desk.hold.words import alone_of, bar_of, refused_of, reopened_of, title_of
from store.attempt import Stamp
from store.plan import HoldPoint
from store.round import Hold
from tests.capture.desk.hold.shown import shown

STAMP = Stamp("ab" * 32, 4, "2026-03-02T09:31:00+01:00", "b", "T. Orme")


def hold(name: str, *, unproven: bool = False, closed: bool = False) -> Hold:
    return Hold(
        HoldPoint("h", name, ("L1",)),
        closed=STAMP if closed else None,
        unproven=(("L1.a", "not measured"),) if unproven else (),
        hides=("L1", "L2"),
    )


@pytest.mark.parametrize(
    ("name", "not_yet", "may", "is_on"),
    [
        ("Side cover", "Side cover may not go on yet.", "Side cover may go on.",
         "Side cover is on."),
        ("Side covers", "Side covers may not go on yet.", "Side covers may go on.",
         "Side covers are on."),
        ("Camshaft goes in", "Camshaft may not go in yet.", "Camshaft may go in.",
         "Camshaft is in."),
        ("Crankshaft and main caps go on", "Crankshaft and main caps may not go on yet.",
         "Crankshaft and main caps may go on.", "Crankshaft and main caps are on."),
        ("Engine is painted and goes out", "Engine is painted and goes out: not yet.",
         "Engine is painted and goes out: nothing stands against it.",
         "Engine is painted and goes out: closed."),
    ],
)  # fmt: skip
def test_the_title_is_a_sentence_about_the_part(name, not_yet, may, is_on) -> None:
    assert title_of(hold(name, unproven=True)) == not_yet
    assert title_of(hold(name)) == may
    assert title_of(hold(name, closed=True)) == is_on


def test_what_came_loose_under_a_closed_cover_is_in_the_title() -> None:
    said = title_of(hold("Camshaft goes in", unproven=True, closed=True))
    assert said == "Camshaft is in, and something is unproven since."


def test_the_cover_says_what_holds_it_off() -> None:
    assert bar_of(hold("Side cover", unproven=True)) == (
        "Side cover", ", held off by 1 of 2 locations",
    )  # fmt: skip
    assert bar_of(hold("Side cover")) == ("Side cover", ", sits on 2 locations")
    assert bar_of(hold("Side cover", closed=True)) == ("Side cover", ", over 2 locations")


def test_what_was_never_refused_says_nothing(small) -> None:
    assert refused_of(small.round, small.round.hold("cover"), []) == ""


def test_a_refusal_says_how_much_is_unproven_and_where_to_go_first(small, qtbot) -> None:
    with qtbot.waitSignal(small.refused):
        small.act(lambda journey: journey.close("cover"))
    held = small.round.hold("cover")
    groups = groups_of(lines_of(small.round, held))
    assert refused_of(small.round, held, groups) == (
        "Refused 09:00: 1 of 1 location is unproven; first 2 Core plug 1 (key 1)"
    )


def test_what_was_opened_again_says_when_by_whom_and_why(small) -> None:
    again = structs.replace(hold("Side cover"), reopened=((STAMP, "seal leaks"),))
    assert reopened_of(small.round, again) == "Opened again 09:31 by T. Orme: seal leaks"
    assert reopened_of(small.round, structs.replace(again, closed=STAMP)) == ""


def test_a_reading_outside_by_itself_is_told_of_a_location_whose_mean_is_within(
    benched, qtbot
) -> None:
    # 58.30 to 58.40 mm; the mean of these is 58.368 mm by hand, and two of them lie past it
    for text in ("58.405", "58.333", "58.403", "58.331"):
        benched.act(lambda j, text=text: j.reading("M1.journal", text, stands="looked again"))
    qtbot.waitUntil(lambda: benched.round.check("M1.journal").current is not None)
    assert benched.round.check("M1.journal").state == "within"
    (told,) = alone_of(benched.round, benched.round.hold("crank"))
    assert told.startswith("4 Main bearing, journal: within by the mean of 4 readings; ")
    assert told.endswith("along and along, no. 2 themselves are outside.")
    screen = shown(benched, qtbot, "crank")
    assert "themselves are outside" in screen.waivers.text()
    assert screen.waivers.isVisible()
