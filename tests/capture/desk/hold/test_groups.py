"""One line per location of a hold point: what waits for the hand, and what is worked out then."""

from capture.desk.desk import Desk
from capture.desk.hold.groups import Group, groups_of
from capture.desk.hold.lines import lines_of
from capture.desk.where import Where
from capture.plans.reader import parse_plan
from tests.capture.small_plan import PLAN


def groups(desk: Desk, hold: str) -> dict[str, Group]:
    return {each.key: each for each in groups_of(lines_of(desk.round, desk.round.hold(hold)))}


def test_there_is_one_line_for_each_location_in_walk_order(demo) -> None:
    for hold in demo.round.holds:
        shown = groups_of(lines_of(demo.round, hold))
        wanted = dict.fromkeys(key.partition(".")[0] for key, _ in hold.unproven)
        assert [group.key for group in shown] == list(wanted)


def test_what_is_worked_out_is_folded_under_what_it_waits_for(small) -> None:
    plug = groups(small, "cover")["P1"]
    assert plug.detail == "still to do: bore, plug, depth, clean"
    assert plug.after == "then worked out: press"
    assert plug.goes == Where("location", "P1.bore")
    assert plug.question == "5 checks"


def test_it_leads_to_the_first_that_waits_for_the_hand(small, qtbot) -> None:
    small.act(lambda journey: journey.reading("P1.bore", "40.012 mm +- 0.002 mm"))
    small.act(lambda journey: journey.reading("P1.plug", "40.087 mm +- 0.002 mm"))
    small.act(lambda journey: journey.reading("P1.depth", "4.5 mm +- 0.1 mm BELOW"))
    qtbot.waitUntil(lambda: small.round.check("P1.depth").state == "outside")
    plug = groups(small, "cover")["P1"]
    assert plug.goes == Where("location", "P1.clean")
    assert (plug.state, plug.word) == ("outside", "outside")
    assert plug.detail == "depth outside; still to do: clean"


def test_the_only_one_says_what_was_found_and_its_limit(small, qtbot) -> None:
    for key, text in (("P1.bore", "40.012 mm +- 0.002 mm"), ("P1.plug", "40.087 mm +- 0.002 mm"),
                      ("P1.depth", "4.5 mm +- 0.1 mm BELOW"), ("P1.clean", "yes")):  # fmt: skip
        small.act(lambda journey, key=key, text=text: journey.reading(key, text))
    qtbot.waitUntil(lambda: small.round.check("P1.clean").current is not None)
    plug = groups(small, "cover")["P1"]
    assert plug.question == "Depth?"
    assert plug.detail == "4.5 mm +- 0.1 mm BELOW"
    assert plug.after == "limit: at least 2 mm BELOW and at most 4 mm BELOW"


def test_another_cover_has_a_line_of_its_own(benched) -> None:
    first = groups_of(lines_of(benched.round, benched.round.hold("sump")))[0]
    assert (first.key, first.number, first.goes) == ("crank", 0, Where("hold", "crank"))
    assert first.spoken.startswith("Crankshaft goes in: not on yet")


def test_what_a_location_lacks_as_a_whole_is_said_as_it_is(begun, qtbot) -> None:
    text = PLAN.replace('name = "Core plug 1"', 'name = "Core plug 1"\nplug = true')
    desk = begun(parse_plan(text.encode(), "plan.toml"))
    for key, text in (("P1.bore", "40.012 mm +- 0.002 mm"), ("P1.plug", "40.087 mm +- 0.002 mm"),
                      ("P1.depth", "4.5 mm +- 0.1 mm BELOW"), ("P1.clean", "yes")):  # fmt: skip
        desk.act(lambda journey, key=key, text=text: journey.reading(key, text))
    qtbot.waitUntil(lambda: desk.round.check("P1.clean").current is not None)
    plug = groups(desk, "cover")["P1"]
    assert plug.detail == "depth outside; no plug is in"
    assert plug.question == "2 things"
