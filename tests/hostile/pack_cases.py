"""Packs made to do harm, beyond what a zip's own headers can do (tests/store/pack/test_hostile.py).

The worst stranger holds the key that the pack names: every case but a few is signed soundly, so
that nothing but the look at the content is left to refuse it. Each case changes a pack's folder.
"""

import hashlib
import io
import json
import os
import random
import shutil
import sqlite3
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

from store.codec import FIRST_PREV, decode, hash_of
from store.evidence import JobStarted
from store.pack.checkpoint import checkpoint_of, signed
from store.pack.signing_key import SigningKey
from tests.store.pack.packed import rebag, resign

CHAIN = "data/chains/north"
SOUND = "sound: every entry"  # what lies in a pack beside what it must hold is never opened
_READING, _MARKED, _PHOTO, _START = (
    b'"kind":"%s"' % kind for kind in (b"reading", b"marked", b"photo taken", b"job started")
)


class Case(NamedTuple):
    """How a pack is changed, and words of the reason that verify must give."""

    change: Callable[[Path, SigningKey], None]
    words: str
    is_marked: bool = False  # made of a pack with marks on a photo


def with_lines(pack: Path, lines: list[bytes], key: SigningKey) -> None:
    """Put other lines into a pack and sign everything anew: a bench that lies itself."""
    hashes = [hash_of(line) for line in lines]
    (pack / CHAIN / "ledger.jsonl").write_bytes(b"".join(lines))
    (pack / CHAIN / "hashes.txt").write_text("".join(f"{digest}\n" for digest in hashes))
    start = decode(_lines(pack)[0]).evidence if lines else None
    job = start.plan.job.number if isinstance(start, JobStarted) else "T-7"
    now = signed(checkpoint_of("north", job, hashes), key)
    (pack / CHAIN / "checkpoint").write_bytes(now.text)
    (pack / CHAIN / "checkpoint.sig").write_bytes(now.signature)
    rebag(pack, key)


def _lines(pack: Path) -> list[bytes]:
    return (pack / CHAIN / "ledger.jsonl").read_bytes().splitlines(keepends=True)


def added(
    body: bytes | Callable[[list[bytes]], bytes], kind: str = "owner said", **head: Any
) -> Any:
    """Return a change that adds one line with a body as it stands."""

    def change(pack: Path, key: SigningKey) -> None:
        lines = _lines(pack)
        with_lines(
            pack,
            [*lines, raw_line(lines, body(lines) if callable(body) else body, kind, **head)],
            key,
        )

    return change


def raw_line(lines: list[bytes], body: bytes, kind: str, **head: Any) -> bytes:
    """Return a line that follows others, canonical but for its body."""
    values = {
        "at": "2026-03-02T10:00:00+01:00", "bench": "north", "body": "@", "by": "x", "kind": kind,
        "prev": hash_of(lines[-1]) if lines else FIRST_PREV, "salt": "0" * 32,
        "seq": len(lines) + 1,
    }  # fmt: skip
    values |= head
    text = json.dumps(values, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return text.encode().replace(b'"@"', body) + b"\n"


def changed_line(kind: bytes, change: Callable[[dict[str, Any]], None]) -> Any:
    """Return a change of the body of the last line of a kind; the chain is made whole after it."""

    def whole(pack: Path, key: SigningKey) -> None:
        lines = _lines(pack)
        place = max(n for n, line in enumerate(lines) if kind in line)
        made = lines[:place]
        for line in lines[place:]:
            values = json.loads(line)
            if len(made) == place:
                change(values["body"])
            values["prev"] = hash_of(made[-1]) if made else FIRST_PREV
            made.append(
                json.dumps(
                    values, sort_keys=True, separators=(",", ":"), ensure_ascii=False
                ).encode()
                + b"\n"
            )
        with_lines(pack, made, key)

    return whole


def file_of(name: str, content: bytes) -> Any:
    def change(pack: Path, key: SigningKey) -> None:
        path = pack / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        rebag(pack, key)

    return change


def manifest(edit: Callable[[str], str]) -> Any:
    """Return a change of the manifest alone, signed anew, with the tag manifest after it."""

    def change(pack: Path, key: SigningKey) -> None:
        path = pack / "manifest-sha256.txt"
        path.write_text(edit(path.read_text()))
        resign(path, key)
        tags = pack / "tagmanifest-sha256.txt"
        lines = []
        for line in tags.read_text().splitlines():
            name = line[66:]
            lines.append(f"{hashlib.sha256((pack / name).read_bytes()).hexdigest()}  {name}\n")
        tags.write_text("".join(lines))
        resign(tags, key)

    return change


def _removed(name: str) -> Any:
    def change(pack: Path, key: SigningKey) -> None:
        (pack / name).unlink()

    return change


def _other_algorithm(pack: Path, key: SigningKey) -> None:
    (pack / "manifest-sha256.txt").rename(pack / "manifest-md5.txt")


def _database(script: str) -> bytes:
    database = sqlite3.connect(":memory:")
    database.executescript(script)
    content = database.serialize()
    database.close()
    return content


_TRAP = _database(
    "CREATE VIEW entries AS WITH RECURSIVE n(x) AS (VALUES (1) UNION ALL SELECT x + 1 FROM n) "
    "SELECT x AS id, 'north' AS bench, x AS seq, '' AS hash, x'7b7d0a' AS line FROM n;"
)


def _deep(pack: Path, key: SigningKey) -> None:
    lines = _lines(pack)
    with_lines(pack, [*lines, raw_line(lines, b"[" * 100_000 + b"]" * 100_000, "owner said")], key)


def _long_line(pack: Path, key: SigningKey) -> None:
    lines = _lines(pack)
    with_lines(
        pack,
        [
            *lines,
            raw_line(lines, b'{"about":"told","how":"' + b"x" * 100_000_000 + b'"}', "owner said"),
        ],
        key,
    )


def _line_without_end(pack: Path, key: SigningKey) -> None:
    lines = _lines(pack)
    with_lines(pack, [*lines, b"[" * 10_000_000], key)


def _many_lines(pack: Path, key: SigningKey) -> None:
    (pack / CHAIN / "hashes.txt").write_bytes((b"0" * 64 + b"\n") * 1_000_001)
    rebag(pack, key)


def _many_files(pack: Path, key: SigningKey) -> None:
    folder = pack / "data" / "photos" / "aa"
    folder.mkdir()
    for number in range(20_001):
        (folder / str(number)).touch()


def _deep_folder(pack: Path, key: SigningKey) -> None:
    folder = pack.joinpath("data", *["d"] * 60)
    folder.mkdir(parents=True)
    (folder / "f").touch()


def _photo_bomb(pack: Path, key: SigningKey) -> None:
    """Put a picture of 14,000 x 14,000 pixels in the place of one that marks were found in."""
    bomb = png_bomb(14_000)
    digest = hashlib.sha256(bomb).hexdigest()
    old = next((pack / "data" / "photos").rglob("*.jpg"))
    home = pack / "data" / "photos" / digest[:2]
    home.mkdir(exist_ok=True)
    (home / f"{digest}.png").write_bytes(bomb)
    old.unlink()
    rebag(pack, key)


def png_bomb(side: int) -> bytes:
    """Return a sound PNG of black pixels, a thousandth of its decoded size."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    packer = zlib.compressobj(9)
    rows = b"".join(packer.compress(bytes(1 + 3 * side)) for _ in range(side)) + packer.flush()
    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def _signers(text: str) -> Any:
    return file_of("data/allowed_signers", text.encode())


def _before_signature(pack: Path, key: SigningKey) -> None:
    path = pack / "manifest-sha256.txt.sig"
    path.write_bytes(b"trust me\n" + path.read_bytes())


def _link(pack: Path, key: SigningKey) -> None:
    (pack / "data" / "photos" / "more").symlink_to("/")


def _pipe(pack: Path, key: SigningKey) -> None:
    os.mkfifo(pack / "data" / "pipe")


def _set(*way: Any, to: Any) -> Callable[[dict[str, Any]], None]:
    def change(body: dict[str, Any]) -> None:
        for step in way[:-1]:
            body = body[step]
        body[way[-1]] = to

    return change


def _many_points(body: dict[str, Any]) -> None:
    body["layer"]["marks"][0]["points_px"] = [["1.5", "2.5"]] * 400_000


def _ten_thousand_strikes(pack: Path, key: SigningKey) -> None:
    """Thousands of lines that each strike the one before: whatever is worked out is worked anew."""
    lines = _lines(pack)
    for _ in range(3000):
        entry = hash_of(lines[-1])
        body = json.dumps({"entry": entry, "reason": "again"}, separators=(",", ":")).encode()
        lines.append(raw_line(lines, body, "struck"))
    with_lines(pack, lines, key)


_SAID = b'{"about":"told","how":"h","words":"w"}'
CASES: dict[str, Case] = {
    "the manifest gone": Case(_removed("manifest-sha256.txt"), "no manifest"),
    "the tag manifest gone": Case(_removed("tagmanifest-sha256.txt"), "no tag manifest|gone"),
    "bagit.txt gone": Case(_removed("bagit.txt"), "gone"),
    "another way of hashing": Case(_other_algorithm, "no manifest|md5"),
    "a file too few in the manifest": Case(manifest(lambda t: t.split("\n", 1)[1]), "was added"),
    "a file too many in the manifest": Case(
        manifest(lambda t: t + "0" * 64 + "  data/photos/gone.jpg\n"),
        "gone.jpg",
    ),
    "a file twice in the manifest": Case(manifest(lambda t: t + t.splitlines()[0] + "\n"), "twice"),
    "an absolute path in the manifest": Case(
        manifest(lambda t: t + "0" * 64 + "  /etc/hostname\n"),
        "/etc/hostname",
    ),
    "a path that leads up in the manifest": Case(
        manifest(lambda t: t + "0" * 64 + "  data/../../../../etc/hostname\n"),
        "etc/hostname",
    ),
    "a device in the manifest": Case(
        manifest(lambda t: t + "0" * 64 + "  /dev/zero\n"), "dev/zero"
    ),
    "a reversed name in the manifest": Case(
        manifest(lambda t: t + "0" * 64 + "  data/\u202egpj.exe\n"),
        r"u202e",
    ),
    "no hashes in the manifest": Case(manifest(lambda _: "x" * 1000 + "\n"), "not a hash"),
    "a list of files to be fetched": Case(
        file_of("fetch.txt", b"http:" + b"//example.invalid/ 1 data/x\n"),
        "holds all of its files",
    ),
    "a manifest of 65 MB": Case(file_of("manifest-sha512.txt", b" " * 65_000_000), "larger than"),
    "words before a signature": Case(_before_signature, "sign"),
    "a signature of 5 MB": Case(
        file_of(f"{CHAIN}/checkpoint.sig", b"-----BEGIN SSH SIGNATURE-----\n" + b"A" * 5_000_000),
        "sign|large",
    ),
    "nobody named": Case(_signers(""), "sign|name|key"),
    "a bench that leads up": Case(
        _signers('../../x namespaces="evidence-pack" ssh-ed25519 AAAA\n'),
        "sign|name|key|bench",
    ),
    "100,000 benches": Case(
        _signers(
            "".join(f'b{n} namespaces="evidence-pack" ssh-ed25519 AAAA\n' for n in range(100_000))
        ),
        "sign|name|key|bench|large",
    ),
    "a ledger.db": Case(file_of("data/ledger.db", _TRAP), SOUND),
    "an index.db": Case(file_of("data/index.db", _TRAP), SOUND),
    "a ledger.db at the top": Case(file_of("ledger.db", _TRAP), SOUND),
    "a ledger that is a database": Case(
        file_of(f"{CHAIN}/ledger.jsonl", _TRAP), "not JSON|LF|one line|hashed"
    ),
    "a ledger in UTF-16": Case(
        file_of(f"{CHAIN}/ledger.jsonl", "{}\n".encode("utf-16")),
        "not JSON|LF|hashed",
    ),
    "no lines": Case(lambda pack, key: with_lines(pack, [], key), "plan is not first|no entry"),
    "hashes that are none": Case(
        file_of(f"{CHAIN}/hashes.txt", b"x" * 1000), "not a list of hashes"
    ),
    "a million and one hashes": Case(_many_lines, "more than 1000000"),
    "a line nested 100,000 deep": Case(_deep, "nested deeper"),
    "a line of 100 MB": Case(_long_line, "longest allowed"),
    "a last line without an end": Case(_line_without_end, "ends with LF|nested"),
    "a key twice": Case(added(b'{"about":"told","how":"a","how":"b","words":"w"}'), "twice"),
    "NaN": Case(added(b'{"about":"told","how":NaN,"words":"w"}'), "bare number"),
    "a number of a million figures": Case(
        added(b'{"about":"told","how":' + b"9" * 1_000_000 + b',"words":"w"}'),
        "not JSON|Exceeds",
    ),
    "half a surrogate pair": Case(
        added(b'{"about":"told","how":"\\ud800","words":"w"}'),
        "surrogate",
    ),
    "bytes that are no UTF-8": Case(
        added(b'{"about":"told","how":"\xff","words":"w"}'), "not JSON"
    ),
    "an unknown kind of entry": Case(added(b"{}", kind="\x1b[2J\u202e"), "unknown kind"),
    "another bench's line": Case(added(_SAID, bench="south"), "south|row|holds"),
    "number 0": Case(added(_SAID, seq=0), "seq"),
    "a line that follows itself": Case(added(_SAID, prev="f" * 64), "follow"),
    "a strike of nothing": Case(
        added(b'{"entry":"' + b"e" * 64 + b'","reason":"r"}', kind="struck"),
        "not there|cite|e{8}|struck",
    ),
    "3,000 strikes of strikes": Case(_ten_thousand_strikes, "str"),
    "a merge of what is not there": Case(
        added(b'{"heads":[],"order":[],"taken":1}', kind="merged"),
        "merge|record",
    ),
    "a billion trials": Case(
        changed_line(_MARKED, _set("trials", to=10**9)), "trials|differ", True
    ),
    "no trials": Case(changed_line(_MARKED, _set("trials", to=0)), "trials|differ", True),
    "400,000 points": Case(changed_line(_MARKED, _many_points), "points|differ", True),
    "a photo of a billion pixels on paper": Case(
        changed_line(_PHOTO, _set("width_px", to=10**9)),
        "px|size|pixels|differ|record|table",
    ),
    "a reading of infinity": Case(
        changed_line(_READING, _set("quantity", "value", to="inf")),
        "not a number|record",
    ),
    "a reading of 1e308": Case(
        changed_line(_READING, _set("quantity", "value", to="1e308")),
        "differ|exact|value|canonical",
    ),
    "a unit of its own": Case(
        changed_line(_READING, _set("quantity", "unit", to="furlong\x1b[2J")),
        "unit|record|differ",
    ),
    "a formula nested 5,000 deep": Case(
        changed_line(_START, lambda body: _formula(body, "(" * 5000 + "P1.bore" + ")" * 5000)),
        "plan|record|formula|nested|came before",
    ),
    "a formula of powers": Case(
        changed_line(_START, lambda body: _formula(body, "*".join(["P1.bore"] * 20_000))),
        "plan|record|formula|differ|unworkable|again",
    ),
    "a picture in the place of another": Case(_photo_bomb, "is gone|unfiled|no entry"),
    "20,001 files more": Case(_many_files, "more than 20000|at most"),
    "a path of 60 folders": Case(_deep_folder, "too deep"),
    "a link to everything": Case(_link, "link"),
    "a pipe": Case(_pipe, "device"),
}


def _formula(body: dict[str, Any], formula: str) -> None:
    body["plan"]["locations"][1]["characteristics"][2]["formula"] = formula


def zip_of(pack: Path, target: Path) -> Path:
    """Pack a folder into a zip; links and pipes are left out, for a zip holds none here."""
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(pack.rglob("*")):
            if path.is_file() and not path.is_symlink():
                archive.write(path, f"pack/{path.relative_to(pack)}")
    return target


def random_zips(sound: bytes, count: int, seed: int) -> list[bytes]:
    """Return a sound pack's zip with a few bytes of its headers changed, count times."""
    found = []
    for number in range(count):
        chance = random.Random(f"{seed} {number}")  # noqa: S311 - places, no secrets
        data = bytearray(sound)
        marks = [
            at
            for mark in (b"PK\x01\x02", b"PK\x03\x04", b"PK\x05\x06")
            for at in _finds(sound, mark)
        ]
        for _ in range(chance.choice((1, 1, 2, 6))):
            at = chance.choice(marks) + chance.randrange(46)
            if at < len(data):
                data[at] = chance.choice((0, 1, 0x2F, 0x2E, 0x7F, 0xFF, chance.randrange(256)))
        found.append(bytes(data))
    return found


def _finds(data: bytes, mark: bytes) -> list[int]:
    found, at = [], data.find(mark)
    while at >= 0:
        found.append(at)
        at = data.find(mark, at + 1)
    return found


def tiny_entries(count: int) -> bytes:
    """Return a zip of very many empty files, in the form of one over 65,535 (zip64)."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for number in range(count):
            archive.writestr(f"p/data/{number}", b"")
    return out.getvalue()


def copied(pack: Path, target: Path) -> Path:
    """Return a copy of a pack's folder."""
    return Path(shutil.copytree(pack, target, symlinks=True))
