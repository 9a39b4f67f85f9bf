"""Words of what a book is held to later."""

from capture.vouched import KeptRoot, Vouched
from capture.words.proof import facts_of, grouped, message_of, notes_of, title_of

ROOT = "0123456789abcdef" * 4
TOLD = Vouched(
    "J-9", "Pump", closed=True, roots=(KeptRoot("north", 12, ROOT, 0),), key="SHA256:aBc",
    certificate="f" * 64,
)  # fmt: skip


def test_digits_are_grouped_for_the_eye_and_whole_in_the_message() -> None:
    assert grouped(ROOT).split() == ["01234567", "89abcdef"] * 4
    assert ROOT in message_of(TOLD).splitlines()
    assert "SHA256:aBc" in message_of(TOLD).splitlines()
    assert dict(facts_of(TOLD))["Key that signs the packs"] == "SHA256: aBc"
    assert [name for name, _ in facts_of(TOLD)] == [
        "Root over the first 12 entries of north", "Key that signs the packs",
        "Certificate that signs the reports",
    ]  # fmt: skip


def test_what_is_to_be_done_follows_from_what_is_kept() -> None:
    assert title_of(TOLD).startswith("The job is closed")
    opened = Vouched("J-9", "Pump", closed=False, roots=TOLD.roots)
    assert title_of(opened).startswith("Send this")
    assert facts_of(opened) == [("Root over the first 12 entries of north", grouped(ROOT))]
    assert title_of(Vouched("J-9", "Pump", closed=False, roots=())).startswith("Nothing is kept")


def test_what_came_later_and_what_failed_is_said() -> None:
    later = Vouched(
        "J-9", "Pump", closed=True, roots=(KeptRoot("north", 12, ROOT, 1),), trouble="disk full"
    )
    failed, came = notes_of(later)
    assert failed == "Not everything could be kept: disk full"
    assert came.startswith("1 entry of north came since")
    assert notes_of(TOLD) == []
