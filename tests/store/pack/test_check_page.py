"""check.html: its script run by a JavaScript engine on real and on forged packs; its policy.

The engine is node's, with the same WebCrypto that browsers have: fast, so that much is tried. How
a browser shows the page is tested beside this.
"""

import base64
import hashlib
import json
import re
import subprocess
from pathlib import Path
from typing import Any

import pytest

from store.book import Book
from store.evidence import OwnerSaid
from store.pack.check_page import check_page
from store.pack.signing_key import read_key
from tests.store.pack.packed import make_key, packed, rebag, resign
from tests.store.small_job import WHO

# Reads a folder as a browser hands it over, and prints what the page would show.
HARNESS = """
const fs = require("fs"), path = require("path"), { webcrypto } = require("crypto");
const [script, folder] = process.argv.slice(2);
const { checkPack } = require(script);
const files = new Map();
(function walk(at) {
  for (const each of fs.readdirSync(at, { withFileTypes: true })) {
    const name = path.join(at, each.name);
    if (each.isDirectory()) walk(name);
    else files.set("dropped/" + path.relative(folder, name), {
      size: fs.statSync(name).size,
      bytes: async () => new Uint8Array(fs.readFileSync(name)).buffer });
  }
})(folder);
const subtle = process.env.NO_ED25519
  ? { digest: (...all) => webcrypto.subtle.digest(...all),
      importKey: () => Promise.reject(new Error("not known here")) }
  : webcrypto.subtle;
checkPack(files, subtle).then(
  ({ findings, fingerprint, signatures, hashed, canSign }) =>
    console.log(JSON.stringify({ findings, fingerprint, signatures, hashed, canSign })),
  (error) => console.log(JSON.stringify({ failed: error.message })));
"""


def shown(pack: Path, tmp_path: Path, **environment: str) -> dict[str, Any]:
    """Return what the page's own script finds in a folder."""
    page = check_page()
    (script,) = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    (tmp_path / "script.js").write_text(script)
    (tmp_path / "harness.js").write_text(HARNESS)
    done = subprocess.run(
        ["node", "--no-warnings", "harness.js", "./script.js", str(pack)],
        cwd=tmp_path, capture_output=True, text=True, check=True,
        env={"PATH": "/usr/local/bin:/usr/bin:/bin", **environment},
    )  # fmt: skip
    answer = json.loads(done.stdout)
    assert isinstance(answer, dict)
    return answer


def what(pack: Path, tmp_path: Path) -> list[tuple[str, str]]:
    return [(f["path"], f["what"]) for f in shown(pack, tmp_path)["findings"]]


def test_a_sound_pack_has_no_finding_and_the_keys_fingerprint(
    pack: Path, key: Path, tmp_path: Path
) -> None:
    said = subprocess.run(
        ["ssh-keygen", "-l", "-f", str(key)], capture_output=True, text=True, check=True
    )
    there = sum(path.is_file() for path in pack.rglob("*"))
    assert shown(pack, tmp_path) == {
        "findings": [], "fingerprint": said.stdout.split()[1], "signatures": 3, "canSign": True,
        "hashed": there - 2,  # all but the tag manifest and its signature
    }  # fmt: skip


def test_every_file_changed_gone_or_added_is_found(pack: Path, tmp_path: Path) -> None:
    for path in sorted(p for p in pack.rglob("*") if p.is_file()):
        content = path.read_bytes()
        path.write_bytes(content + b"\n")
        assert what(pack, tmp_path), path.name
        path.unlink()
        answer = shown(pack, tmp_path)
        assert answer.get("findings") or "bagit.txt" in answer["failed"], path.name
        path.write_bytes(content)
    (pack / "data/more.txt").write_text("x")
    assert what(pack, tmp_path) == [("data/more.txt", "it was added: no manifest lists it")]


def test_another_key_is_found(pack: Path, tmp_path: Path) -> None:
    rebag(pack, read_key(make_key(tmp_path)))
    assert {told for _, told in what(pack, tmp_path)} == {
        "it is signed with another key than the pack's"
    }


def test_something_round_a_signature_is_found(pack: Path, tmp_path: Path) -> None:
    path = pack / "tagmanifest-sha256.txt.sig"
    content = path.read_text()
    for changed in ("PS\n" + content, content + "\n", content.replace("\n", "\r\n"), ""):
        path.write_text(changed, newline="")
        assert [name for name, _ in what(pack, tmp_path)] == ["tagmanifest-sha256.txt.sig"]


def test_lines_that_are_not_those_hashed_are_found(pack: Path, key: Path, tmp_path: Path) -> None:
    path = pack / "data/chains/north/ledger.jsonl"
    content = path.read_bytes()
    for changed, told in (
        (content.replace(b"20.1 mm", b"20.2 mm"), "is not the one that was hashed"),
        (b"".join(content.splitlines(keepends=True)[:-1]), "are missing"),
        (content + b"{}\n", "were added"),
    ):
        path.write_bytes(changed)
        rebag(pack, read_key(key))
        ((where, found),) = what(pack, tmp_path)
        assert where == "data/chains/north"
        assert told in found


def test_a_fork_is_called_one(book: Book, key: Path, tmp_path: Path) -> None:
    book.append(OwnerSaid("told", "collected", "in person"), **WHO)
    pack = packed(book, tmp_path / "out", key)
    (older,) = (p for p in (pack / "data/chains/north/older").iterdir() if p.suffix != ".sig")
    assert what(pack, tmp_path) == []
    bench, count, root = older.read_text().split()
    older.write_text(f"{bench}\n{count}\n{root[::-1]}\n")
    resign(older, read_key(key))
    rebag(pack, read_key(key))
    ((where, found),) = what(pack, tmp_path)
    assert where.startswith("data/chains/north/older/")
    assert "FORK" in found


def test_with_lines_left_out_there_is_no_finding(book: Book, key: Path, tmp_path: Path) -> None:
    said = next(e for e in book.entries() if e.kind == "owner said")
    assert what(packed(book, tmp_path / "out", key, leave_out=[said.hash]), tmp_path) == []


def test_a_browser_without_ed25519_says_that_it_did_not_check(pack: Path, tmp_path: Path) -> None:
    answer = shown(pack, tmp_path, NO_ED25519="1")
    assert (answer["canSign"], answer["signatures"], answer["findings"]) == (False, 0, [])
    assert "NOT CHECKED" in check_page()


def test_a_folder_that_is_no_pack_is_said(tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "note.txt").write_text("x")
    assert "no bagit.txt" in shown(tmp_path / "other", tmp_path)["failed"]


@pytest.mark.parametrize("tag", ["script", "style"])
def test_the_policy_names_the_one_script_and_style_by_their_hashes(tag: str) -> None:
    page = check_page()
    (policy,) = re.findall(r'Content-Security-Policy" content="([^"]*)"', page)
    (text,) = re.findall(f"<{tag}>(.*?)</{tag}>", page, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
    assert f"{tag}-src 'sha256-{digest}'" in policy
    assert policy.startswith("default-src 'none'; ")


def test_the_page_fetches_nothing_and_says_what_it_cannot_know() -> None:
    page = check_page()
    assert not re.search(r"(src|href)\s*=|@import|url\(|fetch\(|XMLHttp|WebSocket|https?:", page)
    assert not re.search(r"\bon[a-z]+=|style=", page)  # what the policy would refuse
    assert "@SCRIPT@" not in page
    assert "This page came with the pack" in page
    assert "in another way" in page
