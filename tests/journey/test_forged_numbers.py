"""A real measurement in a real book, forged with the whole chain redone: re-measuring finds it.

Nothing is faked: the photo is a committed picture, its marks are measured and judged by the same
code as on the bench, and ``verify`` decodes, finds and measures all of it again.
"""

import shutil
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace

from annotate.marks import Rim
from annotate.quantity import Quantity
from annotate.result import Known
from capture.intake.photo import read_photo
from capture.journey import Journey
from capture.layers import bare_layer, with_rims
from capture.verifying import verify_book
from store.characteristic import Characteristic, Limit
from store.codec import Entry
from store.evidence import Evidence, Judged, Marked
from store.judge import judge
from store.plan import Job, Location, Plan
from tests.store.forgery import redo

SAMPLES = Path(__file__).resolve().parents[2] / "sample_images"
HOLE = tomllib.loads((SAMPLES / "answers.toml").read_text(encoding="utf-8"))["hole"][0]
KEY = "B1.covered"
LIMIT = Limit(source="builder's own", at_most=Quantity(0.4, "1"))


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("forged") / "sound"
    check = Characteristic(
        "covered", "coverage", "How much of the oil hole is covered?", "1", LIMIT,
        near_diameter=Quantity(HOLE["near_diameter"], "mm", 0.02),
    )  # fmt: skip
    plan = Plan(
        Job("7", "Tarnwick 41", "an invented owner", "an invented shop"),
        (Location("B1", "Cam bearing 1", (check,)),),
    )
    with Journey.start(
        plan, root, bench="bench", clock=lambda: "2026-11-25T08:00:00+00:00", user="A. Fitter",
        version="1",
    ) as journey:  # fmt: skip
        photo = read_photo(SAMPLES / HOLE["file"])
        filed = journey.add_photo(photo, location="B1", role="close-up").evidence
        layer = with_rims(bare_layer(photo), photo, click=tuple(HOLE["click"])).layer
        assert (
            journey.coverage(KEY, filed.photo, layer, journey.givens(KEY), tolerance=0.1).state
            == "within"
        )
    return root


def found(root: Path) -> set[tuple[str, str]]:
    return {(f.severity, f.code) for f in verify_book(root, version="1") if f.severity != "note"}


def forged(sound: Path, folder: Path, forge: Callable[[Entry], Evidence | None]) -> Path:
    root = folder / "forged"
    shutil.copytree(sound, root)
    redo(root, forge)
    return root


def lower(quantity: Quantity, by: float) -> Quantity:
    return Quantity(
        quantity.value - by, quantity.unit, quantity.u, quantity.dof,
        tuple(q - by for q in quantity.quantiles),
    )  # fmt: skip


def test_a_real_measurement_verifies(sound: Path) -> None:
    assert found(sound) == set()


def test_an_altered_number_and_its_altered_verdict_are_found(sound: Path, tmp_path: Path) -> None:
    told: list[Quantity] = []

    def forge(entry: Entry) -> Evidence:
        match entry.evidence:
            case Marked(result=result) as marked:
                assert isinstance(result.covered, Known)
                told.append(lower(result.covered.quantity, 0.01))
                return replace(marked, result=replace(result, covered=Known(told[0])))
            case Judged() as judged:
                return replace(judged, verdict=judge(told[0], LIMIT))
        return entry.evidence

    assert ("altered", "coverage-differs") in found(forged(sound, tmp_path, forge))


@pytest.mark.parametrize("which", ["near", "far"])
def test_altered_marks_are_found(sound: Path, tmp_path: Path, which: str) -> None:
    def forge(entry: Entry) -> Evidence:
        match entry.evidence:
            case Marked(layer=layer) as marked:
                marks = tuple(
                    replace(m, points_px=tuple((x + 0.4, y) for x, y in m.points_px))
                    if isinstance(m, Rim) and m.which == which
                    else m
                    for m in layer.marks
                )
                return replace(marked, layer=replace(layer, marks=marks))
        return entry.evidence

    findings = found(forged(sound, tmp_path, forge))
    assert ("altered", "coverage-differs") in findings
    # The photo itself does not show them there either.
    assert any("mark" in code for _, code in findings)


def test_an_altered_verdict_is_found(sound: Path, tmp_path: Path) -> None:
    def forge(entry: Entry) -> Evidence:
        match entry.evidence:
            case Judged() as judged:
                return replace(judged, verdict=replace(judged.verdict, state="outside"))
        return entry.evidence

    assert found(forged(sound, tmp_path, forge)) == {("altered", "verdict-differs")}
