"""Several plans and one job make one plan; what clashes is told."""

import pytest

from capture.errors import BadPlanFile
from capture.plans.combination import combine, job_from, read_job_file
from capture.plans.fragment import Fragment, parse_fragment, read_fragment, read_library
from capture.plans.reader import parse_plan
from store.plan import HoldPoint, Job
from tests.capture.small_plan import PLAN

JOB = Job(number="1", engine="e", customer="c", shop="s")
ONE = """format = 1
about = "One."
[each]
main = ["1", "2", "3"]
[[gauge]]
id = "mic"
kind = "micrometer"
resolution = "0.001 mm"
permissible_error = "0.004 mm"
[[location]]
for_each = "main"
id = "M{main}"
name = "Main {main}"
  [[location.check]]
  id = "bore"
  kind = "length"
  question = "Bore {main}?"
  [[location.check]]
  id = "clean"
  kind = "yes-no"
  question = "Clean?"
[[part]]
for_each = "main"
id = "shell-{main}"
name = "Shell {main}"
location = "M{main}"
[[hold_point]]
id = "cover"
name = "Cover"
hides = ["M{main}"]
caution = "Two hands."
"""
OTHER = """format = 1
about = "Other."
[[gauge]]
id = "mic"
kind = "micrometer"
resolution = "0.001 mm"
permissible_error = "0.004 mm"
[[location]]
id = "X"
name = "X"
  [[location.check]]
  id = "room"
  kind = "computed"
  question = "Room?"
  formula = "M1.bore - M2.bore"
[[hold_point]]
id = "last"
name = "Last"
hides = ["cover", "X", "nothing?"]
[[hold_point]]
id = "cover"
name = "Cover"
hides = ["X", "M1"]
roles = ["fitted"]
debris = true
seal = true
caution = "Mind the seal."
"""


def fragment(text: str, name: str = "other.toml") -> Fragment:
    return parse_fragment(text.encode(), name)


def refusal(*texts: str, each=None, without=()) -> str:
    named = [fragment(text, f"{n}.toml") for n, text in enumerate(texts, 1)]
    with pytest.raises(BadPlanFile) as refused:
        combine(JOB, named, each=each, without=without)
    return str(refused.value)


def test_plans_are_joined_in_their_order() -> None:
    plan = combine(JOB, [fragment(ONE), fragment(OTHER)])
    assert plan.job == JOB
    assert [location.id for location in plan.locations] == ["M1", "M2", "M3", "X"]
    assert [gauge.id for gauge in plan.gauges] == ["mic"]
    assert [part.id for part in plan.parts] == ["shell-1", "shell-2", "shell-3"]
    assert plan.characteristic("M3.bore")[1].question == "Bore 3?"


def test_hold_points_of_one_id_hide_what_each_hides() -> None:
    plan = combine(JOB, [fragment(ONE), fragment(OTHER)])
    assert plan.hold_points == (
        HoldPoint(
            "cover", "Cover", ("M1", "M2", "M3", "X"), roles=("fitted",), debris=True, seal=True,
            caution="Two hands. Mind the seal.",
        ),
        HoldPoint("last", "Last", ("cover", "X")),
    )  # fmt: skip


def test_the_turn_of_a_hold_point_is_where_it_is_named_last() -> None:
    later = OTHER.replace('id = "last"\nname = "Last"\nhides = ["cover", "X", "nothing?"]',
                          'id = "early"\nname = "Early"\nhides = ["X"]')  # fmt: skip
    plan = combine(JOB, [fragment(ONE), fragment(later)])
    assert [hold.id for hold in plan.hold_points] == ["early", "cover"]


def test_a_question_mark_hides_what_is_there() -> None:
    there = OTHER.replace("nothing?", "M3?")
    plan = combine(JOB, [fragment(ONE), fragment(there)])
    assert plan.hold_point("last").hides == ("cover", "X", "M3")
    only = ONE.replace('["M{main}"]', '["elsewhere?"]')
    assert combine(JOB, [fragment(only)]).hold_points == ()


def test_a_list_is_replaced_to_trim_or_to_grow() -> None:
    plan = combine(JOB, [fragment(ONE)], each={"main": ("1", "2", "3", "4")})
    assert [location.id for location in plan.locations] == ["M1", "M2", "M3", "M4"]
    assert plan.hold_point("cover").hides == ("M1", "M2", "M3", "M4")
    assert fragment(ONE).lists == {"main": ("1", "2", "3")}
    assert fragment(ONE).about == "One."


def test_locations_and_checks_are_left_out_with_what_hangs_on_them() -> None:
    plan = combine(JOB, [fragment(ONE)], without=["M2", "M3.clean", "M1.clean", "M1.bore"])
    assert [key for key, _, _ in plan.walk()] == ["M3.bore"]
    assert plan.hold_point("cover").hides == ("M3",)
    assert [part.id for part in plan.parts] == ["shell-3"]
    both = combine(JOB, [fragment(ONE), fragment(OTHER)], without=["X"])
    assert [hold.id for hold in both.hold_points] == ["cover", "last"]
    apart = OTHER.replace('"cover", "X", "nothing?"', '"X"').replace('"X", "M1"', '"M1"')
    left = combine(JOB, [fragment(ONE), fragment(apart)], without=["X"])
    assert [hold.id for hold in left.hold_points] == ["cover"]


def test_a_plan_may_be_combined_with_others() -> None:
    small = parse_plan(PLAN.encode(), "a.toml")
    plan = combine(JOB, [small, fragment(ONE)])
    assert plan.job.customer == "c"
    assert [location.id for location in plan.locations] == ["C1", "P1", "M1", "M2", "M3"]
    assert plan.hold_point("cover").hides == ("P1", "M1", "M2", "M3")


@pytest.mark.parametrize(
    ("texts", "told"),
    [
        ((ONE, ONE), "location 'M1' is in 1.toml and in 2.toml: give one of them another id"),
        ((ONE, OTHER.replace('"0.004 mm"', '"0.005 mm"')), "gauge 'mic' is in 1.toml and in 2"),
        ((ONE, OTHER.replace('"X"', '"M3"')), "location 'M3' is in 1.toml and in 2.toml"),
        (
            (OTHER.replace('"X", "M1"', '"X"'),),
            "1.toml, line 15: location 'X', check 'room': formula: col",
        ),
        ((ONE, OTHER.replace("nothing?", "nothing")), "hides 'nothing', not a location here"),
        ((ONE, OTHER.replace("format = 1", "format = 3")), "2.toml, line 1: format 3 is not"),
        ((ONE, OTHER.replace("[[hold_point]]", "[[stop]]")), "2.toml, line 16: unknown key 'stop'"),
        ((ONE.replace('"1", "2", "3"', "1, 2, 3"),), "1.toml, line 4: each: main must be a list"),
        ((), "a plan needs at least one location: name more plans"),
    ],
)
def test_what_clashes_is_told_with_both_files(texts: tuple[str, ...], told: str) -> None:
    assert told in refusal(*texts)


def test_a_list_or_a_location_that_nobody_has_is_told() -> None:
    assert "none of these plans has a list 'mane'; there are main" in refusal(
        ONE, each={"mane": ("1",)}
    )
    assert "the list 'main' is empty" in refusal(ONE, each={"main": ()})
    assert "nothing is called 'M9' here" in refusal(ONE, without=["M9"])
    assert "M2.bore is not a check here" in refusal(ONE, OTHER, without=["M2"])


def test_the_job_comes_from_a_file_or_from_options(tmp_path) -> None:
    path = tmp_path / "job.toml"
    path.write_text('[job]\nnumber = "7"\nengine = "e"\ncustomer = "c"\nshop = "s"\n', "utf-8")
    assert read_job_file(path) == Job("7", "e", "c", "s")
    path.write_text(PLAN, "utf-8")
    assert read_job_file(path).customer == "Ada Quill"
    words = {"number": "7", "engine": "e", "customer": "c", "shop": "s"}
    assert job_from(
        {**words, "units": "US", "decimal_comma": "yes", "declined": "New pump"}
    ) == Job("7", "e", "c", "s", units="US", decimal_comma=True, declined=("New pump",))
    with pytest.raises(BadPlanFile, match="the job: lacks 'shop'"):
        job_from({name: word for name, word in words.items() if name != "shop"})
    with pytest.raises(BadPlanFile, match="unknown key 'shpo'; did you mean 'shop'"):
        job_from({**words, "shpo": "x"})
    path.write_text("format = 1\n", "utf-8")
    with pytest.raises(BadPlanFile, match=r"lacks the table \[job\]"):
        read_job_file(path)


def test_an_own_plan_is_read_from_its_file(tmp_path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(ONE, "utf-8")
    own = read_fragment(path)
    assert (own.name, own.about) == ("own.toml", "One.")
    plan = combine(JOB, [read_library("arrival"), own])
    assert {"A1", "M1"} <= {location.id for location in plan.locations}
    path.write_text("[[", "utf-8")
    with pytest.raises(BadPlanFile, match=r"own\.toml is not TOML"):
        read_fragment(path)
