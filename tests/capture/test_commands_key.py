"""benchproof key: fingerprints told and spelt, keys out and in."""

from pathlib import Path

from capture.journey import Journey
from capture.keys import certificate_fingerprint, signing_fingerprint
from store.files.halfmade import held
from store.signing.key_file import key_folder
from tests.capture.command import run
from tests.capture.small_plan import PLAN
from tests.store.pack.packed import make_key


def test_both_fingerprints_are_told_and_spelt(tmp_path: Path) -> None:
    done = run("key", "--name", "Back Lane Bench")
    assert done.code == 0
    key, certificate = signing_fingerprint(), certificate_fingerprint()
    assert f"key that signs packs: {key}" in done.out
    assert f"certificate that signs reports, of Back Lane Bench: {certificate}" in done.out
    groups = [line.split("  ")[1].strip() for line in done.out.splitlines() if line[:2] == "  "]
    assert "".join(groups) == key.partition(":")[2] + certificate


def test_a_program_gets_them_too() -> None:
    answer = run("key", "--json").answer()
    assert answer["fingerprint"] == signing_fingerprint()
    assert answer["certificate"] == certificate_fingerprint()
    assert answer["public_key"].startswith("ssh-ed25519 ")
    assert answer["kept_in"] == str(key_folder())
    assert answer["files"] == []


def test_keys_go_out_and_public_halves_too(tmp_path: Path) -> None:
    done = run("key", "--export", tmp_path / "stick")
    assert done.code == 0
    assert f"written {tmp_path / 'stick' / 'signing-key'}" in done.out
    done = run("key", "--public", tmp_path / "all", "--json")
    names = sorted(Path(each).name for each in done.answer()["files"])
    assert names == ["report-certificate.pem", "signing-key.pub"]


def test_a_key_that_a_killed_closing_began_is_gone_when_a_book_is_next_written_to(
    tmp_path: Path,
) -> None:
    (tmp_path / "plan.toml").write_text(PLAN, "utf-8")
    assert run("start", tmp_path / "plan.toml", tmp_path / "book").code == 0
    key_folder().mkdir(parents=True, exist_ok=True)
    left = key_folder() / ".signing-key.0123456789ab.part"
    left.write_bytes(b"half a key")
    assert run("round", tmp_path / "book").code == 0
    assert left.exists()  # reading a book changes nothing anywhere
    with held(left):  # being made this moment
        assert run("reading", tmp_path / "book", "P1.bore", "30.000 mm", "--by", "Ann").code == 0
        assert left.exists()
    done = run("strike", tmp_path / "book", "99", "--reason", "none such", "--by", "Ann")
    assert done.code != 0  # a verb that is refused has opened the book, too
    assert not left.exists()
    left.write_bytes(b"half a key")
    Journey.open(tmp_path / "book", clock=lambda: "", user="Ann", version="1").book.close()
    assert not left.exists()


def test_an_ssh_key_that_is_there_is_used_from_then_on(tmp_path: Path) -> None:
    path = make_key(tmp_path)
    assert run("key", "--import", path).code == 0
    assert signing_fingerprint() == signing_fingerprint(path)
    other = make_key(tmp_path, "other")
    done = run("key", "--import", other)
    assert (done.code, "another key" in done.err) == (2, True)
    assert signing_fingerprint() == signing_fingerprint(path)
    assert run("key", "--import", tmp_path / "none").code == 2
