"""The verbs of what is done at the block: plugs, parts, kit, gauges, papers, map, hold points."""

import shutil
from pathlib import Path

import pytest

from capture.commands.verbs import VERBS
from store.book import Book
from tests.capture.bench_plan import BENCH_PLAN
from tests.capture.command import SAMPLES, run

PHOTO = SAMPLES / "bearing-1.jpg"
OTHER = SAMPLES / "bearing-3.jpg"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    plan = tmp_path / "plan.toml"
    plan.write_text(BENCH_PLAN, encoding="utf-8")
    assert run("start", plan, tmp_path / "book", "--by", "Ann", "--bench", "bench-1").code == 0
    return tmp_path / "book"


def entries(book: Path) -> int:
    with Book.open(book, read_only=True) as opened:
        return len(opened.entries())


def read_everything(book: Path) -> None:
    """Take every reading the plan asks for."""
    run("reading", book, "M1.journal", "58.352 mm", "58.351 mm", "58.353 mm", "58.350 mm")
    run("reading", book, "M1.bore", "0.041 mm bigger", "--zero", "M1.journal")
    run("reading", book, "M1.strip", "0.038 to 0.051 mm")
    run("reading", book, "G2.depth", *["2.31 mm BELOW", "2.33 mm BELOW"] * 2)
    run("reading", book, "S1.sealant", "grey, batch 7")
    run("reading", book, "S1.seated", "yes")


def test_plugs_out_are_plugs_in(book: Path) -> None:
    assert "out 0 = in 0, 2 not counted" in run("plug", book).out
    out = run("plug", book, "G2", "out", "--size", "3/8 pipe thread", "--note", "2 mm below")
    assert out.code == 0
    assert "looks like G3: keep them apart" in out.out
    run("plug", book, "G3", "out")
    told = run("plug", book).out
    assert "out 2, in 0: NOT equal" in told
    assert "out: 3/8 pipe thread, 2 mm below" in told
    assert "count: plugs out and not in again: G2, G3" in told
    assert run("plug", book, "G2", "in", "--piece", "bag 4").code == 0
    added = run("plug", book, "G3", "in", "--piece", "bag 5")
    assert "part plug-G3 was added to the plan for it" in added.out
    answer = run("plug", book, "--json").answer()
    assert [plug["state"] for plug in answer["plugs"]] == ["in", "in"]
    assert answer["counts_open"] == []
    assert "out 2 = in 2" in run("plug", book).out
    assert run("verify", book).code == 0


def test_a_plug_that_never_was_needs_a_photo_of_the_bare_location(book: Path) -> None:
    assert "needs one --photo" in run("plug", book, "G3", "never").err
    done = run("plug", book, "G3", "never", "--photo", PHOTO)
    assert done.code == 0
    assert "never fitted on this block" in done.out
    with Book.open(book, read_only=True) as opened:
        place = opened.round().place("G3")
    assert place.never is not None
    assert place.photos[0].taken.role == "bare bore"
    assert "1 never fitted" in run("plug", book).out
    assert "never fitted on this block, said" in run("round", book, "--at", "G3").out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["plug", "BOOK", "G2"], "plug BOOK G2 out, in or never"),
        (["plug", "BOOK", "G1", "out"], "G1 has no plug"),
        (["plug", "BOOK", "M1", "in", "--piece", "x"], "M1 has no plug by the plan"),
        (["plug", "BOOK", "G2", "in"], "plug-G2 needs --piece"),
        (
            ["plug", "BOOK", "G2", "in", "--piece", "x", "--part", "shell-1"],
            "does not belong at G2",
        ),
        (["part", "BOOK", "shell-9"], "no part 'shell-9' in this job; there are plug-G2, shell-1"),
        (["part", "BOOK", "shell-1", "--piece", "x"], "say that it was fitted"),
        (["part", "BOOK", "shell-1", "fitted"], "shell-1 needs --piece"),
        (["kit", "BOOK", "shells"], "no kit line 'shells' in this job; there are gallery-plugs"),
        (["kit", "BOOK", "gallery-plugs", "counted"], "say how many"),
        (["debris", "BOOK", "G1", "--how", "blown"], "also needs --clean"),
        (["debris", "BOOK", "G2", "--how", "blown", "--clean", "yes"], "G2 is no gallery"),
        (["debris", "BOOK", "--clean", "yes"], "say which gallery"),
        (["gauge", "BOOK", "mic-9"], "no gauge 'mic-9' in this job"),
        (["gauge", "BOOK", "mic-1", "suspect"], "needs --since DATE and --reason WHY"),
        (["gauge", "BOOK", "mic-1", "suspect", "--since", "May", "--reason", "x"], "is no date"),
        (["gauge", "BOOK", "mic-1", "clear"], "how is it known"),
        (["gauge", "BOOK", "mic-1", "clear", "--reason", "x"], "mic-1 is not suspect"),
        (["gauge", "BOOK", "mic-1", "--due", "2027-01-01"], "--due belongs to 'set'"),
        (["gauge", "BOOK", "mic-1", "set", "--due", "soon"], "--due 'soon' is no day"),
        (["gauge", "BOOK", "new-1", "set", "--kind", "rule"], "also needs --resolution"),
        (["gauge", "BOOK", "mic-1", "set", "--resolution", "0.01"], "has no unit"),
        (["gauge", "BOOK", "mic-1", "set"], "say what is to be changed"),
        (["gauge", "BOOK", "mic-1", "set", "--last-check", "2998-01-01"], "is still to come"),
        (["gauge", "BOOK", "mic-1", "set", "--due", "2020-03-02"], "not after the last check"),
        (["gauge", "BOOK", "mic-1", "set", "--set-on", "mic-1"], "not set on itself"),
        (
            ["gauge", "BOOK", "mic-1", "suspect", "--since", "2998-01-01", "--reason", "x"],
            "--since 2998-01-01 is still to come",
        ),
        (["owner", "BOOK", "agreed", "yes"], "say what and how it was given"),
        (["map", "BOOK", "G2"], "map BOOK LOCATION --click X,Y"),
        (["map", "BOOK", "G2", "--click", "5,5"], "no overall photo is filed"),
        (["map", "BOOK", "G2", "--click", "5,5", "--same"], "no location was placed yet"),
        (["rework", "BOOK", "G9", "--what", "x"], "no location 'G9'"),
        (["reopen", "BOOK", "crank", "--reason", "x"], "crank is not closed"),
        (["check", "BOOK", "G2.dept"], "no check 'G2.dept'"),
        (["round", "BOOK", "--at", "Q1"], "no location 'Q1'"),
    ],
)
def test_used_wrongly_is_2_with_what_to_do(book: Path, arguments: list[str], told: str) -> None:
    before = entries(book)
    done = run(*[str(book) if word == "BOOK" else word for word in arguments])
    assert (done.code, done.out, done.err.count("\n")) == (2, "", 1)
    assert told in done.err
    assert entries(book) == before


def test_another_piece_voids_what_was_read_on_the_old_one(book: Path) -> None:
    read_everything(book)
    assert run("part", book, "shell-1", "fitted", "--piece", "box 1").code == 0
    second = run("part", book, "shell-1", "fitted", "--piece", "box 2")
    assert "Main shell is on: box 2, instead of box 1" in second.out
    assert "to be read again on this piece: M1.bore, M1.clearance" in second.out
    assert "box 2, by" in run("part", book).out
    told = run("round", book, "--at", "M1").out
    assert "attempt 1: entry" in told
    assert "(Main shell was replaced)" in told
    (part,) = run("part", book, "shell-1", "--json").answer()["parts"]
    assert part["fitted"]["identity"] == "box 2"
    assert [piece["identity"] for piece in part["earlier"]] == ["box 1"]


def test_a_plug_counted_out_twice_is_told(book: Path) -> None:
    assert "out already" not in run("plug", book, "G2", "out", "--size", "3/8 pipe thread").out
    number = entries(book)
    twice = run("plug", book, "G2", "out")
    assert f"it was out already by entry {number}: strike the one that is wrong" in twice.out


def test_a_size_in_the_kit_stands_beside_the_packing(book: Path) -> None:
    run("change", book, "add-kit", "discs", "--name", "Discs", "--count", "4", "--size", "31.8 mm")
    wrong = run("kit", book, "discs", "counted", "4", "--size", "32.5 mm")
    assert "4 counted (32.50 mm, 0.7 mm bigger than the packing says)" in wrong.out
    right = run("kit", book, "discs", "counted", "4", "--size", "31.8 mm")
    assert "4 counted (31.80 mm, as the packing says)" in right.out


def test_the_kit_is_counted_and_what_does_not_close_is_said(book: Path) -> None:
    done = run("kit", book, "gallery-plugs", "counted", "2", "--size", "9.5 mm")
    assert done.code == 0
    assert "3 by the packing, 2 counted (9.50 mm), 1 wanted, 0 fitted" in done.out
    assert "count: Gallery plugs: 3 by the packing, 2 counted" in done.err
    (line,) = run("kit", book, "--json").answer()["kit"]
    assert (line["packing"], line["counted"]["count"], line["fitted"]) == (3, 2, 0)


def test_debris_is_logged_and_the_last_log_counts(book: Path) -> None:
    assert "no debris log" in run("debris", book).out
    dirty = run("debris", book, "G1", "--how", "brushed", "--clean", "no", "--found", "chips")
    assert dirty.code == 0
    assert "G1: NOT clean (brushed), found: chips" in dirty.out
    assert "caution: eye protection" in dirty.out
    assert "its last debris log says not clean" in run("round", book, "--at", "G1").out
    run("debris", book, "G1", "--how", "brushed, blown, looked through", "--clean", "yes")
    (gallery,) = run("debris", book, "--json").answer()["galleries"]
    assert [log["clean"] for log in gallery["logs"]] == [False, True]
    assert "no debris log" not in run("round", book, "--at", "G1").out


def test_a_suspect_gauge_lists_all_it_touched(book: Path) -> None:
    read_everything(book)
    before = run("gauge", book, "mic-1", "--json").answer()["readings"]
    # Four readings, their mean, the bore zeroed on it, the clearance, the agreement.
    assert [r["key"] for r in before] == [
        *["M1.journal"] * 5, "M1.bore", "M1.clearance", "M1.ways",
    ]  # fmt: skip
    done = run("gauge", book, "mic-1", "suspect", "--since", "2020-01-01", "--reason", "dropped")
    assert done.code == 0
    assert "8 entries rest on it, 3 verdicts among them" in done.out
    assert "M1.bore, 0.041 mm bigger" in done.out
    assert "unproven now: M1.journal, M1.bore, M1.clearance, M1.ways" in done.out
    assert "SUSPECT since 2020-01-01: dropped" in run("gauge", book).out
    walked = run("round", book, "--open").out
    assert "mic-1 is suspect since 2020-01-01: dropped" in walked
    assert run("close", book, "crank").code == 6
    cleared = run("gauge", book, "mic-1", "clear", "--reason", "right on the 50 mm block")
    assert cleared.code == 0
    assert "suspect" not in run("round", book).out


def test_a_gauge_is_entered_and_changed_at_the_bench(book: Path) -> None:
    assert "OVERDUE: it was due for a check on 2021-03-02" in run("gauge", book).out
    done = run("gauge", book, "mic-1", "set", "--last-check", "2024-11-01", "--due", "2999-01-01")
    assert done.code == 0
    assert "OVERDUE" not in run("gauge", book).out
    entered = run(
        "gauge", book, "wrench-1", "set", "--kind", "torque wrench", "--resolution", "1 N.m",
        "--permissible-error", "2 N.m", "--json",
    )  # fmt: skip
    assert entered.answer()["resolution"] == {"value": 1.0, "unit": "N.m"}
    assert entered.answer()["difference"] is False
    changed = run("gauge", book, "bore-1", "set", "--no-difference", "--json").answer()
    assert (changed["difference"], changed["set_on"]) == (False, "mic-1")


def test_what_passed_with_the_owner_is_kept_and_listed(book: Path) -> None:
    done = run("owner", book, "agreed", "go on with G2", "--how", "phone", "--who", "Ada Quill")
    assert (done.code, "agreed: go on with G2 (phone, Ada Quill)" in done.out) == (0, True)
    listed = run("owner", book).out
    assert "instruction  Keep the old crankshaft.  (in the plan)" in listed
    assert "declined     New oil pump  (in the plan)" in listed
    assert "agreed       go on with G2  (phone, Ada Quill; kept by" in listed
    answer = run("owner", book, "--json").answer()
    assert [said["about"] for said in answer["said"]] == ["agreed"]


def test_a_paper_is_kept_as_it_came(book: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.pdf"
    sheet.write_bytes(b"%PDF-1.4\n%%EOF\n")
    done = run(
        "paper", book, sheet, "--what", "line bore sheet", "--at", "M1", "--shows", "M1.bore",
        "--json",
    )  # fmt: skip
    assert done.code == 0
    with Book.open(book, read_only=True) as opened:
        assert opened.paper_path(done.answer()["paper"]).read_bytes() == sheet.read_bytes()
    assert [p["what"] for p in run("round", book, "--json").answer()["papers"]] == [
        "line bore sheet"
    ]
    empty = tmp_path / "empty.pdf"
    empty.touch()
    assert run("paper", book, empty, "--what", "nothing").code == 3


def test_locations_are_placed_on_an_overall_photo(book: Path) -> None:
    run("photo", book, PHOTO, "--at", "G2", "--role", "overall")
    assert run("map", book, "G2", "--click", "100,200").code == 0
    assert run("map", book, "G3", "--same", "--click", "160,200").code == 0
    assert run("map", book, "M1", "--photo", PHOTO, "--click", "900,1200").code == 0
    told = run("map", book).out
    assert "G2  Gallery plug, rear: 100,200 on bearing-1.jpg, close to G3" in told
    assert "not placed: G1, S1" in told
    outside = run("map", book, "S1", "--click", "5000,5")
    assert (outside.code, "lies outside the picture" in outside.err) == (2, True)
    places = run("map", book, "--json").answer()["places"]
    assert [(p["location"], p["x_px"]) for p in places] == [("G2", 100), ("G3", 160), ("M1", 900)]
    run("photo", book, OTHER, "--at", "M1", "--role", "close-up")
    unfit = run("map", book, "S1", "--photo", OTHER, "--click", "5,5")
    assert (unfit.code, "is filed as overall" in unfit.err) == (2, True)


def test_a_photo_says_what_it_shows_and_that_it_was_filed_before(book: Path) -> None:
    first = run(
        "photo", book, PHOTO, "--at", "M1", "--role", "close-up", "--shows", "M1.bore", "--gauge",
        "bore-1", "--view", "mirror", "--up", "deck side", "--json",
    )  # fmt: skip
    assert (first.code, first.err) == (0, "")
    (kept,) = first.answer()["kept"]
    with Book.open(book, read_only=True) as opened:
        taken = opened.round().place("M1").photos[0].taken
    assert (taken.keys, taken.gauge, taken.view, taken.up) == (
        ("M1.bore",), "bore-1", "mirror", "deck side",
    )  # fmt: skip
    assert kept["photo"] == taken.photo
    again = run("photo", book, PHOTO, "--at", "S1", "--role", "fitted")
    assert again.code == 0
    assert "bearing-1.jpg was filed before, at M1 (close-up): is it the right photo?" in again.err


def test_rework_begins_a_new_attempt(book: Path) -> None:
    read_everything(book)
    done = run("rework", book, "G2.depth", "--what", "driven again")
    assert "to be read again: G2.depth, now attempt 2" in done.out
    run("reading", book, "G2.depth", *["2.32 mm BELOW"] * 4)
    told = run("round", book, "--at", "G2").out
    assert "range of 4 readings  (attempt 2)" in told
    assert "attempt 1: entry" in told
    answer = run("check", book, "G2.depth", "--json").answer()
    assert [a["name"] for a in answer["all_attempts"]] == ["attempt 1", "attempt 2"]


def test_hold_points_close_in_order_are_sealed_and_open_again(book: Path, tmp_path: Path) -> None:
    read_everything(book)
    run("debris", book, "G1", "--how", "brushed", "--clean", "yes")
    for plug in ("G2", "G3"):
        run("plug", book, plug, "in", "--piece", f"bag {plug}")
    early = run("close", book, "sump")
    assert early.code == 6
    assert "crank: is hidden by it and must be closed first" in early.err
    assert run("close", book, "crank").code == 0
    for place in ("G1", "G2", "G3", "M1", "S1"):
        photo = tmp_path / f"{place}.jpg"
        shutil.copy(PHOTO, photo)
        assert run("photo", book, photo, "--at", place, "--role", "fitted").code == 0
    closed = run("close", book, "sump")
    assert closed.code == 0
    assert "closed, not sealed: file the photo of what closes it" in closed.out
    assert "caution: Nothing above it can be seen again." in closed.out
    assert "closed, not sealed" in run("round", book, "--open").out
    assert run("photo", book, OTHER, "--at", "sump", "--role", "what closes it").code == 0
    assert "not sealed" not in run("round", book).out
    assert run("reading", book, "S1.seated", "no").code == 2
    reopened = run("reopen", book, "crank", "--reason", "knocks")
    assert reopened.code == 0
    assert "sump is open again (Sump goes on), for it hides crank" in reopened.out
    assert "G1, G2, G3, M1" in reopened.out
    holds = {hold["id"]: hold for hold in run("round", book, "--json").answer()["hold_points"]}
    assert [holds[h]["state"] for h in ("crank", "sump")] == ["open", "open"]
    assert holds["sump"]["reopened"] == ["knocks"]
    assert run("verify", book).code == 0


def test_counts_that_do_not_close_are_said_at_every_hold_point(book: Path) -> None:
    run("plug", book, "G2", "out")
    refused = run("close", book, "crank", "--json")
    assert refused.code == 6
    assert "count: plugs out and not in again: G2" in refused.err
    assert refused.answer()["counts_open"] == [
        "plugs out and not in again: G2", "plugs neither counted out nor in: G3",
    ]  # fmt: skip


def test_the_round_may_be_narrowed(book: Path) -> None:
    read_everything(book)
    left = run("round", book, "--open").out
    assert "journal" not in left
    assert "unproven: no debris log (asked for by crank)" in left
    assert "next:" not in left  # only photos, plugs and a log are wanted now
    one = run("round", book, "--at", "S1").out
    assert "S1  Rear seal" in one
    assert "G2" not in one
    assert "hold point sump: open" in one
    assert "hold point crank" not in one
    assert "  1 unproven at S1" in one
    answer = run("round", book, "--open", "--json").answer()
    assert answer["checks"] == []
    assert {place["id"] for place in answer["locations"]} == {"G1", "G2", "G3", "M1", "S1"}


def test_the_round_answers_everything_to_a_program(book: Path) -> None:
    answer = run("round", book, "--json").answer()
    assert answer["next"] == "G2.depth"
    assert "next: G2.depth, How deep does the lip sit" in run("round", book).out
    assert "How deep does the lip sit" in run("round", book, "--at", "G2").out
    for name in (
        "checks", "locations", "hold_points", "plugs", "parts", "kit", "gauges", "papers", "owner",
        "changes", "counts_open", "follows", "tally", "entries", "job",
    ):  # fmt: skip
        assert name in answer
    journal = next(check for check in answer["checks"] if check["key"] == "M1.journal")
    assert journal["readings"] == {"there": 0, "of": 4}


@pytest.mark.parametrize(
    "verb", ["round", "check", "plug", "debris", "part", "kit", "gauge", "owner", "map", "budget"]
)
def test_what_only_shows_writes_nothing(book: Path, verb: str) -> None:
    before = entries(book)
    words = {"check": ["M1.bore"], "budget": ["M1.bore"]}.get(verb, [])
    run(verb, book, *words)
    run(verb, book, *words, "--json")
    assert entries(book) == before


@pytest.mark.parametrize("verb", sorted(set(VERBS) - {"demo", "desk"}))
def test_every_verb_answers_programs_too(verb: str) -> None:
    """All but the demo, which is for looking, and the window, which is for a person."""
    words = ["change", "book", "add-part"] if verb == "change" else [verb]
    assert "--json" in run(*words, "--help").out
