"""The schema, the format's page and the reader say the same of the plan file."""

import json
import re
import tomllib

import jsonschema
import pytest

from capture.errors import BadPlanFile
from capture.plans.keys import TABLES
from capture.plans.reader import parse_plan
from capture.plans.schema import plan_schema
from capture.unit_words import SIZES
from tests.capture.full_plan import FULL
from tests.capture.plan_page import FOLDER, PAGE, SCHEMA, page_text, schema_text
from tests.capture.small_plan import PLAN

ASKED = ("length", "area", "torque", "pressure", "angle", "time", "pressure per time")


def against_the_schema(text: str) -> list[str]:
    validator = jsonschema.Draft202012Validator(plan_schema())
    return [error.message for error in validator.iter_errors(tomllib.loads(text))]


def test_the_shipped_schema_and_page_are_made_from_the_readers_description() -> None:
    """``python -m tests.capture.plan_page`` makes both anew."""
    assert SCHEMA.read_text(encoding="utf-8") == schema_text()
    page = PAGE.read_text(encoding="utf-8")
    assert page == page_text(page)
    assert "| **`question`** | text |" in page


def test_the_schema_is_one_of_the_published_draft() -> None:
    jsonschema.Draft202012Validator.check_schema(json.loads(SCHEMA.read_text(encoding="utf-8")))


@pytest.mark.parametrize("text", [PLAN, FULL, (FOLDER / "demo.toml").read_text(encoding="utf-8")])
def test_what_the_reader_takes_the_schema_takes(text: str) -> None:
    assert parse_plan(text.encode(), "a.toml").locations
    assert against_the_schema(text) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("question = ", "qestion = "),
        ('question = "Bore?"', ""),
        ('question = "Bore?"', "question = 7"),
        ('question = "Bore?"', 'question = " "'),
        ('kind = "length"', 'kind = "difference"'),
        ('hides = ["P1"]', 'hides = ["P1"]\nroles = ["fited"]'),
        ('of = "covered"', 'of = "coverd"'),
        ('hides = ["P1"]', 'hides = "P1"'),
        ("format = 1", "format = 2"),
        ("[job]", "[jop]"),
        ('id = "C1"', 'id = "C 1"'),
        ('resolution = "0.001 mm"', "resolution = 0.001"),
    ],
)
def test_what_the_schema_refuses_the_reader_refuses(old: str, new: str) -> None:
    changed = PLAN.replace(old, new, 1)
    assert changed != PLAN
    assert against_the_schema(changed)
    with pytest.raises(BadPlanFile):
        parse_plan(changed.encode(), "a.toml")


def test_a_plan_without_a_job_says_what_it_covers() -> None:
    fragment = re.sub(r"\[job\].*?\n\n", "", PLAN, flags=re.DOTALL)
    assert against_the_schema(fragment)
    assert against_the_schema(f'about = "Two locations."\n{fragment}') == []


def test_the_full_plan_uses_every_key_there_is() -> None:
    """A key that is described and that no reader takes would be a check left out."""
    used = set(re.findall(r"([a-z_]+) = ", FULL)) | set(re.findall(r"\[([a-z_]+)[\].]", FULL))
    used |= {name for name in ("check",) if f".{name}]" in FULL}
    described = {key.name for keys in TABLES.values() for key in keys}
    assert described - used == {"about"}


@pytest.mark.parametrize("kind", ASKED)
def test_the_format_page_lists_every_unit_of_a_typed_kind(kind: str) -> None:
    page = PAGE.read_text(encoding="utf-8")
    units = [unit for unit, (of, _) in SIZES.items() if of == kind]
    assert units
    assert [unit for unit in units if f'"{unit}"' not in page] == []


def test_the_examples_on_the_page_can_be_read() -> None:
    blocks = re.findall(r"```toml\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    plan = parse_plan(blocks[0].encode(), "FORMAT.md")
    assert plan.characteristic("P1.press")[1].asks == (
        "maker's figure and page: press fit of the core plugs"
    )
    for block in blocks:
        assert tomllib.loads(block)
