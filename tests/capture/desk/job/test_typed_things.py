"""Texts of gauges, kit, parts and plugs, each refusal at its field."""

from pathlib import Path

import pytest

from capture.desk.job.gauges import gauge_texts
from capture.desk.job.typed_things import (
    counted,
    existing_file,
    gauge_set,
    kit_line_set,
    part_added,
    suspicion,
)
from capture.errors import Unfit, WrongUse
from capture.plans.reader import parse_plan
from tests.capture.bench_plan import BENCH_PLAN

PLAN = parse_plan(BENCH_PLAN.encode(), "plan.toml")
TODAY = "2026-03-02"
GAUGE = {"id": "mic-9", "kind": "micrometer", "resolution": "0.01 mm", "permissible_error": "4 um"}


def test_a_gauge_is_entered() -> None:
    gauge = gauge_set(GAUGE, PLAN, TODAY).gauge
    assert (gauge.id, gauge.permissible_error.unit, gauge.difference) == ("mic-9", "um", False)


def test_a_gauge_as_it_is_shown_is_the_same_gauge() -> None:
    for gauge in PLAN.gauges:
        with pytest.raises(WrongUse, match="just so"):
            gauge_set(gauge_texts(gauge), PLAN, TODAY, gauge.id)


def test_what_is_emptied_is_taken_away() -> None:
    known = PLAN.gauge("mic-1")
    gauge = gauge_set({**gauge_texts(known), "due": ""}, PLAN, TODAY, "mic-1").gauge
    assert (gauge.due, gauge.last_check) == ("", known.last_check)


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"id": ""}, "id"),
        ({"id": "mic-1"}, "id"),
        ({"id": "mic 9"}, "id"),
        ({"kind": ""}, "kind"),
        ({"resolution": "0.01"}, "resolution"),
        ({"last_check": "tomorrow"}, "last_check"),
        ({"repeats": "few"}, "repeats"),
        ({"repeatability": "1 um"}, "repeats"),
    ],
)
def test_each_refusal_of_a_gauge_names_its_field(texts, field) -> None:
    with pytest.raises(Unfit) as refused:
        gauge_set({**GAUGE, **texts}, PLAN, TODAY)
    assert list(refused.value.fields) == [field]


def test_a_suspicion_has_its_day_and_reason() -> None:
    assert suspicion({"since": "2026-02-01", "reason": "fell"}, TODAY) == ("2026-02-01", "fell")
    for texts, field in (
        ({"since": "2026-02-01"}, "reason"), ({"reason": "fell"}, "since"),
        ({"since": "2026-03-03", "reason": "fell"}, "since"),
    ):  # fmt: skip
        with pytest.raises(Unfit) as refused:
            suspicion(texts, TODAY)
        assert list(refused.value.fields) == [field]


def test_a_kit_line_with_its_size() -> None:
    line = kit_line_set({"id": "core", "name": "Cups", "count": "4", "size": "31.2 mm"}, PLAN).line
    assert (line.count, line.size.value) == (4, 31.2)
    put_right = kit_line_set({"name": "Gallery plugs", "count": "4"}, PLAN, "gallery-plugs").line
    assert (put_right.id, put_right.count) == ("gallery-plugs", 4)


@pytest.mark.parametrize(
    ("texts", "field"),
    [({"count": "four"}, "count"), ({"size": "big"}, "size"), ({"id": "gallery-plugs"}, "id"),
     ({"id": "a b"}, "id"), ({"name": ""}, "name")],
)  # fmt: skip
def test_each_refusal_of_a_kit_line_names_its_field(texts, field) -> None:
    with pytest.raises(Unfit) as refused:
        kit_line_set({"id": "core", "name": "Cups", "count": "4", **texts}, PLAN)
    assert list(refused.value.fields) == [field]


def test_a_part_and_a_count() -> None:
    assert part_added({"id": "shell-9", "name": "Shell", "location": "M1"}).part.location == "M1"
    with pytest.raises(Unfit):
        part_added({"id": "shell 9", "name": "Shell"})
    count, size = counted({"count": "3", "size": "31.25 mm"}, PLAN.job)
    assert (count, size.value) == (3, 31.25)
    assert counted({"count": "3"}, PLAN.job) == (3, None)
    with pytest.raises(Unfit, match="size"):
        counted({"count": "3", "size": "1,234"}, PLAN.job)


def test_a_file_is_there(tmp_path: Path) -> None:
    file = tmp_path / "sheet.pdf"
    file.touch()
    assert existing_file(str(file), "file") == file
    for text in ("", str(tmp_path)):
        with pytest.raises(Unfit):
            existing_file(text, "file")
