"""Plans to choose from, and what comes of a choice."""

from pathlib import Path

import pytest

from capture.desk.start.folder import book_name, jobs_folder, refuse_taken
from capture.desk.start.offered import (
    NOBODYS,
    Chosen,
    job_in,
    job_of,
    offered_file,
    offered_library,
    plan_of,
)
from capture.desk.start.previewed import job_in_units, previewed
from capture.desk.start.trim import trim_rows, without
from capture.errors import Unfit
from capture.plans.reader import parse_plan
from capture.plans.sheet_writer import write_csv
from tests.capture.small_plan import PLAN

TEXTS = {"engine": "Tarn 4", "customer": "Ada Quill", "number": "0417", "shop": "Back Lane"}


def test_the_library_says_how_much_each_asks() -> None:
    offered = offered_library()
    titles = [each.title for each in offered]
    assert titles[:2] == ["Arrival", "Plugs and galleries"]
    assert all(each.locations > 0 and each.about for each in offered)
    cam = next(each for each in offered if each.name == "cam-tunnel")
    assert cam.lists == {"cam": ("1", "2", "3", "4", "5")}
    assert not cam.about.startswith("Cam tunnel:")  # the title has said that


def test_two_plans_are_one_with_the_lists_that_were_typed() -> None:
    chosen = Chosen(library=("arrival", "cam-tunnel"), lists={"cam": ("1", "2")})
    plan = plan_of(NOBODYS, chosen)
    ids = [location.id for location in plan.locations]
    assert {"C1", "C2"} <= set(ids)
    assert "C3" not in ids


def test_a_list_of_a_plan_that_is_not_chosen_is_left_alone() -> None:
    assert plan_of(NOBODYS, Chosen(library=("arrival",), lists={"cam": ("1",)})).locations


def test_no_plan_is_an_empty_one() -> None:
    assert plan_of(NOBODYS, Chosen()).locations == ()


def test_files_are_offered_and_say_their_job(tmp_path: Path) -> None:
    toml, csv = tmp_path / "mine.toml", tmp_path / "mine.csv"
    toml.write_text(PLAN, encoding="utf-8")
    plan = parse_plan(PLAN.encode(), "plan.toml")
    csv.write_text(write_csv(plan), encoding="utf-8")
    assert offered_file(toml).locations == offered_file(csv).locations == len(plan.locations)
    assert job_in(toml) == plan.job
    assert job_in(csv) is None
    for path in (toml, csv):
        assert plan_of(NOBODYS, Chosen(files=(path,))).locations == plan.locations


def test_a_job_that_came_back_is_begun_with_its_plan() -> None:
    before = parse_plan(PLAN.encode(), "plan.toml")
    assert plan_of(NOBODYS, Chosen(before=before)).locations == before.locations


def test_kinds_and_locations_are_left_out() -> None:
    whole = plan_of(NOBODYS, Chosen(library=("cam-tunnel",)))
    rows = {row.key: row for row in trim_rows(whole, frozenset({"kind pin", "C5"}))}
    assert rows["kind pin"].ticked is False
    assert rows["kind coverage"].ticked is True
    assert rows["C5"].ticked is False
    left = frozenset({"kind agreement", "kind pin", "C5"})
    found = previewed(Chosen(library=("cam-tunnel",)), left, NOBODYS)
    assert found.fault == ""
    assert {"pin", "agreement"}.isdisjoint(check.kind for _, _, check in found.plan.walk())
    assert "C5" not in {location.id for location in found.plan.locations}
    assert found.whole == whole
    assert set(without(whole, left)) >= {"C5", "C1.pin"}


def test_what_can_t_be_left_out_is_said() -> None:
    every = frozenset(at.id for at in plan_of(NOBODYS, Chosen(library=("arrival",))).locations)
    found = previewed(Chosen(library=("arrival",)), every, NOBODYS)
    assert found.plan is None
    assert "at least one location" in found.fault


def test_the_preview_says_how_much_it_asks() -> None:
    found = previewed(Chosen(library=("arrival",)), frozenset(), job_in_units({"units": "US"}))
    assert found.plan.job.units == "US"
    assert f"{len(found.plan.locations)} locations" in found.words


def test_a_job_lacks_nothing() -> None:
    job = job_of({**TEXTS, "units": "US", "instructions": "keep the crank\n\n", "declined": "pump"})
    assert (job.number, job.units, job.decimal_comma) == ("0417", "US", False)
    assert (job.instructions, job.declined) == (("keep the crank",), ("pump",))
    with pytest.raises(Unfit) as lacking:
        job_of({"engine": "  ", "customer": "Ada"})
    assert set(lacking.value.fields) == {"engine", "number", "shop"}


def test_what_a_plan_file_says_of_the_job_is_kept() -> None:
    base = parse_plan(PLAN.encode(), "plan.toml").job
    job = job_of({**TEXTS, "decimal_comma": "comma"}, base)
    assert job.cautions == base.cautions
    assert (job.customer, job.decimal_comma) == ("Ada Quill", True)


@pytest.mark.parametrize(
    ("number", "engine", "name"),
    [
        ("0417", "Fennmoor 4-cylinder", "0417-fennmoor"),
        ("A/12", "", "a-12"),
        ("", "", "job"),
        ("7", "Ölmühle 2", "7-olmuhle"),
        ("../x", "..", "x"),
    ],
)
def test_a_book_s_folder_has_a_name_for_every_disk(number, engine, name) -> None:
    assert book_name(number, engine) == name


def test_new_jobs_go_where_the_last_one_lies(tmp_path: Path, documents: Path) -> None:
    assert jobs_folder([]) == documents / "Benchproof jobs"
    assert jobs_folder([tmp_path / "jobs" / "12"]) == tmp_path / "jobs"


def test_a_folder_that_holds_something_is_refused(tmp_path: Path) -> None:
    refuse_taken(tmp_path / "new")
    (tmp_path / "empty").mkdir()
    refuse_taken(tmp_path / "empty")
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "x").touch()
    with pytest.raises(Unfit, match="holds something already"):
        refuse_taken(tmp_path / "full")


def test_any_row_of_the_whole_library_can_be_left_out() -> None:
    chosen = Chosen(library=tuple(each.name for each in offered_library()))
    whole = plan_of(NOBODYS, chosen)
    rows = [row.key for row in trim_rows(whole, frozenset())]
    assert len(rows) > 50
    found = {row: previewed(chosen, frozenset({row}), NOBODYS) for row in rows}
    assert {row: each.fault for row, each in found.items() if each.plan is None} == {}
    # A location of which nothing else is worked out takes nothing with it.
    assert found["A1"].also == ""
    assert "worked out from it: G1.past-chamfer" in found["GB1"].also
    # The plug is measured before it is driven: it stays a part though its location is left out.
    assert found["G1"].plan.characteristic("GB1.plug")[1].part == "plug-G1"
