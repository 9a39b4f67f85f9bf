"""Plans on the command line: the library, starting a job, a plan to edit, a plan checked."""

import tomllib
from pathlib import Path

import pytest

from capture.plans.reader import parse_plan, read_plan
from store.book import Book
from tests.capture.command import run
from tests.capture.full_plan import FULL
from tests.capture.small_plan import PLAN

JOB = (
    "--number", "N-3", "--engine", "Bench rig", "--customer", "Ada Quill", "--shop", "Back Lane",
)  # fmt: skip

PIECE = """format = 1
about = "A piece to be combined."

[each]
plug = ["1", "2", "3"]

[[location]]
for_each = "plug"
id = "S{plug}"
name = "Side plug {plug}"

  [[location.check]]
  id = "bore"
  kind = "length"
  question = "Bore?"
  limit = { ask = "maker's figure and page: side plug bores" }
  caution = "Mind the edge."
"""


@pytest.fixture
def piece(tmp_path: Path) -> Path:
    path = tmp_path / "piece.toml"
    path.write_text(PIECE, encoding="utf-8")
    return path


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "plan.toml"
    path.write_text(PLAN, encoding="utf-8")
    return path


def test_the_library_is_listed_with_how_to_go_on() -> None:
    listed = run("plan")
    assert listed.code == 0
    names = [shipped["name"] for shipped in run("plan", "--json").answer()["library"]]
    assert len(names) >= 5
    assert all(name in listed.out for name in names)
    assert "benchproof start NAME" in listed.out


def test_every_plan_of_the_library_can_be_shown_and_asks_for_limits_it_does_not_know() -> None:
    asks = 0
    for shipped in run("plan", "--json").answer()["library"]:
        shown = run("plan", shipped["name"], "--json")
        assert shown.code == 0
        asks += len(shown.answer()["asks"])
        assert "job" not in shown.answer()["plan"]
    assert asks > 20


def test_a_plan_is_shown_in_words(plan: Path) -> None:
    shown = run("plan", plan)
    assert shown.code == 0
    assert "job T-7: Bench rig, two cylinders, for Ada Quill, by Back Lane Bench" in shown.out
    assert "computed: P1.plug - P1.bore" in shown.out
    assert "at least 0.03 mm and at most 0.12 mm (builder's own)" in shown.out
    assert "hold point cover: Side cover, hides P1" in shown.out
    assert "6 checks at 2 locations, 1 hold point" in shown.out
    assert "caution: Lift it with two hands." in shown.out


def test_a_piece_tells_what_it_multiplies_by_and_what_is_to_be_looked_up() -> None:
    shown = run("plan", "cam-tunnel")
    assert "one for each of cam: 1, 2, 3, 4, 5 (--each cam=... makes it fit)" in shown.out
    assert "limits to be looked up in the maker's manual" in shown.out
    two = run("plan", "cam-tunnel", "--each", "cam=front,rear", "--json").answer()
    ids = [location["id"] for location in two["plan"]["location"]]
    assert {"Cfront", "Crear"} <= set(ids)
    assert "C1" not in ids


def test_a_job_begins_with_several_plans_and_says_what_is_to_be_looked_up(
    plan: Path, piece: Path, tmp_path: Path
) -> None:
    begun = run("start", plan, piece, tmp_path / "book", "--each", "plug=1,2", "--by", "Ann")
    assert begun.code == 0
    assert "begun for job T-7" in begun.out
    assert "8 checks at 4 locations, 1 hold point" in begun.out
    assert "to be looked up: S1.bore: maker's figure and page: side plug bores" in begun.out
    assert "S3.bore" not in begun.out
    assert "caution: Mind the edge." in begun.out
    assert begun.out.count("Mind the edge.") == 1
    with Book.open(tmp_path / "book", read_only=True) as book:
        assert [location.id for location in book.plan.locations] == ["C1", "P1", "S1", "S2"]


def test_a_job_is_named_by_options_where_no_file_names_it(piece: Path, tmp_path: Path) -> None:
    lacking = run("start", piece, tmp_path / "book", "--number", "N-3")
    assert lacking.code == 2
    assert "say it with --engine, --customer, --shop" in lacking.err
    assert not (tmp_path / "book").exists()
    begun = run("start", piece, tmp_path / "book", *JOB, "--units", "US", "--json").answer()
    assert (begun["job"], begun["checks"]) == ("N-3", 3)
    with Book.open(tmp_path / "book", read_only=True) as book:
        assert book.plan.job.units == "US"
        assert book.plan.characteristic("S1.bore")[1].unit == "in"


def test_an_option_goes_before_what_the_file_says_of_the_job(plan: Path, tmp_path: Path) -> None:
    assert run("start", plan, tmp_path / "book", "--number", "T-8").code == 0
    with Book.open(tmp_path / "book", read_only=True) as book:
        assert (book.plan.job.number, book.plan.job.customer) == ("T-8", "Ada Quill")


def test_two_files_with_two_jobs_are_refused(plan: Path, tmp_path: Path) -> None:
    (tmp_path / "other.toml").write_text(FULL, encoding="utf-8")
    done = run("start", plan, tmp_path / "other.toml", tmp_path / "book")
    assert (done.code, "different jobs" in done.err) == (2, True)


@pytest.mark.parametrize(
    ("names", "told"),
    [
        (("cam-tunel",), "no plan of the library; that has arrival"),
        (("gone.toml",), "there is no plan file gone.toml"),
        (("cam-tunnel", "--each", "cam"), "write the list and its words, as main=1,2,3"),
        (("cam-tunnel", "--each", "cam=1,2,1"), "name each list and word once"),
        (("cam-tunnel", "--each", "cam=1", "--each", "cam=2"), "name each list and word once"),
        (("cam-tunnel", "--each", "main=1"), "none of these plans has a list 'main'"),
        (("cam-tunnel", "--without", "C9"), "C9"),
    ],
)
def test_what_is_no_plan_is_told_with_those_there_are(
    names: tuple[str, ...], told: str, tmp_path: Path
) -> None:
    done = run("start", names[0], tmp_path / "book", *names[1:], *JOB)
    assert done.code in {2, 3}
    assert told in done.err
    assert not (tmp_path / "book").exists()


def test_a_comeback_is_tied_to_the_first_book(plan: Path, tmp_path: Path) -> None:
    first, second, third = (tmp_path / name for name in ("first", "second", "third"))
    run("start", plan, first)
    begun = run("start", plan, second, "--number", "T-7b", "--comeback-of", first)
    assert "comeback of job T-7\n" in begun.out
    with Book.open(first, read_only=True) as book:
        last = book.entries()[-1].hash
    with Book.open(second, read_only=True) as book:
        assert (book.round().follows, book.round().follows_entry) == ("T-7", last)
    by_number = run("start", plan, third, "--comeback-of", "old job 88", "--json").answer()
    assert by_number["comeback_of"] == "old job 88"
    mistyped = run("start", plan, tmp_path / "fourth", "--comeback-of", "frist")
    assert "comeback of job frist (its number alone: no such folder here)" in mistyped.out


def test_a_plan_of_the_library_is_written_as_it_is_shipped_to_be_edited(tmp_path: Path) -> None:
    target = tmp_path / "mine.toml"
    assert run("plan", "cam-tunnel", "--write", target).code == 0
    assert tomllib.loads(target.read_text(encoding="utf-8"))["each"]["cam"][:2] == ["1", "2"]
    again = run("plan", "cam-tunnel", "--write", target)
    assert (again.code, "is there already" in again.err) == (2, True)
    assert run("start", target, tmp_path / "book", *JOB).code == 0


@pytest.mark.parametrize("name", ["mine.toml", "mine.csv"])
def test_combined_plans_are_written_and_read_back_the_same(
    plan: Path, piece: Path, tmp_path: Path, name: str
) -> None:
    target = tmp_path / name
    assert run("plan", plan, piece, "--write", target).code == 0
    run("start", plan, piece, tmp_path / "direct")
    by_file = run("start", target, tmp_path / "by-file", *(JOB if name == "mine.csv" else ()))
    assert by_file.code == 0, by_file.err
    with (
        Book.open(tmp_path / "direct", read_only=True) as direct,
        Book.open(tmp_path / "by-file", read_only=True) as written,
    ):
        assert direct.plan.locations == written.plan.locations
        assert direct.plan.hold_points == written.plan.hold_points


def test_pieces_are_written_without_a_job_of_nobodys(piece: Path, tmp_path: Path) -> None:
    target = tmp_path / "two.toml"
    assert run("plan", piece, "cam-tunnel", "--write", target).code == 0
    document = tomllib.loads(target.read_text(encoding="utf-8"))
    assert "job" not in document
    assert {"S1", "C1"} <= {location["id"] for location in document["location"]}


def test_a_books_plan_is_written_as_it_stands(plan: Path, tmp_path: Path) -> None:
    run("start", plan, tmp_path / "book")
    run("change", tmp_path / "book", "rename", "P1", "--name", "Core plug, left")
    assert run("plan", tmp_path / "book", "--write", tmp_path / "now.toml").code == 0
    assert read_plan(tmp_path / "now.toml").location("P1").name == "Core plug, left"


def test_a_file_of_another_kind_is_no_plan(tmp_path: Path) -> None:
    done = run("plan", "cam-tunnel", "--write", tmp_path / "mine.txt")
    assert (done.code, "a plan is a .toml or a .csv" in done.err) == (2, True)
    done = run("plan", "cam-tunnel", "--write", tmp_path / "nowhere" / "mine.toml")
    assert (done.code, "make it first" in done.err) == (2, True)


def test_a_sound_plan_file_has_no_faults(plan: Path, piece: Path) -> None:
    assert run("plan", "--check", plan).out == f"{plan}: nothing is wrong with it\n"
    assert run("plan", "--check", piece, "--json").answer()["faults"] == []


def test_every_faulty_piece_of_a_plan_file_is_told_at_once(tmp_path: Path) -> None:
    planted = {
        'customer = "Ada Quill"': "customer = 4",
        'permissible_error = "2 N.m"': 'permissible_error = "2 mm"',
        'wall = "1.9 mm"': 'wall = "1.9"',
        '  kind = "pin"': '  kind = "pinn"',
        "count = 2": 'count = "two"',
        "seal = true": "seal = 3",
        'location = "M{main}"\n': 'location = "M{main}"\ncolour = "red"\n',
    }
    text = FULL
    for right, wrong in planted.items():
        assert text.count(right) == 1
        text = text.replace(right, wrong)
    path = tmp_path / "wrong.toml"
    path.write_text(text, encoding="utf-8")
    done = run("plan", "--check", path)
    assert done.code == 3
    assert done.out.count("wrong.toml, line ") == len(planted)
    lines = text.splitlines()
    for wrong in planted.values():
        row = next(n for n, line in enumerate(lines, 1) if wrong.splitlines()[-1] in line)
        assert f"wrong.toml, line {row}: " in done.out
    assert f"{path}: {len(planted)} faults; check it again when that is put right" in done.out


def test_faults_between_pieces_are_all_told_too(tmp_path: Path) -> None:
    text = (
        FULL.replace('gauge = "bore-1"', 'gauge = "bore-7"')
        .replace('"M{main}.bore - M{main}.journal"', '"M{main}.bor - M{main}.journal"')
        .replace('hides = ["crank", "C1", "G2"]', 'hides = ["crank", "C9", "G2"]')
        .replace('kit = "shells"', 'kit = "shell"')
    )
    path = tmp_path / "wrong.toml"
    path.write_text(text, encoding="utf-8")
    faults = run("plan", "--check", path, "--json").answer()["faults"]
    told = "\n".join(faults)
    for named in ("'bore-7'", "M1.bor ", "M2.bor ", "'C9'", "'shell'"):
        assert named in told
    assert len(faults) == 7  # gauge, formula and kit at each of two bearings, and the hold point


def test_a_file_that_is_no_toml_is_one_fault(tmp_path: Path) -> None:
    path = tmp_path / "broken.toml"
    path.write_text("format = = 1", encoding="utf-8")
    (fault,) = run("plan", "--check", path, "--json").answer()["faults"]
    assert "is not TOML" in fault
    (fault,) = run("plan", "--check", tmp_path / "gone.csv", "--json").answer()["faults"]
    assert "can't be read" in fault


def test_a_spreadsheet_is_checked_too(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("location,name,check,kind,question\nP1,Plug,bore,lenght,Bore?\n", "utf-8")
    (fault,) = run("plan", "--check", path, "--json").answer()["faults"]
    assert "row 2" in fault
    assert "lenght" in fault


@pytest.mark.parametrize(
    "words",
    [
        ("plan", "--check", "a.toml", "--write", "b.toml"),
        ("plan", "--write", "b.toml"),
        ("plan", "a.toml", "--check", "a.toml"),
    ],
)
def test_plan_used_wrongly_is_one_sentence(words: tuple[str, ...]) -> None:
    done = run(*words)
    assert (done.code, done.err.count("\n")) == (2, 1)


def test_the_plan_that_is_shown_as_json_is_the_plan_file(plan: Path) -> None:
    from capture.plans.writer import write_plan  # noqa: PLC0415 - beside its use

    read = read_plan(plan)
    shown = run("plan", plan, "--json").answer()["plan"]
    assert shown == tomllib.loads(write_plan(read))
    assert parse_plan(write_plan(read).encode(), "again") == read


def test_a_plan_that_is_not_there_is_told_before_a_job_is_asked_for(tmp_path: Path) -> None:
    done = run("start", "gone.toml", tmp_path / "book")
    assert done.code == 3
    assert "there is no plan file gone.toml: look at its name and folder" in done.err
    assert not (tmp_path / "book").exists()
