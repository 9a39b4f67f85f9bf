"""check.html as people meet it: in a real Chromium, with a folder chosen or dropped, no network."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from store.book import Book
from store.evidence import OwnerSaid
from store.pack.signing_key import read_key
from tests.browser import Browser
from tests.store.pack.packed import make_key, packed, rebag, resign
from tests.store.small_job import WHO

CHAIN = "data/chains/north"
GOOD = "Every file and every line is as it was packed"
TOLD = "document.getElementById('headline').className"


class Shown(NamedTuple):
    """What stands in the page when it has checked."""

    kind: str
    headline: str
    findings: list[str]
    progress: str
    fingerprint: str


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with Browser() as opened:
        yield opened


def shown(browser: Browser) -> Shown:
    browser.wait_for(TOLD)
    return Shown(*browser.run(
        f"[{TOLD}, document.getElementById('headline').innerText,"
        " [...document.querySelectorAll('#findings li')].map((item) => item.innerText),"
        " document.getElementById('progress').innerText,"
        " document.getElementById('fingerprint').innerText]"
    ))  # fmt: skip


def chosen(browser: Browser, pack: Path) -> Shown:
    browser.open(pack / "data/check.html")
    browser.choose("#files", pack)
    return shown(browser)


def test_a_sound_pack_is_said_to_be_one(browser: Browser, pack: Path, key: Path) -> None:
    told = chosen(browser, pack)
    assert told[:3] == ("good", GOOD, [])
    assert told.fingerprint == read_key(key).public.fingerprint
    there = sum(path.is_file() for path in pack.rglob("*"))
    assert told.progress == f"{there - 2} files hashed. 3 signatures hold."


def test_a_folder_can_be_dropped(browser: Browser, pack: Path) -> None:
    browser.open(pack / "data/check.html")
    browser.drop("#field", pack)
    assert shown(browser)[:3] == ("good", GOOD, [])
    # Once more, after something was changed: the answer is the new one.
    (pack / "bag-info.txt").write_text("Note: changed\n")
    browser.run("document.getElementById('headline').className = ''")
    browser.drop("#field", pack)
    assert "bag-info.txt" in shown(browser).findings[0]


def test_a_folder_round_the_packs_folder_will_do(browser: Browser, pack: Path) -> None:
    browser.open(pack / "data/check.html")
    browser.choose("#files", pack.parent)
    assert shown(browser)[:2] == ("good", GOOD)


def test_what_else_is_dropped_is_answered(browser: Browser, pack: Path, made: Path) -> None:
    for where, what, words in (
        ("#field", made / "pack.zip", "unpack the pack"),
        ("h1", pack, "Drop the folder on the field"),
        ("#field", pack / "data/photos", "There is no bagit.txt"),
    ):
        browser.open(pack / "data/check.html")
        browser.drop(where, what)
        told = shown(browser)
        assert (told.kind, told.findings) == ("bad", [])
        assert words in told.headline


def append(name: str) -> Callable[[Path], None]:
    def change(pack: Path) -> None:
        with (pack / name).open("ab") as file:
            file.write(b"\n")

    return change


def swap_photos(pack: Path) -> None:
    one, other = sorted((pack / "data/photos").rglob("*.jpg"))[:2]
    content = one.read_bytes()
    one.write_bytes(other.read_bytes())
    other.write_bytes(content)


def photo_of(pack: Path) -> Path:
    return min((pack / "data/photos").rglob("*.jpg"))


def flip_in_photo(pack: Path) -> None:
    content = bytearray(photo_of(pack).read_bytes())
    content[3] ^= 1
    photo_of(pack).write_bytes(content)


def drop_line(pack: Path) -> None:
    path = pack / CHAIN / "ledger.jsonl"
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))


def change_signature(pack: Path) -> None:
    path = pack / "manifest-sha256.txt.sig"
    lines = path.read_text().splitlines(keepends=True)
    lines[-2] = lines[-2].swapcase()
    path.write_text("".join(lines))


# What is done to the folder, and the file that the page must name.
TAMPERED: dict[str, tuple[Callable[[Path], object], str, str]] = {
    "a photo with one bit flipped": (flip_in_photo, "data/photos/", "it was changed"),
    "two photos in each other's place": (swap_photos, "data/photos/", "it was changed"),
    "a photo gone": (lambda pack: photo_of(pack).unlink(), "data/photos/", "it is missing"),
    "a photo cut off": (
        lambda pack: photo_of(pack).write_bytes(photo_of(pack).read_bytes()[:-1]),
        "data/photos/",
        "it was changed",
    ),
    "a file added": (
        lambda pack: (pack / "data/note.txt").write_text("x"),
        "data/note.txt",
        "it was added",
    ),
    "a file added beside data": (
        lambda pack: (pack / "note.txt").write_text("x"),
        "note.txt",
        "it was added",
    ),
    "the report": (append("data/report.pdf"), "data/report.pdf", "it was changed"),
    "the table": (append("data/readings.csv"), "data/readings.csv", "it was changed"),
    "this very page": (append("data/check.html"), "data/check.html", "it was changed"),
    "the last line gone": (drop_line, f"{CHAIN}/ledger.jsonl", "it was changed"),
    "a hash added": (append(f"{CHAIN}/hashes.txt"), f"{CHAIN}/hashes.txt", "it was changed"),
    "the manifest": (append("manifest-sha256.txt"), "manifest-sha256.txt", "no hash and path"),
    "the manifest's signature": (
        change_signature,
        "manifest-sha256.txt.sig",
        "it was changed|not this file",
    ),
    "a signature gone": (
        lambda pack: (pack / "tagmanifest-sha256.txt.sig").unlink(),
        "tagmanifest-sha256.txt",
        "it is not signed",
    ),
    "the declaration": (append("bagit.txt"), "bagit.txt", "not that of a BagIt 1.0 bag"),
}


@pytest.mark.parametrize("name", TAMPERED)
def test_what_was_done_to_a_pack_is_named(browser: Browser, pack: Path, name: str) -> None:
    change, where, what = TAMPERED[name]
    change(pack)
    told = chosen(browser, pack)
    assert told.kind == "bad"
    assert told.headline.endswith("wrong: this pack is not as it was made")
    assert any(
        line.startswith(where) and any(words in line for words in what.split("|"))
        for line in told.findings
    ), told.findings


def test_another_key_is_seen(browser: Browser, pack: Path, tmp_path: Path) -> None:
    rebag(pack, read_key(make_key(tmp_path)))
    told = chosen(browser, pack)
    assert told.kind == "bad"
    assert {line.splitlines()[1] for line in told.findings} == {
        "it is signed with another key than the pack's"
    }


def test_a_pack_signed_anew_throughout_shows_another_fingerprint(
    browser: Browser, pack: Path, key: Path, tmp_path: Path
) -> None:
    """No page that came with it can do more; so it asks for the fingerprint to be compared."""
    other = read_key(make_key(tmp_path))
    line = f'north namespaces="evidence-pack" {other.public.text}\n'
    (pack / "data/allowed_signers").write_text(line)
    resign(pack / CHAIN / "checkpoint", other)
    rebag(pack, other)
    told = chosen(browser, pack)
    assert told.kind == "good"
    assert told.fingerprint == other.public.fingerprint != read_key(key).public.fingerprint
    assert "Compare this key" in browser.run("document.body.innerText")


def test_a_signature_over_something_else_is_seen(browser: Browser, pack: Path, key: Path) -> None:
    path = pack / "manifest-sha256.txt.sig"
    resign(pack / "bag-info.txt", read_key(key))
    shutil.move(pack / "bag-info.txt.sig", path)
    told = chosen(browser, pack)
    line = "what was signed is not this file: one of the two was changed"
    assert f"manifest-sha256.txt.sig\n{line}" in told.findings


def test_a_fork_is_called_one(browser: Browser, book: Book, key: Path, tmp_path: Path) -> None:
    book.append(OwnerSaid("told", "collected", "in person"), **WHO)
    pack = packed(book, tmp_path / "out", key)
    assert chosen(browser, pack).kind == "good"
    (older,) = (p for p in (pack / CHAIN / "older").iterdir() if p.suffix != ".sig")
    bench, count, root = older.read_text().split()
    older.write_text(f"{bench}\n{count}\n{root[::-1]}\n")
    resign(older, read_key(key))
    rebag(pack, read_key(key))
    (line,) = chosen(browser, pack).findings
    assert line.startswith(f"{CHAIN}/older/")
    assert "FORK" in line


def test_a_redacted_pack_is_sound_and_a_line_in_it_counts(
    browser: Browser, book: Book, key: Path, tmp_path: Path
) -> None:
    said = next(e for e in book.entries() if e.kind == "owner said")
    pack = packed(book, tmp_path / "out", key, leave_out=[said.hash])
    assert chosen(browser, pack)[:2] == ("good", GOOD)
    path = pack / CHAIN / "ledger.jsonl"
    path.write_bytes(path.read_bytes().replace(b"20.1 mm", b"20.2 mm"))
    rebag(pack, read_key(key))
    (line,) = chosen(browser, pack).findings
    assert line.startswith(CHAIN)
    assert "is not the one that was hashed" in line


def test_a_browser_that_knows_no_such_signatures_says_so(browser: Browser, pack: Path) -> None:
    browser.open(pack / "data/check.html")
    browser.run("crypto.subtle.importKey = () => Promise.reject(new Error('not known here'))")
    browser.choose("#files", pack)
    told = shown(browser)
    assert told.kind == "open"
    assert "NOT CHECKED" in told.headline
    assert "NOT CHECKED" in told.progress


def test_the_page_asks_nothing_of_the_network_and_could_not(browser: Browser, pack: Path) -> None:
    page = pack / "data/check.html"
    chosen(browser, pack)
    assert browser.requests == [page.as_uri()]
    ask = (
        "(async () => {{ const at = 'http://probe.example/{0}';"
        " new Image().src = at; navigator.sendBeacon(at);"
        " const form = document.body.appendChild(document.createElement('form'));"
        " try {{ await fetch(at, {{ mode: 'no-cors' }}); return 'went'; }}"
        " catch (error) {{ return 'refused'; }} }})()"
    )
    assert browser.run(ask.format("from-the-page")) == "refused"
    # The same from a page without a policy does go out, so that silence above means something.
    (pack / "other.html").write_text("<!doctype html><title>other</title><body></body>")
    browser.open(pack / "other.html")
    assert browser.run(ask.format("from-another")) == "went"
    assert any("from-another" in call for call in browser.calls())
    assert not any("from-the-page" in call for call in browser.calls())


@pytest.mark.parametrize(("width", "height"), [(360, 740), (1280, 800)])
@pytest.mark.parametrize("dark", [False, True])
def test_nothing_sticks_out_and_everything_can_be_read(
    browser: Browser, pack: Path, width: int, height: int, dark: bool
) -> None:
    swap_photos(pack)  # long names in the list
    browser.resize(width, height, dark=dark)
    chosen(browser, pack)
    wide, least, contrast = browser.run(LOOKS)
    browser.resize(1280, 800)
    assert wide <= width
    assert least >= 16
    assert contrast >= 4.5  # WCAG 2.2, 1.4.3


# The widest thing, the smallest letters in pixels, and the least contrast of letters and paper.
LOOKS = """(() => {
  const light = (color) => {
    const part = (value) => value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
    const [r, g, b] = color.match(/[\\d.]+/g).map((each) => part(each / 255));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const paper = light(getComputedStyle(document.body).backgroundColor);
  const isText = (node) => node.nodeType === 3 && node.data.trim();
  const has = (each) => [...each.childNodes].some(isText);
  const shown = [...document.querySelectorAll("main *")]
    .filter((each) => each.offsetParent && has(each));
  const styles = shown.map((each) => getComputedStyle(each));
  const contrasts = styles.map((style) => {
    const ink = light(style.color);
    return (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05);
  });
  const sizes = styles.map((style) => parseFloat(style.fontSize));
  return [document.documentElement.scrollWidth, Math.min(...sizes), Math.min(...contrasts)];
})()"""
