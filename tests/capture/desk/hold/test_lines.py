"""Each line of a hold point says what was found, against what, and where it leads."""

from capture.desk.desk import Desk
from capture.desk.hold.columns import columns_of
from capture.desk.hold.lines import Line, lines_of
from capture.desk.where import Where


def lines(desk: Desk, hold: str = "cover") -> dict[str, Line]:
    return {line.key: line for line in lines_of(desk.round, desk.round.hold(hold))}


def test_one_line_for_each_thing_unproven(small) -> None:
    hold = small.round.hold("cover")
    assert [line.key for line in lines_of(small.round, hold)] == [key for key, _ in hold.unproven]
    line = lines(small)["P1.clean"]
    assert line.heading == "2  Core plug 1"
    assert (line.word, line.detail, line.goes) == (
        "not measured", "still to do", Where("location", "P1.clean"),
    )  # fmt: skip
    assert line.short == "2 clean"  # one of several at that location


def test_what_was_found_stands_beside_its_limit(small, qtbot) -> None:
    small.act(lambda journey: journey.reading("P1.depth", "4.0 mm +- 0.1 mm BELOW"))
    small.act(lambda journey: journey.reading("P1.clean", "no"))
    qtbot.waitUntil(lambda: small.round.check("P1.clean").current is not None)
    depth, clean = lines(small)["P1.depth"], lines(small)["P1.clean"]
    assert (depth.word, depth.detail) == ("too close to call", "4.0 mm +- 0.1 mm BELOW")
    assert depth.limit == "limit: at least 2 mm BELOW and at most 4 mm BELOW"
    assert (clean.state, clean.detail, clean.limit) == ("outside", "answered no", "")
    assert depth.spoken == (
        "2 Core plug 1: too close to call, Depth?, 4.0 mm +- 0.1 mm BELOW, "
        "limit: at least 2 mm BELOW and at most 4 mm BELOW"
    )


def test_readings_of_a_grid_that_are_missing_are_counted(benched, qtbot) -> None:
    benched.act(lambda journey: journey.reading("G2.depth", "2.10 mm BELOW"))
    qtbot.waitUntil(lambda: bool(benched.round.check("G2.depth").readings))
    assert lines(benched, "crank")["G2.depth"].detail == "3 of 4 readings still to take"


def test_what_a_location_lacks_as_a_whole_leads_to_it(benched) -> None:
    line = next(
        each for each in lines_of(benched.round, benched.round.hold("sump")) if each.key == "S1"
    )
    assert line.word == "wanted"
    assert "photo" in line.detail
    assert line.goes == Where("location", "S1")
    assert line.may_be_waived


def test_another_cover_comes_first_and_is_never_waived(benched) -> None:
    first = lines_of(benched.round, benched.round.hold("sump"))[0]
    assert (first.key, first.goes) == ("crank", Where("hold", "crank"))
    assert not first.may_be_waived
    assert first.spoken.startswith("Crankshaft goes in: not on yet")


def test_the_section_has_a_column_for_each_location_hidden(benched) -> None:
    for hold in benched.round.holds:
        columns = [c for c in columns_of(benched.round, hold) if c.number]
        assert [column.key for column in columns] == list(hold.hides)
        wanted = {key.partition(".")[0] for key, _ in hold.unproven}
        assert {column.key for column in columns if column.prop} == wanted & set(hold.hides)


def test_what_was_never_fitted_is_solid_in_the_section(demo, qtbot, tmp_path) -> None:
    from capture.demo.samples import sample_photo  # noqa: PLC0415 - decoding is heavy
    from store.change import NeverFitted  # noqa: PLC0415 - as above

    def never(journey):
        filed = journey.add_photo(
            sample_photo("boss-without-bore.jpg"), location="K5", role="bare bore"
        )
        journey.change_plan(NeverFitted("K5", filed.evidence.photo), "solid boss")

    demo.act(never)
    qtbot.waitUntil(lambda: demo.round.place("K5").never is not None)
    column = next(c for c in columns_of(demo.round, demo.round.hold("side")) if c.key == "K5")
    assert not column.fitted
    assert not column.prop
    assert column.word == "never fitted"
