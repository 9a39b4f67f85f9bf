"""A watched folder: only finished files, each once, never touched; in doubt it is asked."""

import os
from pathlib import Path

import pytest

from capture.desk import memory as remembering
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.photos.incoming import Incoming
from capture.desk.photos.settled import PATIENCE, Settling, Trace, listing, whole
from capture.desk.photos.watched import Watched, watched_of
from capture.desk.where import Where
from tests.capture.desk.photos.pictures import HEIC, TRUNCATED, other_bytes, sample_bytes
from tests.capture.desk.photos.waiting import LONG_MS, until

A = Path("a.jpg")


def looks(watched, qtbot, number: int = 3) -> None:
    for _ in range(number):
        with qtbot.waitSignal(watched.looked, timeout=LONG_MS):
            pass


# --- which files are finished ---------------------------------------------------------------


def test_a_file_is_given_once_when_its_size_rests_and_it_is_whole() -> None:
    settling = Settling(is_whole=lambda _: True)
    assert settling.look({A: Trace(100, 1)}) == []
    assert settling.look({A: Trace(200, 2)}) == []
    assert settling.look({A: Trace(200, 2)}) == [A]
    assert settling.look({A: Trace(200, 2)}) == []


def test_a_file_that_rests_and_is_not_whole_is_waited_for_and_then_asked_about() -> None:
    settling = Settling(is_whole=lambda _: False)
    given = [settling.look({A: Trace(200, 2)}) for _ in range(PATIENCE + 2)]
    assert given == [[]] * (PATIENCE + 1) + [[A]]


def test_an_empty_file_is_never_given_and_a_changed_one_is_given_again() -> None:
    settling = Settling(is_whole=lambda _: True)
    assert [settling.look({A: Trace(0, 1)}) for _ in range(PATIENCE + 2)] == [[]] * (PATIENCE + 2)
    settling.look({A: Trace(9, 2)})
    assert settling.look({A: Trace(9, 2)}) == [A]
    settling.look({A: Trace(9, 3)})
    assert settling.look({A: Trace(9, 3)}) == [A]


def test_what_was_there_before_is_left(tmp_path) -> None:
    settling = Settling(is_whole=lambda _: True)
    settling.leave({A: Trace(9, 2)})
    settling.look({A: Trace(9, 2)})
    assert settling.look({A: Trace(9, 2)}) == []


def test_only_pictures_by_name_are_listed_in_order_of_time(tmp_path) -> None:
    for turn, name in enumerate(("b.JPG", "a.heic", ".c.jpg", "~d.png", "e.jpg.part", "f.txt")):
        (tmp_path / name).write_bytes(b"x")
        os.utime(tmp_path / name, ns=(turn, turn))
    (tmp_path / "folder.jpg").mkdir()
    assert [path.name for path in listing(tmp_path)] == ["b.JPG", "a.heic"]


@pytest.mark.parametrize(("data", "is_whole"), [
    (sample_bytes(), True), (sample_bytes()[:-2], False), (TRUNCATED.read_bytes(), False),
    (HEIC.read_bytes(), True), (HEIC.read_bytes()[:-500], False),
    (b"GIF89a, to be asked about", True),
])  # fmt: skip
def test_a_file_is_whole_when_its_structure_ends_with_it(tmp_path, data, is_whole) -> None:
    (tmp_path / "x").write_bytes(data)
    assert whole(tmp_path / "x") == is_whole
    assert not whole(tmp_path / "gone")


# --- on a desk ------------------------------------------------------------------------------


@pytest.fixture
def folder(tmp_path) -> Path:
    (tmp_path / "phone").mkdir()
    return tmp_path / "phone"


@pytest.fixture
def watched(small, arrivals, folder, qtbot) -> Watched:
    made = Watched(small, every_ms=5)
    made.watch(folder)
    looks(made, qtbot, 1)
    return made


def test_a_growing_file_is_taken_only_when_it_is_finished_and_is_not_touched(
    watched, small, folder, said, qtbot
) -> None:
    data = sample_bytes()
    photo = folder / "IMG_1.jpg"
    photo.write_bytes(data[: len(data) // 2])
    looks(watched, qtbot, 4)
    assert small.round.entries == 1
    with photo.open("ab") as file:
        file.write(data[len(data) // 2 :])
    before = photo.stat()
    until(qtbot, lambda: bool(said))
    assert said == ["kept IMG_1.jpg at C1 as close-up"]
    after = photo.stat()
    assert photo.read_bytes() == data
    assert (after.st_mtime_ns, after.st_ino, after.st_mode) == (
        before.st_mtime_ns, before.st_ino, before.st_mode,
    )  # fmt: skip
    entries = small.round.entries
    looks(watched, qtbot, 4)
    assert small.round.entries == entries


def test_the_same_bytes_under_another_name_are_not_filed_again(
    watched, small, folder, said, qtbot
) -> None:
    (folder / "IMG_1.jpg").write_bytes(sample_bytes())
    until(qtbot, lambda: len(said) == 1)
    small.go_to_check("P1.bore")
    (folder / "IMG_1 copy.jpg").write_bytes(sample_bytes())
    until(qtbot, lambda: len(said) == 2)
    assert said[1].startswith("IMG_1 copy.jpg was filed before, at C1 (close-up)")
    assert small.round.place("P1").photos == ()


def test_where_no_location_is_shown_it_is_asked(watched, small, folder, arrivals, qtbot) -> None:
    small.go(Where("map"))
    (folder / "IMG_2.jpg").write_bytes(other_bytes())
    until(qtbot, lambda: arrivals.question is not None)
    assert arrivals.question.sentence.startswith("IMG_2.jpg shows no tag, and no location is")
    assert small.round.entries == 1
    arrivals.say_where("P1")
    until(qtbot, lambda: bool(small.round.place("P1").photos))


def test_what_lay_there_since_the_job_was_begun_is_asked_about_unless_it_is_filed(
    small, arrivals, folder, said, qtbot
) -> None:
    begun = 1_772_439_000  # the test's clock stands at 2026-03-02 09:00 +01:00, 1772438400
    for name, data, at in (
        ("filed.jpg", sample_bytes(), begun + 60), ("late.jpg", other_bytes(), begun + 60),
        ("old.jpg", sample_bytes("bearing-3.jpg"), begun - 90_000),
    ):  # fmt: skip
        (folder / name).write_bytes(data)
        os.utime(folder / name, (at, at))
    arrivals.take_paths([folder / "filed.jpg"])
    until(qtbot, lambda: bool(said))
    made = Watched(small, every_ms=5)
    made.watch(folder)
    until(qtbot, lambda: arrivals.question is not None)
    assert arrivals.question.kind == "there"
    assert arrivals.question.sentence.startswith(f"1 picture in {folder} came after this job was")
    assert arrivals.question.paths == (folder / "late.jpg",)
    arrivals.take_in()
    until(qtbot, lambda: len(small.round.place("C1").photos) == 2)
    assert [p.taken.file_name for p in small.round.place("C1").photos] == ["filed.jpg", "late.jpg"]


def test_a_folder_that_is_gone_is_told_once_and_watched_again_when_it_is_back(
    watched, small, folder, said, qtbot
) -> None:
    folder.rename(folder.with_name("away"))
    until(qtbot, lambda: bool(said))
    looks(watched, qtbot)
    (sentence,) = said
    assert sentence.startswith(f"the watched folder {folder} can't be read: is its card or share")
    assert watched.words.endswith("which can't be read just now")
    folder.with_name("away").rename(folder)
    (folder / "IMG_3.jpg").write_bytes(other_bytes())
    until(qtbot, lambda: len(said) == 2)
    assert said[1] == "kept IMG_3.jpg at C1 as close-up"


def test_the_folder_is_remembered_and_can_be_left(watched, small, folder, qtbot) -> None:
    assert remembering.recall().watched == str(folder)
    assert watched.words == f"photos that come into {folder} are taken in"
    watched.stop()
    assert remembering.recall().watched == ""
    assert (watched.folder, watched.words) == (None, "")
    (folder / "IMG_4.jpg").write_bytes(other_bytes())
    with qtbot.assertNotEmitted(watched.looked, wait=60):
        pass
    assert arrivals_of(small).progress == ""


def test_a_folder_chosen_elsewhere_is_followed(small, arrivals, folder, said, qtbot) -> None:
    made = Watched(small, every_ms=5)
    small.memory.watched = str(folder)
    small.told.emit("watched for photos")
    looks(made, qtbot, 1)
    (folder / "IMG_5.jpg").write_bytes(other_bytes())
    until(qtbot, lambda: len(said) == 2)
    assert said[1] == "kept IMG_5.jpg at C1 as close-up"


def test_no_location_is_taken_for_granted(small, arrivals, qtbot, tmp_path) -> None:
    line = Incoming(small, elsewhere=True)
    qtbot.addWidget(line)
    small.go(Where("map"))
    (tmp_path / "IMG_6.jpg").write_bytes(other_bytes())
    arrivals.take_paths([tmp_path / "IMG_6.jpg"])
    until(qtbot, lambda: arrivals.question is not None)
    assert not line._verbs["where"].isEnabled()
    line._where.setCurrentIndex(line._where.findData("P1"))
    line._verbs["where"].click()
    until(qtbot, lambda: bool(small.round.place("P1").photos))
    assert line._where.currentData() == ""


def test_in_other_rooms_the_windows_own_line_asks(small, arrivals, folder, qtbot) -> None:
    own, windows = Incoming(small), Incoming(small, elsewhere=True)
    for widget in (own, windows):
        qtbot.addWidget(widget)
        widget.show()
    watched_of(small).watch(folder)
    small.go(Where("map"))
    arrivals.take_paths([TRUNCATED])
    until(qtbot, lambda: arrivals.question is not None)
    assert "cut short" in windows.text
    assert own.isHidden()
    small.go_to_check("C1.covered")
    assert "cut short" in own.text
    assert windows.isHidden()
