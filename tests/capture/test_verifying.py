"""A book verified from the bench's side: its photos looked at, its readings read again."""

from pathlib import Path

from capture.intake.photo import read_photo
from capture.plans.reader import parse_plan
from capture.verifying import verify_book
from tests.capture.command import SAMPLES
from tests.capture.small_plan import PLAN
from tests.capture.test_journey import begun


def test_an_emptied_photo_is_altered_and_keeps_nothing_else_from_being_checked(
    tmp_path: Path,
) -> None:
    with begun(tmp_path / "book", parse_plan(PLAN.encode(), "plan.toml")) as journey:
        journey.add_photo(read_photo(SAMPLES / "bearing-1.jpg"), location="P1", role="overall")
        journey.reading("P1.clean", "yes")
        root = journey.book.root
    (photo,) = root.glob("photos/*/*.jpg")
    photo.chmod(0o600)
    photo.write_bytes(b"")
    found = [(f.severity, f.code) for f in verify_book(root, version="test")]
    assert {f for f in found if f[0] != "unread"} == {
        ("altered", "photo-size"), ("altered", "photo-altered"),
    }  # fmt: skip
