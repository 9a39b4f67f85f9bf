"""The bag is one by RFC 8493, and what is none is found. An independent reader is the oracle.

The broken bags below are made by hand after rules of RFC 8493 (The BagIt File Packaging Format
V1.0, 2018); the section stands beside each.
"""

import hashlib
import subprocess
from collections.abc import Callable
from pathlib import Path

import bagit
import pytest

from store.errors import BadPack
from store.pack.audit import check_bag
from store.pack.bag import Label, info, manifest
from tests.store.pack.conformance import everything_in, main, wrong_by_bagit
from tests.store.pack.packed import AT, copy_of

DECLARATION = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
HELLO = b"hello\n"


def digest(content: bytes, algorithm: str = "sha256") -> str:
    return hashlib.new(algorithm, content).hexdigest()


def hand_made(root: Path, algorithm: str = "sha256") -> Path:
    """A minimal bag: one file, one manifest, one tag manifest (RFC 8493 section 2)."""
    (root / "data").mkdir(parents=True)
    (root / "data" / "hello.txt").write_bytes(HELLO)
    (root / "bagit.txt").write_text(DECLARATION)
    (root / f"manifest-{algorithm}.txt").write_text(f"{digest(HELLO, algorithm)}  data/hello.txt\n")
    retag(root, algorithm)
    return root


def retag(root: Path, algorithm: str = "sha256") -> None:
    tags = sorted(p for p in root.iterdir() if p.is_file() and not p.name.startswith("tagm"))
    (root / f"tagmanifest-{algorithm}.txt").write_text(
        "".join(f"{digest(tag.read_bytes(), algorithm)}  {tag.name}\n" for tag in tags)
    )


def codes(root: Path) -> set[str]:
    return {finding.code for finding in check_bag(root) if finding.severity != "note"}


def test_an_independent_reader_takes_our_bag(pack: Path) -> None:
    read = bagit.Bag(str(pack))
    assert read.validate()
    assert read.version_info == (1, 0)
    assert read.info["External-Identifier"] == "K-118"
    assert read.info["Bagging-Date"] == "2026-03-05"
    size = sum(p.stat().st_size for p in (pack / "data").rglob("*") if p.is_file())
    assert read.info["Payload-Oxum"].split(".")[0] == str(size)


def test_that_reader_refuses_it_once_a_byte_is_changed(pack: Path) -> None:
    with (pack / "data" / "readings.csv").open("ab") as file:
        file.write(b"x")
    with pytest.raises(bagit.BagValidationError):
        bagit.Bag(str(pack)).validate()


def test_sha256sum_takes_both_manifests(pack: Path) -> None:
    for name in ("manifest-sha256.txt", "tagmanifest-sha256.txt"):
        done = subprocess.run(
            ["sha256sum", "--strict", "-c", name], cwd=pack, capture_output=True, check=False
        )
        assert done.returncode == 0
        assert done.stdout.count(b": OK") == len((pack / name).read_text().splitlines())


def test_our_own_bag_has_nothing_wrong(pack: Path) -> None:
    assert check_bag(pack) == []


@pytest.mark.parametrize("algorithm", ["sha256", "sha512"])
def test_a_minimal_bag_is_valid(tmp_path: Path, algorithm: str) -> None:
    bag = hand_made(tmp_path / "bag", algorithm)
    assert bagit.Bag(str(bag)).validate()
    assert codes(bag) == set()


def test_line_ends_and_blanks_that_the_rfc_allows_are_taken(tmp_path: Path) -> None:
    """Section 2.1.3: one or more blanks or tabs; 2.1.1: LF, CR or CRLF; hex of either case."""
    bag = hand_made(tmp_path / "bag")
    (bag / "bagit.txt").write_bytes(DECLARATION.replace("\n", "\r\n").encode())
    (bag / "manifest-sha256.txt").write_bytes(
        f"{digest(HELLO).upper()} \t data/hello.txt\r\n".encode()
    )
    retag(bag)
    assert codes(bag) == set()


DECLARATIONS = {
    "a blank before the colon": DECLARATION.replace(":", " :"),  # section 2.1.1
    "a blank at the end": DECLARATION.replace("1.0\n", "1.0 \n"),
    "no version": "Tag-File-Character-Encoding: UTF-8\n",
    "the lines turned round": "Tag-File-Character-Encoding: UTF-8\nBagIt-Version: 1.0\n",
    "a byte order mark": "\ufeff" + DECLARATION,  # section 2.1.1: MUST NOT contain one
    "a third line": DECLARATION + "Note: x\n",
    "another encoding": DECLARATION.replace("UTF-8", "UTF-16"),
    "an older version": DECLARATION.replace("1.0", "0.97"),
    "nothing": "",
}


@pytest.mark.parametrize("name", DECLARATIONS)
def test_a_declaration_that_is_not_letter_for_letter_is_found(tmp_path: Path, name: str) -> None:
    bag = hand_made(tmp_path / "bag")
    (bag / "bagit.txt").write_bytes(DECLARATIONS[name].encode())
    retag(bag)
    assert codes(bag) == {"bag-declaration"}


def without(name: str) -> Callable[[Path], None]:
    return lambda bag: (bag / name).unlink()


def write(name: str, text: str | bytes, *, tagged: bool = True) -> Callable[[Path], None]:
    def change(bag: Path) -> None:
        (bag / name).write_bytes(text.encode() if isinstance(text, str) else text)
        if tagged:
            retag(bag)

    return change


LINE = f"{digest(HELLO)}  data/hello.txt\n"
BROKEN: dict[str, tuple[Callable[[Path], None], set[str]]] = {
    "no declaration": (without("bagit.txt"), {"bag-declaration", "file-missing"}),  # 2.1.1
    "no manifest": (without("manifest-sha256.txt"), {"manifest-missing", "file-missing"}),  # 2.1.3
    "no tag manifest": (without("tagmanifest-sha256.txt"), {"manifest-missing"}),
    "a file that is gone": (without("data/hello.txt"), {"file-missing"}),  # section 3
    "a file that was added": (write("data/more.txt", "x"), {"file-extra"}),
    "a tag file that was added": (write("note.txt", "x", tagged=False), {"file-extra"}),
    "a file that was changed": (write("data/hello.txt", "hullo\n"), {"file-altered"}),
    "twice with one hash": (write("manifest-sha256.txt", LINE * 2), {"manifest-twice"}),  # 2.1.3
    "twice with two hashes": (
        write("manifest-sha256.txt", LINE + LINE.replace(digest(HELLO), "d" * 64)),
        {"manifest-twice", "file-altered"},
    ),
    "a manifest that lists too few": (
        # section 3: every payload file MUST be listed in every payload manifest
        write("manifest-sha512.txt", ""),
        {"file-extra"},
    ),
    "a payload manifest that lists a tag file": (
        write("manifest-sha256.txt", f"{LINE}{digest(DECLARATION.encode())}  bagit.txt\n"),
        {"manifest-line"},
    ),
    "a path that leads out": (
        write("manifest-sha256.txt", f"{LINE}{'0' * 64}  data/../../secret\n"),
        {"file-missing"},
    ),
    "a path that is absolute": (
        write("manifest-sha256.txt", f"{LINE}{digest(b'')}  /dev/null\n"),
        {"file-missing"},
    ),
    "a path that leads out of data and back": (
        write("manifest-sha256.txt", f"{LINE}{digest(HELLO)}  data/../data/hello.txt\n"),
        {"file-missing"},
    ),
    "a path that begins with a dot": (
        write("manifest-sha256.txt", LINE.replace("data/", "./data/")),
        {"file-missing", "file-extra"},
    ),
    "a path that a shell takes for somebody's home": (
        write("manifest-sha256.txt", f"{LINE}{digest(b'')}  ~/.profile\n"),
        {"file-missing"},
    ),
    "a path that a shell takes for another one's home": (
        write("manifest-sha256.txt", f"{LINE}{digest(b'')}  ~root/.profile\n"),
        {"file-missing"},
    ),
    "a path with a drive": (
        write("manifest-sha256.txt", f"{LINE}{digest(b'')}  C:\\data\\hello.txt\n"),
        {"file-missing"},
    ),
    "a path that is a folder": (
        write("manifest-sha256.txt", f"{LINE}{digest(b'')}  data\n"),
        {"file-missing"},
    ),
    "names that differ in how an accent is written": (
        write("manifest-sha256.txt", f"{LINE}{digest(b'')}  data/e\u0301\n", tagged=True),
        {"file-missing"},
    ),
    "a hash of the wrong length": (
        write("manifest-sha256.txt", LINE[1:]),
        {"manifest-line", "file-extra"},
    ),
    "a line without a path": (
        write("manifest-sha256.txt", f"{LINE}{'0' * 64}\n"),
        {"manifest-line"},
    ),
    "files to be fetched": (
        # section 2.2.3 allows it; a pack that is to stand by itself does not
        write("fetch.txt", "http://www.w3.org/ 6 data/hello.txt\n"),
        {"fetch-refused"},
    ),
    "a wrong sum of bytes": (write("bag-info.txt", "Payload-Oxum: 7.1\n"), {"bag-oxum"}),  # 2.2.2
    "a wrong count of files": (write("bag-info.txt", "Payload-Oxum: 6.2\n"), {"bag-oxum"}),
    "an info that is not UTF-8": (
        write("bag-info.txt", b"A: \xff\n"),
        {"bag-info"},
    ),
    "a manifest that is not UTF-8": (
        write("manifest-sha256.txt", LINE.encode() + b"\xff\n"),
        {"manifest-text", "manifest-missing"},
    ),
}


# What the independent reader takes all the same. RFC 8493 lets a bag be without a tag manifest,
# lets tag files be unlisted and files be fetched later; an empty manifest and a line that is none
# bagit-python 1.9.0 passes over, and it takes "./" away.
TAKEN_BY_IT = {
    "no tag manifest",
    "a tag file that was added",
    "files to be fetched",
    "a manifest that lists too few",
    "a line without a path",
    "a path that begins with a dot",
}


@pytest.mark.parametrize("name", BROKEN)
def test_what_is_wrong_with_a_bag_is_found(tmp_path: Path, name: str) -> None:
    change, expected = BROKEN[name]
    bag = hand_made(tmp_path / "bag")
    change(bag)
    before = everything_in(tmp_path)
    assert codes(bag) == expected
    assert everything_in(tmp_path) == before
    assert bool(wrong_by_bagit(bag)) == (name not in TAKEN_BY_IT)


def test_bags_of_older_versions_are_refused(tmp_path: Path) -> None:
    """0.93 to 0.97 knew weaker hashes and other line ends; no pack was ever made so."""
    folder = tmp_path / "bag"
    folder.mkdir()
    (folder / "hello.txt").write_bytes(HELLO)
    bagit.make_bag(str(folder), checksums=["md5", "sha1"])
    assert bagit.Bag(str(folder)).validate()
    assert {"bag-declaration", "manifest-missing"} <= codes(folder)


def test_percent_codes_stand_for_what_a_line_cannot_hold(tmp_path: Path) -> None:
    """Section 2.1.3: CR, LF and % are written as codes; the names themselves are refused here."""
    assert manifest({"data/100%": "0" * 64}) == f"{'0' * 64}  data/100%25\n"
    bag = hand_made(tmp_path / "bag")
    write("manifest-sha256.txt", LINE + f"{'0' * 64}  data/a%0Ab%25\n")(bag)
    assert [f.where for f in check_bag(bag)] == [r"'data/a\nb%'"]


def test_a_link_in_a_bag_is_refused(tmp_path: Path) -> None:
    bag = hand_made(tmp_path / "bag")
    (bag / "data" / "link").symlink_to("/etc/hostname")
    with pytest.raises(BadPack, match="link"):
        check_bag(bag)


def test_nothing_in_a_label_begins_a_line_of_its_own() -> None:
    label = Label(AT, "Shop\nPayload-Oxum: 1.1", "K\r\n1", "an engine", "0.1.0", "SHA256:x")
    lines = info(label, {"data/a": 5}).splitlines()
    assert len(lines) == 8
    assert lines[0] == "Source-Organization: Shop Payload-Oxum: 1.1"
    assert [line for line in lines if line.startswith("Payload-Oxum")] == ["Payload-Oxum: 5.1"]


def test_a_bag_of_the_independent_writer_is_taken(tmp_path: Path) -> None:
    folder = tmp_path / "bag"
    folder.mkdir()
    (folder / "hello.txt").write_bytes(HELLO)
    bagit.make_bag(str(folder), checksums=["sha256"])
    copy = copy_of(folder, tmp_path / "copy")
    # It writes 0.97, which differs from 1.0 in nothing that this bag uses.
    (copy / "bagit.txt").write_text(DECLARATION)
    retag(copy)
    assert codes(copy) == set()


def test_a_folder_of_known_bags_is_gone_through_and_a_wrong_answer_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As ``python -m tests.store.pack.conformance`` does with the published suite."""
    hand_made(tmp_path / "v1.0/valid/basic", "sha512")
    bad = hand_made(tmp_path / "v1.0/invalid/blanks")
    write("bagit.txt", DECLARATIONS["a blank before the colon"])(bad)
    monkeypatch.setattr("sys.argv", ["conformance", str(tmp_path)])
    assert main() == 0
    said = capsys.readouterr().out
    assert "valid: 1 bags, ours takes 1, bagit.py takes 1" in said
    assert "invalid: 1 bags, ours takes 0, bagit.py takes 1" in said
    hand_made(tmp_path / "v1.0/invalid/sound")
    assert main() == 1
