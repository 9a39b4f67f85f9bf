"""benchproof copy and merge: words, exit codes, JSON."""

from pathlib import Path

import pytest

from tests.capture.command import SAMPLES, run

PLAN = Path(__file__).parents[2] / "capture/plans/demo.toml"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "job"
    assert run("start", PLAN, root, "--by", "A. Fitter").code == 0
    return root


@pytest.fixture
def south(book: Path) -> Path:
    copy = book.with_name("south")
    assert run("copy", book, copy, "--bench", "south").code == 0
    return copy


def test_a_copy_says_what_it_is_for(book: Path, tmp_path: Path) -> None:
    done = run("copy", book, tmp_path / "backup")
    assert done.code == 0
    assert "1 entry and no files copied, and verified" in done.out
    assert "work in one of the two only" in done.out
    done = run("copy", book, tmp_path / "bench-2", "--bench", "bench-2")
    assert "written by bench-2: take it in with benchproof merge" in done.out
    answer = run("copy", book, tmp_path / "backup", "--json").answer()
    assert (answer["entries"], answer["files"], answer["missing"]) == (0, 0, [])


def test_a_copy_is_refused_in_words(book: Path, south: Path) -> None:
    assert run("reading", south, "T1.end-float", "0.20 mm").code == 0
    done = run("copy", book, south)
    assert (done.code, "no older copy of this book" in done.err) == (2, True)
    done = run("copy", book, book / "inside")
    assert (done.code, "is inside the book" in done.err) == (2, True)
    done = run("copy", book, book.with_name("third"), "--bench", "Third Bench")
    assert (done.code, "is not a bench name" in done.err) == (2, True)


def test_two_benches_work_and_are_merged(book: Path, south: Path) -> None:
    assert run("reading", book, "T1.end-float", "0.20 mm").code == 0
    assert run("reading", south, "T1.end-float", "0.22 mm", "--by", "B. Fitter").code == 0
    photo = SAMPLES / "bearing-1.jpg"
    assert run("photo", south, photo, "--at", "B1", "--role", "overall").code == 0
    done = run("merge", book, south)
    assert done.code == 0
    assert "south: 4 entries taken in" in done.out
    assert "1 photo copied" in done.out
    assert "T1.end-float: within, 0.22 mm (by south; before: 0.20 mm)" in done.out
    assert "CONFLICT: T1.end-float was read at both: '0.20 mm' by" in done.out
    assert run("verify", book).out.splitlines()[-1].startswith("sound: ")
    again = run("merge", book, south)
    assert again.out == "nothing new: everything in that copy is here already\n"
    assert run("merge", south, book).code == 0
    assert run("verify", south).code == 0


def test_the_answer_for_a_program(book: Path, south: Path) -> None:
    assert run("reading", book, "T1.end-float", "0.20 mm").code == 0
    assert run("reading", south, "T1.end-float", "0.22 mm").code == 0
    answer = run("merge", book, south, "--json").answer()
    assert answer["taken"] == {"south": 3}
    (handed,) = answer["handed"]
    assert (handed["key"], handed["bench"]) == ("T1.end-float", "south")
    assert [handed[when]["value"]["value"] for when in ("was", "now")] == [0.2, 0.22]
    (conflict,) = answer["conflicts"]
    assert (conflict["kind"], conflict["of"]) == ("read twice", "T1.end-float")
    assert len(conflict["ours"]) == len(conflict["theirs"]) == 64
    assert answer["fork"] is None


def test_a_fork_is_told(book: Path, tmp_path: Path) -> None:
    assert run("copy", book, tmp_path / "backup").code == 0
    for root, value in ((book, "0.20 mm"), (tmp_path / "backup", "0.22 mm")):
        assert run("reading", root, "T1.end-float", value).code == 0
    done = run("merge", book, tmp_path / "backup")
    assert done.code == 0
    assert "FORK: that copy of" in done.out
    assert "from entry 2: two histories of one bench; its 2 lines from there on" in done.out
    verified = run("verify", book)
    assert verified.code == 0
    assert "FORK: another copy of" in verified.out
    fork = run("merge", book, tmp_path / "backup", "--json").answer()["fork"]
    assert (fork["entry"], fork["lines"], fork["new"]) == (2, 2, False)
    assert (Path(fork["kept_in"]) / "ledger.jsonl").is_file()


def test_a_pack_is_merged_and_its_key_told(book: Path, south: Path, tmp_path: Path) -> None:
    assert run("reading", south, "T1.end-float", "0.22 mm").code == 0
    assert run("pack", south, tmp_path / "south.zip").code == 0
    done = run("merge", book, tmp_path / "south.zip")
    assert done.code == 0
    assert "the pack is signed with SHA256:" in done.out
    assert "T1.end-float: within, 0.22 mm (by south)" in done.out


def test_the_round_and_the_report_show_who_merged_and_what_both_benches_did(
    book: Path, south: Path, tmp_path: Path
) -> None:
    assert run("reading", book, "T1.end-float", "0.20 mm").code == 0
    assert run("reading", south, "T1.end-float", "0.22 mm").code == 0
    assert "merged" not in run("round", book).out
    assert run("merge", book, south, "--by", "M. Erger").code == 0
    told = run("round", book).out
    assert "merged: 3 entries of south taken in (by M. Erger, " in told
    assert "CONFLICT: T1.end-float was read at both: '0.20 mm' by" in told
    assert run("round", book).out == told  # from what was kept, too
    _, merge = run("round", book, "--json").answer()["merges"]
    assert (merge["by"], merge["taken"], merge["elsewhere"]) == ("M. Erger", {"south": 3}, False)
    assert [c["kind"] for c in merge["conflicts"]] == ["read twice"]
    assert run("report", book, "--html", "-o", tmp_path / "page.html").code == 0
    page = (tmp_path / "page.html").read_text()
    assert "Merges" in page
    assert "T1.end-float was read at both" in page


def test_what_is_no_copy_is_refused(book: Path, south: Path, tmp_path: Path) -> None:
    assert run("start", PLAN, tmp_path / "other", "--by", "A. Fitter").code == 0
    done = run("merge", book, tmp_path / "other")
    assert (done.code, "another book" in done.err) == (2, True)
    assert run("reading", south, "T1.end-float", "0.22 mm").code == 0
    assert run("pack", south, tmp_path / "pack").code == 0
    with (tmp_path / "pack/data/readings.csv").open("a") as file:
        file.write("x")
    done = run("merge", book, tmp_path / "pack")
    assert (done.code, "nothing of it was taken" in done.err) == (7, True)
    (tmp_path / "letter.zip").write_text("a letter of some length, and no zip at all")
    done = run("merge", book, tmp_path / "letter.zip")
    assert (done.code, "is no pack" in done.err) == (3, True)


def test_an_entry_of_another_bench_is_told_and_struck_by_its_name(book: Path, south: Path) -> None:
    assert run("reading", book, "T1.end-float", "0.20 mm").code == 0
    assert run("reading", south, "T1.end-float", "0.22 mm", "--by", "B. Fitter").code == 0
    assert run("merge", book, south).code == 0
    told = run("check", book, "T1.end-float").out
    assert "counts   entry south 2, by B. Fitter" in told
    assert "  CONFLICT: T1.end-float was read at both: '0.20 mm' by" in told
    assert "CONFLICT" not in run("check", book, "B1.covered").out
    assert "before: entry 2, 0.20 mm" in run("round", book, "--at", "T1").out
    # "2" alone is an entry of both: a guess would strike what the other bench read.
    guessed = run("strike", book, "2", "--reason", "slip")
    assert guessed.code == 2
    assert "answer to '2': say which, as " in guessed.err
    assert "south 2" in guessed.err
    done = run("strike", book, "South 2", "--reason", "slip")
    assert done.code == 0
    assert "entry south 2 is struck by entry 5" in done.out
    assert "T1.end-float  " not in done.out
    assert "within, 0.20 mm" in run("check", book, "T1.end-float").out
    assert (
        "no entry in this book answers to 'south 99'"
        in run("strike", book, "south 99", "--reason", "slip").err
    )


def test_the_report_cites_another_bench_s_entries_by_its_name(book: Path, south: Path) -> None:
    assert run("reading", book, "T1.end-float", "0.20 mm").code == 0
    assert run("reading", south, "T1.end-float", "0.22 mm", "--by", "B. Fitter").code == 0
    assert run("merge", book, south).code == 0
    page = book.with_name("page.html")
    assert run("report", book, "--html", "-o", page).code == 0
    text = page.read_text(encoding="utf-8").replace("\N{NO-BREAK SPACE}", " ")
    text = text.replace("&nbsp;", " ").replace("&#160;", " ")
    assert "entry south 2" in text
    assert "2 values were given; both of them are shown." in text
    # On the first page, and beside the value that counts because it arrived last.
    assert "One thing was done at two benches, each without knowing of the other" in text
    assert "T1.end-float was read at both: " in text.split("Two benches. ")[-1][:80]
