"""The BagIt 1.0 bag (RFC 8493) round a pack's payload: its tag files, by hand.

The manifest and the tag manifest are signed beside (``.sig``, SSH signatures). The tag manifest
covers the manifest, its signature and every other tag file, the manifest covers the payload: who
checks the tag manifest's signature and the two manifests has checked every byte.
"""

from msgspec import Struct

from store.pack.pieces import Piece
from store.pack.signature import SUFFIX

DECLARATION_NAME, INFO_NAME = "bagit.txt", "bag-info.txt"
MANIFEST_NAME, TAG_MANIFEST_NAME = "manifest-sha256.txt", "tagmanifest-sha256.txt"
DECLARATION = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
DATA = "data"
PACKED_AT, REPORT_PAPER, REPORT_SET_WITH = "Packed-At", "Report-Paper", "Report-Set-With"


class Label(Struct, frozen=True):
    """What bag-info.txt says of a pack. ``at`` is its time (ISO 8601 with offset).

    ``report`` is the paper of the report and what it was set with, None without a report: whoever
    has the same programs can set it again and compare.
    """

    at: str
    shop: str
    job: str
    engine: str
    version: str
    fingerprint: str
    report: tuple[str, str] | None = None


def manifest(hashes: dict[str, str]) -> str:
    """Return a manifest: a line for each path with its hash, in order of the path.

    Lines are those of sha256sum: two blanks between.
    """
    return "".join(f"{hashes[path]}  {_written(path)}\n" for path in sorted(hashes))


def info(label: Label, payload: dict[str, int]) -> str:
    """Return bag-info.txt for a payload of these sizes in bytes."""
    elements = (
        ("Source-Organization", label.shop),
        ("External-Identifier", label.job),
        ("External-Description", f"Evidence of an engine job: {label.engine}"),
        ("Bagging-Date", label.at[:10]),
        (PACKED_AT, label.at),
        ("Payload-Oxum", f"{sum(payload.values())}.{len(payload)}"),
        ("Bag-Software-Agent", f"benchproof {label.version}"),
        ("Signing-Key", label.fingerprint),
        (REPORT_PAPER, label.report[0] if label.report else ""),
        (REPORT_SET_WITH, label.report[1] if label.report else ""),
    )
    return "".join(f"{name}: {one_line(value)}\n" for name, value in elements if value.strip())


def tag_pieces(label: Label, payload: dict[str, int], payload_manifest: str) -> list[Piece]:
    """Return the tag files that the tag manifest covers, the manifest among them."""
    texts = {
        DECLARATION_NAME: DECLARATION,
        INFO_NAME: info(label, payload),
        MANIFEST_NAME: payload_manifest,
    }
    return [Piece(name, text.encode()) for name, text in texts.items()]


def signature_name(name: str) -> str:
    """Return the name of the signature that lies beside a file."""
    return name + SUFFIX


def _written(path: str) -> str:
    # RFC 8493 section 2.1.3: these three, and no others, are written as percent codes.
    return path.replace("%", "%25").replace("\n", "%0A").replace("\r", "%0D")


def one_line(value: str) -> str:
    """Return a text as one line: a line feed in it would begin another element."""
    return " ".join("".join(c if c.isprintable() else " " for c in value).split())
