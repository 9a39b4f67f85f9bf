"""Is a folder a complete and valid BagIt 1.0 bag (RFC 8493)? Everything that is wrong is found.

Stricter than the standard in what a pack never needs: fetch.txt is refused, every tag file must be
in the tag manifest (but for that manifest and its signature), and only SHA-256 and SHA-512 count.
"""

import hashlib
import re
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

from store.errors import BadPack
from store.finding import Finding, not_read
from store.pack.bag import DATA, DECLARATION_NAME, INFO_NAME, TAG_MANIFEST_NAME, signature_name
from store.pack.names import check_names
from store.pack.staging import files_below

_DECLARATION = re.compile(
    rb"BagIt-Version: 1\.0(?:\r\n|\n|\r)Tag-File-Character-Encoding: UTF-8(?:\r\n|\n|\r)?"
)
_MANIFEST = re.compile(r"(tag)?manifest-([a-z0-9]+)\.txt")
_LINE = re.compile(r"([0-9a-fA-F]+)[ \t]+(\S.*)")
_OXUM = re.compile(r"^Payload-Oxum:[ \t]*(\S.*?)[ \t]*$", re.MULTILINE)
_DIGITS = {"sha256": 64, "sha512": 128}
_LARGEST_TAG_BYTES = 64_000_000
_PERCENT = re.compile("%(25|0A|0D)", re.IGNORECASE)


class Manifest(NamedTuple):
    """One manifest: its file's name, its hash, and the hash of every path it lists."""

    name: str
    algorithm: str
    is_tag: bool
    hashes: dict[str, str]


def check_bag(
    root: Path, tell: Callable[[int, int], None] = lambda _done, _of: None
) -> list[Finding]:
    """Return every way in which a folder is no complete and valid bag; empty if it is one.

    ``tell`` gets (hashed, of). Raises BadPack for names or links that are refused.
    """
    names = files_below(root)
    check_names(names)
    manifests: list[Manifest] = []
    found = [*_check_declaration(root)]
    for name in names:
        if match := _MANIFEST.fullmatch(name):
            found += _read_manifest(root, name, match, manifests)
    found += _check_listed(names, manifests)
    found += _check_hashes(root, manifests, tell)
    found += _check_oxum(root, names)
    return found


def _check_declaration(root: Path) -> Iterator[Finding]:
    path = root / DECLARATION_NAME
    if not path.is_file():
        yield Finding("damaged", "bag-declaration", DECLARATION_NAME, "the file is gone")
    elif not _DECLARATION.fullmatch(_tag_bytes(path)):
        detail = "it is not the two lines of a BagIt 1.0 bag, letter for letter"
        yield Finding("altered", "bag-declaration", DECLARATION_NAME, detail)


def _read_manifest(
    root: Path, name: str, match: re.Match[str], manifests: list[Manifest]
) -> Iterator[Finding]:
    """Find what is wrong in one manifest, and add it to those that were read."""
    algorithm, hashes = match[2], dict[str, str]()
    if algorithm not in _DIGITS:
        yield Finding("note", "manifest-unread", name, f"the hash {algorithm} is not looked at")
        return
    text = _text(root / name)
    if text is None:
        yield Finding("altered", "manifest-text", name, "it is not UTF-8")
        return
    for number, line in enumerate(re.split("\r\n|\n|\r", text)):
        if not line.strip():
            continue
        where, entry = f"{name} line {number + 1}", _LINE.fullmatch(line)
        if entry is None or len(entry[1]) != _DIGITS[algorithm]:
            yield Finding("altered", "manifest-line", where, "it is not a hash and a path")
            continue
        path = _PERCENT.sub(lambda code: chr(int(code[1], 16)), entry[2])
        if path in hashes:
            yield Finding("altered", "manifest-twice", where, f"{path!a} is there twice")
        hashes[path] = entry[1].lower()
    manifests.append(Manifest(name, algorithm, bool(match[1]), hashes))


def _check_listed(names: list[str], manifests: list[Manifest]) -> Iterator[Finding]:
    """Find files that no manifest lists, and paths that a manifest may not list."""
    if "fetch.txt" in names:
        yield Finding("altered", "fetch-refused", "fetch.txt", "a pack holds all of its files")
    payload = {name for name in names if name.startswith(f"{DATA}/")}
    unlisted = {TAG_MANIFEST_NAME, signature_name(TAG_MANIFEST_NAME)}
    tags = {n for n in names if n not in payload | unlisted and not n.startswith("tagmanifest-")}
    if not any(not manifest.is_tag for manifest in manifests):
        yield Finding(
            "damaged", "manifest-missing", "manifest", "there is no manifest of the files"
        )
    if not any(manifest.is_tag for manifest in manifests):
        yield Finding("damaged", "manifest-missing", "tagmanifest", "there is no tag manifest")
    for manifest in manifests:
        mine = tags if manifest.is_tag else payload
        for path in sorted(mine - manifest.hashes.keys()):
            detail = f"{manifest.name} does not list it: it was added"
            yield Finding("altered", "file-extra", path, detail)
        for path in sorted(manifest.hashes.keys() - mine):
            yield _not_there(path, manifest, is_there=path in names)


def _not_there(path: str, manifest: Manifest, *, is_there: bool) -> Finding:
    shown = path if _is_plain(path) else ascii(path)
    if is_there:
        return Finding("altered", "manifest-line", shown, f"{manifest.name} may not list it")
    return Finding("damaged", "file-missing", shown, f"{manifest.name} lists it, and it is gone")


def _check_hashes(
    root: Path, manifests: list[Manifest], tell: Callable[[int, int], None]
) -> Iterator[Finding]:
    """Find files whose bytes are others than a manifest says; two are hashed at a time."""
    wanted = [
        (path, manifest.algorithm, digest)
        for manifest in manifests
        for path, digest in sorted(manifest.hashes.items())
        # What is refused as a name is never opened.
        if _is_plain(path) and (root / path).is_file()
    ]
    with ThreadPoolExecutor(2) as pool:
        digests = pool.map(lambda each: _hash(root / each[0], each[1]), wanted)
        for number, (each, now) in enumerate(zip(wanted, digests, strict=True), start=1):
            tell(number, len(wanted))
            if isinstance(now, OSError):
                yield not_read(now, each[0])
            elif now != each[2]:
                detail = "its bytes are not those that were packed"
                yield Finding("altered", "file-altered", each[0], detail)


def _is_plain(path: str) -> bool:
    try:
        check_names([path])
    except BadPack:
        return False
    return True


def _hash(path: Path, algorithm: str) -> str | OSError:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, algorithm).hexdigest()
    except OSError as error:
        return error


def _check_oxum(root: Path, names: list[str]) -> Iterator[Finding]:
    text = _text(root / INFO_NAME) if INFO_NAME in names else ""
    if text is None:
        yield Finding("altered", "bag-info", INFO_NAME, "it is not UTF-8")
        return
    payload = [name for name in names if name.startswith(f"{DATA}/")]
    now = f"{sum((root / name).stat().st_size for name in payload)}.{len(payload)}"
    for said in _OXUM.findall(text):
        if said != now:
            yield Finding("altered", "bag-oxum", INFO_NAME, f"it says {said}, there is {now}")


def _text(path: Path) -> str | None:
    try:
        return _tag_bytes(path).decode("utf-8")
    except UnicodeDecodeError:
        return None


def _tag_bytes(path: Path) -> bytes:
    if path.stat().st_size > _LARGEST_TAG_BYTES:
        raise BadPack(f"{path.name} is larger than {_LARGEST_TAG_BYTES} bytes")
    return path.read_bytes()
