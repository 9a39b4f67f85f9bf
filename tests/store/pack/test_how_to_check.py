"""HOW-TO-CHECK.txt: the very commands it prints are run here, with the tools it names."""

import re
import subprocess
from pathlib import Path
from typing import NamedTuple

import pytest

from store.book import Book
from store.evidence import OwnerSaid
from store.pack.signing_key import read_key
from store.ways_out.readings_csv import POLICY
from tests.store.pack.packed import FITTED, OIL_HOLE, make_key, packed, rebag, small_book
from tests.store.signing.attacks import extended
from tests.store.small_job import WHO, file_photo

GOOD = re.compile(r'^Good "evidence-pack" signature for .*\n', re.MULTILINE)


class Said(NamedTuple):
    """What the commands of one step said; ``calm`` without what a good signature answers."""

    out: str
    err: str
    calm: str


def steps(pack: Path) -> list[str]:
    """Return the indented commands of each numbered step that has some, but for the report's."""
    return [step for step in all_steps(pack) if "pdfsig" not in step]


def all_steps(pack: Path) -> list[str]:
    text = (pack / "data" / "HOW-TO-CHECK.txt").read_text()
    parts = re.split(r"^\d+\. ", text, flags=re.MULTILINE)[1:]
    found = ["\n".join(re.findall(r"^     (.*)$", part, re.MULTILINE)) for part in parts]
    return [each for each in found if each]


def run(pack: Path) -> list[Said]:
    said = []
    for step in steps(pack):
        done = subprocess.run(
            ["bash", "-c", step], cwd=pack, capture_output=True, text=True, check=False
        )
        calm = GOOD.sub("", done.stdout)
        said.append(Said(done.stdout, done.stderr, calm + done.stderr))
    return said


def expected_roots(pack: Path) -> list[str]:
    return [
        (folder / "checkpoint").read_text().splitlines()[2]
        for folder in sorted((pack / "data" / "chains").iterdir())
        if folder.is_dir()
    ]


def is_calm(pack: Path) -> bool:
    """Whether the commands say what the page says to expect, and nothing else."""
    said = "".join(each.calm for each in run(pack))
    return sorted(said.split()) == sorted(w for r in expected_roots(pack) for w in (r, "-"))


def test_a_sound_pack_passes(pack: Path, key: Path) -> None:
    who, files, chain, photos = run(pack)
    good = f'Good "evidence-pack" signature for north with ED25519 key {print_of(key)}'
    assert who.out.splitlines() == [good, good]
    assert who.err == ""
    assert files == photos == Said("", "", "")
    assert chain.out.splitlines() == [good, f"{expected_roots(pack)[0]}  -"]
    assert chain.err == ""


def report_step(pack: Path) -> Said:
    (step,) = [step for step in all_steps(pack) if "pdfsig" in step]
    done = subprocess.run(
        ["bash", "-c", step], cwd=pack, capture_output=True, text=True, check=True
    )
    return Said(done.stdout, done.stderr, "")


def test_the_report_s_signature_passes_with_the_fingerprint_that_is_printed(pack: Path) -> None:
    said = report_step(pack)
    assert said.err == ""
    for words in (
        "Signature #1", "Signature is Valid", "Total document signed", "issuer is unknown",
        "Signer Certificate Common Name: Tamm & Daughter",
    ):  # fmt: skip
        assert words in said.out
    assert "Signature #2" not in said.out
    first, second = re.findall("Fingerprint=([0-9A-F:]{95})", said.out)
    page = (pack / "data" / "HOW-TO-CHECK.txt").read_text()
    assert first == second
    assert first in re.sub(r":\n   ", ":", page)


def test_a_report_that_goes_on_behind_its_signature_is_told_by_the_commands(pack: Path) -> None:
    path = pack / "data" / "report.pdf"
    path.write_bytes(extended(path.read_bytes()))
    out = report_step(pack).out
    assert "Signature is Valid" in out  # which is why that alone is not enough
    assert "Not total document signed" in out


def print_of(key: Path) -> str:
    command = ["ssh-keygen", "-l", "-f", str(key)]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout.split()[1]


def test_the_page_names_the_key_the_root_and_what_it_does_not_show(pack: Path, key: Path) -> None:
    text = (pack / "data" / "HOW-TO-CHECK.txt").read_text()
    assert print_of(key) in text
    assert expected_roots(pack)[0] in text
    for words in ("What this does not show", "another way", "write the whole history anew"):
        assert words in text
    assert max(map(len, text.splitlines())) <= 104


def test_the_page_tells_how_a_text_of_the_table_is_had_back(pack: Path) -> None:
    assert POLICY in (pack / "data/HOW-TO-CHECK.txt").read_text()


def every_file(pack: Path) -> list[str]:
    return sorted(p.relative_to(pack).as_posix() for p in pack.rglob("*") if p.is_file())


def test_any_file_changed_or_gone_is_seen_by_the_commands(made: Path, pack: Path) -> None:
    commands = "\n".join(f"( {step} )" for step in steps(pack))

    def seen() -> bool:
        done = subprocess.run(
            ["bash", "-c", commands], cwd=pack, capture_output=True, text=True, check=False
        )
        return "Good" not in done.stdout or done.stderr != "" or done.stdout != sound

    sound = subprocess.run(
        ["bash", "-c", commands], cwd=pack, capture_output=True, text=True, check=True
    ).stdout
    missed = []
    for name in every_file(pack):
        content = (pack / name).read_bytes()
        (pack / name).write_bytes(content + b"\n")
        if not seen():
            missed.append(f"{name} changed")
        (pack / name).unlink()
        if not seen():
            missed.append(f"{name} gone")
        (pack / name).write_bytes(content)
    assert missed == []
    assert not seen()


@pytest.mark.parametrize("name", ["more.txt", "data/more.txt", "data/photos/more.jpg"])
def test_a_file_added_is_seen(pack: Path, name: str) -> None:
    (pack / name).write_text("x")
    assert not is_calm(pack)


def test_a_line_changed_in_a_bag_made_anew_is_seen(pack: Path, key: Path) -> None:
    path = pack / "data" / "chains" / "north" / "ledger.jsonl"
    path.write_bytes(path.read_bytes().replace(b"20.1 mm", b"20.2 mm"))
    rebag(pack, read_key(key))
    assert "differ" in run(pack)[2].calm


def test_lines_swapped_are_seen(pack: Path, key: Path) -> None:
    path = pack / "data" / "chains" / "north" / "ledger.jsonl"
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join([lines[0], lines[2], lines[1], *lines[3:]]))
    rebag(pack, read_key(key))
    assert run(pack)[2].calm.count("differ") == 2


def test_a_photo_in_another_ones_place_is_seen(pack: Path, key: Path) -> None:
    (path,) = [p for p in (pack / "data/photos").rglob("*.jpg") if p.read_bytes() == FITTED]
    path.write_bytes(OIL_HOLE)
    rebag(pack, read_key(key))
    assert "was changed" in run(pack)[3].calm


def test_another_key_is_seen_by_who_knows_the_fingerprint(pack: Path, tmp_path: Path) -> None:
    other = make_key(tmp_path, "other")
    rebag(pack, read_key(other))
    assert "Could not verify signature" in run(pack)[0].calm


def test_with_lines_left_out_the_commands_still_pass(book: Book, key: Path, tmp_path: Path) -> None:
    leave = [e.hash for e in book.entries() if e.kind in {"owner said", "paper kept"}]
    pack = packed(book, tmp_path / "part", key, leave_out=leave)
    assert len(leave) == 2
    assert is_calm(pack)
    ledger = (pack / "data/chains/north/ledger.jsonl").read_bytes()
    assert b"wept" not in ledger
    # Leaving out one line more than is listed is seen.
    (pack / "data/chains/north/redacted.txt").write_text(f"{leave[0]}\n")
    rebag(pack, read_key(key))
    assert not is_calm(pack)


def test_every_later_pack_goes_on_from_the_earlier(book: Book, key: Path, tmp_path: Path) -> None:
    packed(book, tmp_path / "first", key)
    book.append(OwnerSaid("told", "collected", "in person"), **WHO)
    second = packed(book, tmp_path / "second", key)
    book.append(OwnerSaid("told", "came back", "by phone"), **WHO)
    third = packed(book, tmp_path / "third", key)
    assert len(list((third / "data/chains/north/older").glob("*.sig"))) == 2
    assert is_calm(third)
    # What step 5 tells: an older pack's root is that of the first N lines now.
    _, entries, root = (second / "data/chains/north/checkpoint").read_text().split()
    command = f"head -n {entries} hashes.txt | sha256sum"
    now = subprocess.run(
        ["bash", "-c", command], cwd=third / "data/chains/north", capture_output=True, check=True
    )
    assert now.stdout.decode() == f"{root}  -\n"


def test_a_rewritten_history_is_called_a_fork(book: Book, key: Path, tmp_path: Path) -> None:
    """The same job told otherwise, with the real earlier checkpoint put beside it."""
    packed(book, tmp_path / "first", key)
    with small_book(tmp_path / "false") as false:
        false.append(OwnerSaid("told", "another story", "by phone"), **WHO)
        (false.root / "checkpoints").symlink_to(book.root / "checkpoints")
        pack = packed(false, tmp_path / "second", key)
    assert "FORK" in run(pack)[2].calm


def test_several_benches_have_a_step_each(tmp_path: Path, key: Path) -> None:
    with small_book(tmp_path / "book") as north:
        with Book.open(north.root, bench="south") as south:
            file_photo(south, "P3", content=b"seen from the south")
        pack = packed(north, tmp_path / "pack", key)
    assert [step.count("data/chains/south") for step in steps(pack)] == [0, 0, 0, 1, 0]
    assert is_calm(pack)


def test_a_key_changed_meanwhile_is_named(book: Book, key: Path, tmp_path: Path) -> None:
    other = make_key(tmp_path, "new")
    book.append(OwnerSaid("told", "collected", "in person"), **WHO)
    pack = packed(book, tmp_path / "pack", other)
    text = (pack / "data/HOW-TO-CHECK.txt").read_text()
    assert (
        text.index(print_of(other)) < text.index("Earlier checkpoints") < text.index(print_of(key))
    )
    assert is_calm(pack)
