"""What comes in is filed where it belongs; only then it is kept; what can't be known is asked."""

from typing import Any

from capture.desk.photos import coming
from capture.desk.where import Where
from store.errors import CannotWrite
from tests.capture.command import SAMPLES
from tests.capture.desk.photos.pictures import HEIC, TRUNCATED, other_bytes, with_tag
from tests.capture.desk.photos.waiting import until


def filed(desk, location: str) -> list[tuple[str, str]]:
    """(file name, role) of a location's photos, struck ones too."""
    return [(p.taken.file_name, p.taken.role) for p in desk.round.place(location).photos]


def test_several_files_are_filed_one_after_another_and_summed_up(
    arrivals, small, said, qtbot
) -> None:
    heard: list[Any] = []
    arrivals.changed.connect(lambda: heard.append(arrivals.progress))
    arrivals.take_paths([SAMPLES / "bearing-1.jpg", SAMPLES / "bearing-3.jpg"])
    until(qtbot, lambda: bool(said))
    assert said == ["kept 2 photos at C1"]
    assert filed(small, "C1") == [("bearing-1.jpg", "close-up"), ("bearing-3.jpg", "close-up")]
    assert "reading bearing-1.jpg, 1 of 2" in heard
    assert "reading bearing-3.jpg, 2 of 2" in heard
    assert heard[-1] == ""


def test_nothing_is_kept_before_the_book_has_it(arrivals, small, qtbot) -> None:
    at_that_moment: list[Any] = []
    arrivals.kept.connect(
        lambda kept: at_that_moment.append(
            any(p.taken.photo == kept.photo for p in small.round.place("C1").photos)
        )
    )
    arrivals.take_paths([SAMPLES / "bearing-1.jpg"])
    until(qtbot, lambda: bool(at_that_moment))
    assert at_that_moment == [True]


def test_what_the_disk_refuses_is_told_and_not_called_kept(
    arrivals, small, said, qtbot, monkeypatch
) -> None:
    def full(*_: object) -> None:
        raise CannotWrite("no room is left on the disk: make room, then file it again")

    monkeypatch.setattr("capture.desk.photos.arrivals.file", full)
    kept: list[Any] = []
    arrivals.kept.connect(kept.append)
    arrivals.take_paths([SAMPLES / "bearing-1.jpg"])
    until(qtbot, lambda: bool(said))
    assert said == ["no room is left on the disk: make room, then file it again"]
    assert kept == []
    assert filed(small, "C1") == []


def test_what_is_dropped_stays_meant_for_where_it_was_dropped(arrivals, small, qtbot) -> None:
    arrivals.next.choose("which hole")
    arrivals.take_paths([SAMPLES / "bearing-1.jpg", SAMPLES / "bearing-3.jpg"])
    small.go_to_check("P1.bore")
    until(qtbot, lambda: len(filed(small, "C1")) == 2)
    assert filed(small, "C1") == [("bearing-1.jpg", "which hole"), ("bearing-3.jpg", "which hole")]
    assert filed(small, "P1") == []


def test_a_tag_in_the_picture_files_it_at_its_location(
    arrivals, small, said, qtbot, tmp_path
) -> None:
    arrivals.take_paths([with_tag(tmp_path / "tagged.jpg", 2)])
    until(qtbot, lambda: bool(said))
    assert said == ["kept tagged.jpg at P1 as close-up, by the tag in it"]
    assert filed(small, "C1") == []


def test_where_somebody_said_it_belongs_outranks_the_tag(
    arrivals, small, said, qtbot, tmp_path
) -> None:
    arrivals.take_paths([with_tag(tmp_path / "tagged.jpg", 2)], location="C1", role="overall")
    until(qtbot, lambda: bool(said))
    assert filed(small, "C1") == [("tagged.jpg", "overall")]


def test_another_jobs_tag_and_two_tags_are_asked_about(
    arrivals, small, said, qtbot, tmp_path
) -> None:
    strange = with_tag(tmp_path / "strange.jpg", 77)
    arrivals.take_paths([strange, with_tag(tmp_path / "both.jpg", 1, 2)])
    until(qtbot, lambda: arrivals.questions == 2)
    assert arrivals.question.sentence.startswith(
        "strange.jpg shows tag 77, which is of no location of this job"
    )
    arrivals.say_where("P1")
    until(qtbot, lambda: bool(said))
    assert filed(small, "P1") == [("strange.jpg", "close-up")]
    assert "shows the tags of C1 and P1" in arrivals.question.sentence
    arrivals.leave_out()
    assert said[-1] == "both.jpg was left out; it is where it was"
    assert (tmp_path / "both.jpg").exists()


def test_where_no_location_is_shown_it_is_asked_once_for_all(arrivals, small, said, qtbot) -> None:
    small.go(Where("map"))
    arrivals.take_paths([SAMPLES / "bearing-1.jpg", SAMPLES / "bearing-3.jpg"])
    until(qtbot, lambda: arrivals.questions == 2)
    assert "no location is on the screen" in arrivals.question.sentence
    assert small.round.entries == 1
    arrivals.say_where("P1", every=True)
    until(qtbot, lambda: len(filed(small, "P1")) == 2)
    assert arrivals.question is None


def test_a_photo_cut_short_is_refused_and_may_be_kept_anyway(arrivals, small, said, qtbot) -> None:
    arrivals.take_paths([TRUNCATED])
    until(qtbot, lambda: arrivals.question is not None)
    assert arrivals.question.kind == "unreadable"
    assert "truncated_jpeg.jpg is cut short" in arrivals.question.sentence
    assert small.round.entries == 1
    arrivals.keep_anyway()
    until(qtbot, lambda: bool(said))
    (photo,) = small.round.place("C1").photos
    assert photo.taken.width_px is None
    assert photo.taken.bytes_count == TRUNCATED.stat().st_size


def test_a_file_that_is_missing_or_empty_is_told_with_what_to_do(
    arrivals, small, said, qtbot, tmp_path
) -> None:
    (tmp_path / "empty.jpg").touch()
    arrivals.take_paths([tmp_path / "gone.jpg", tmp_path / "empty.jpg"])
    until(qtbot, lambda: len(said) == 2)
    assert said[0].startswith("there is no file")
    assert said[1].startswith("empty.jpg is empty: copy it from the camera again")
    assert small.round.entries == 1


def test_the_same_bytes_are_not_filed_twice_at_one_place_and_asked_about_at_another(
    arrivals, small, said, qtbot, tmp_path
) -> None:
    copy = tmp_path / "copy.jpg"
    copy.write_bytes((SAMPLES / "bearing-1.jpg").read_bytes())
    arrivals.take_paths([SAMPLES / "bearing-1.jpg", copy])
    until(qtbot, lambda: bool(said))
    assert said[0].startswith("kept bearing-1.jpg at C1 as close-up; copy.jpg was filed before")
    assert said[0].endswith("at C1 (close-up), and is not filed twice")
    small.go_to_check("P1.bore")
    arrivals.take_paths([copy])
    until(qtbot, lambda: arrivals.question is not None)
    assert arrivals.question.sentence == (
        "copy.jpg was filed before, at C1 (close-up): is it the right photo?"
    )
    arrivals.file_again()
    until(qtbot, lambda: filed(small, "P1") == [("copy.jpg", "close-up")])


def test_a_photo_for_a_hold_point_is_what_closes_it(arrivals, small, qtbot) -> None:
    arrivals.take_paths([SAMPLES / "front-cover-on.jpg"], location="cover")
    until(qtbot, lambda: bool(small.round.hold("cover").photos))
    assert small.round.hold("cover").photos[0].taken.role == "what closes it"


def test_a_heic_photo_comes_in(arrivals, small, qtbot) -> None:
    arrivals.take_paths([HEIC])
    until(qtbot, lambda: bool(small.round.place("C1").photos))
    taken = small.round.place("C1").photos[0].taken
    assert (taken.suffix, taken.can_be_shown) == ("heic", True)


def test_a_file_of_our_own_is_removed_once_filed_and_left_where_it_was_refused(
    arrivals, small, said, qtbot, tmp_path, monkeypatch
) -> None:
    ours = tmp_path / "pasted.jpg"
    ours.write_bytes(other_bytes())
    arrivals.take_paths([ours], passing=True)
    until(qtbot, lambda: bool(said))
    assert not ours.exists()

    def full(*_: object) -> coming.Kept:
        raise CannotWrite("no room is left: make room")

    monkeypatch.setattr("capture.desk.photos.arrivals.file", full)
    frame = tmp_path / "frame.jpg"
    frame.write_bytes((SAMPLES / "bearing-3.jpg").read_bytes())
    arrivals.take_paths([frame], passing=True)
    until(qtbot, lambda: len(said) == 2)
    assert said[1] == f"no room is left: make room; meanwhile it lies in {frame}"
    assert frame.exists()


def test_without_a_book_nothing_is_taken_in(desk, qtbot) -> None:
    from capture.desk.photos.arrivals import arrivals_of  # noqa: PLC0415 - beside its use

    with qtbot.waitSignal(desk.refused) as said_so:
        arrivals_of(desk).take_paths([SAMPLES / "bearing-1.jpg"])
    assert said_so.args[0].startswith("no job is open")
