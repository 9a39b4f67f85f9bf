"""The last page: how a stranger checks the book with standard tools, and what that shows."""

import hashlib
from collections.abc import Iterable
from typing import Any

from msgspec import Struct

from store.codec import Entry
from store.evidence import PaperKept
from store.finding import Finding
from store.report.figures import count
from store.report.signer import Signer
from store.report.words import Bits
from store.round import Round

_GROUP = 8
_NAMED = 3
UNSOUND = (
    "Here it shows that this book is not as it was entered: something in it was changed or is "
    "gone, as page 1 says. Ask for a sound copy before you rely on anything in this report."
)
WORDS = (
    ("Check", "one thing to be shown at a location."),
    ("Covered", ("share of a hole that cannot be looked through because another hole does not "
     "line up with it, once slant is taken out; open is the rest.")),
    ("95\u00a0% interval", "holds the true value 95 times in 100."),
    ("Bound", "the worst value the verdict rule counts with, one-sided, 95\u00a0%."),
    ("As found, as left", "before any work here; as it was when a part went on over it."),
    ("Datum", ("the face or point a depth is measured from; BELOW is into the metal, PROUD "
     "stands out of it.")),
    ("En", ("difference of two results over its own 95\u00a0% uncertainty; up to 1 they agree. "
     "What both have in common does not count.")),
    ("Hold point", "a stop before a part hides things."),
    ("Out-of-round", "largest spread between the axes at one position."),
    ("Overdue", "the day by which a gauge had to be checked again is past."),
    ("Suspect", "it rests on a gauge that may have been wrong, and proves nothing until cleared."),
    ("Taper", "largest spread between the positions along one axis."),
    ("Void", "a value that rests on something struck or replaced, and no longer counts."),
    ("Waived", "somebody decided in writing to go on all the same; the sign stays."),
)  # fmt: skip

PHOTOS = r"""
find {folders} -type f | while read -r f; do n=${{f##*/}}; \
  echo "${{n%%.*}}  $f"; done | sha256sum -c --quiet
""".strip()
ROOT = r"""
sqlite3 -readonly ledger.db "SELECT hash FROM entries WHERE bench = '{bench}' \
  AND seq <= {entries} ORDER BY seq" | sha256sum
""".strip()
LINES = r"""
mkdir T
sqlite3 -readonly ledger.db "SELECT writefile(printf('T/%09d', id), line) \
  FROM entries" > sizes.txt
find T -type f | sort | xargs sha256sum | cut -c1-64 > from-lines.txt
sqlite3 -readonly ledger.db "SELECT hash FROM entries ORDER BY id" \
  | cmp - from-lines.txt
""".strip()
LINKS = r"""
sqlite3 -readonly ledger.db "SELECT count(*) FROM entries a JOIN entries b ON \
  b.bench = a.bench AND b.seq = a.seq + 1 WHERE \
  json_extract(CAST(b.line AS TEXT), '\$.prev') <> a.hash"
""".strip()

SIGNATURE = r"""
pdfsig report.pdf
pdfsig -dump report.pdf > signature.txt
openssl pkcs7 -inform DER -in report.pdf.sig0 -print_certs \
  | openssl x509 -noout -fingerprint -sha256
""".strip()


class Seal(Struct, frozen=True):
    """The state of one bench's chain: how many entries, the last one's hash, their root.

    ``root`` is the SHA-256 of the entries' hashes in order, one hex line each.
    """

    bench: str
    entries: int
    head: str
    root: str


def seals(entries: Iterable[Entry]) -> tuple[Seal, ...]:
    """Return the seal of every bench, the bench with the first entry first."""
    chains: dict[str, list[Entry]] = {}
    for entry in entries:
        chains.setdefault(entry.bench, []).append(entry)
    found = []
    for bench, chain in chains.items():
        ordered = sorted(chain, key=lambda entry: entry.seq)
        lines = "".join(f"{entry.hash}\n" for entry in ordered)
        root = hashlib.sha256(lines.encode("ascii")).hexdigest()
        found.append(Seal(bench, len(ordered), ordered[-1].hash, root))
    return tuple(found)


def grouped(digest: str) -> str:
    """Return 64 digits in groups of eight, for reading against each other."""
    return " ".join(digest[i : i + _GROUP] for i in range(0, len(digest), _GROUP))


def alarm(found: list[Finding]) -> Bits:
    """Return what page 1 begins with when a book does not verify; nothing for a sound one."""
    if not found:
        return []
    shown = "; ".join(f"{each.where}: {each.detail}" for each in found[:_NAMED])
    rest = f"; and {len(found) - _NAMED} more" if len(found) > _NAMED else ""
    return [
        {"bold": f"This book does not verify: {count(len(found), 'finding')}; "},
        {"bold": "do not rely on this report."},
        f" Found: {shown}{rest}. The shop can list everything with: benchproof verify.",
    ]


def checking(
    known: Round,
    sealed: tuple[Seal, ...],
    version: str,
    *,
    sound: bool,
    signer: Signer | None = None,
) -> dict[str, Any]:
    """Return the data of the page that says how to check; ``sound``: nothing was found."""
    return {
        "lead": "None of it needs our program or our workshop.",
        "lane": "In a copy of the book's folder, on any computer with the usual tools. Each "
        "says what to expect.",
        "steps": [*_steps(known, sealed), *_signature(signer)],
        "hashes": [*_fingerprints(signer), *_hashes(known, sealed)],
        "hash-notes": [
            ["All photos and papers of this job. Each file in the book is named by its SHA-256."]
        ],
        "shows": _shows() if sound else [UNSOUND, _shows()[1]],
        "words": [list(pair) for pair in WORDS],
        "made": (
            f"Made by benchproof {version}; set in Libertinus Serif and DejaVu Sans Mono. The "
            "signs differ in shape, not only in colour, and each has its word. Photos are "
            "printed smaller than they are kept. A character the fonts lack is printed as its "
            "Unicode number; the book keeps every text as it was typed. Tagged for screen readers."
        ),
    }


def _steps(known: Round, sealed: tuple[Seal, ...]) -> list[dict[str, Any]]:
    folders = "photos papers" if known.papers else "photos"
    return [
        {
            "title": "Without a terminal: is this report whole.",
            "text": "Every page's foot must carry its number, the same entry and the same first "
            "16 digits of the root. Compare them with a copy that reached you another way.",
            "commands": [],
        },
        {
            "title": "Is every photo and paper as it was.",
            "text": "Expect no answer: every file then has the bytes its name says.",
            "commands": [PHOTOS.format(folders=folders)],
        },
        {
            "title": "Is the chain the one printed here.",
            "text": "Expect the root printed below.",
            "commands": [ROOT.format(bench=s.bench, entries=s.entries) for s in sealed],
        },
        {
            "title": "Is every line as it was.",
            "text": "Expect no answer: the hashes computed from the lines equal those on file.",
            "commands": [LINES],
        },
        {
            "title": "Does every line follow from the one before.",
            "text": "Expect 0.",
            "commands": [LINKS],
        },
    ]


def _signature(signer: Signer | None) -> list[dict[str, Any]]:
    """Return the step for the PDF's own signature; the page for a browser has none."""
    if signer is None:
        return []
    return [
        {
            "title": "Who signed this PDF, and is it whole.",
            "text": "Expect one signature, \u201cSignature is Valid\u201d, \u201cTotal document "
            "signed\u201d, then the fingerprint of the certificate, below (openssl writes "
            "capitals and colons). The issuer is unknown, for the shop made the certificate "
            "itself: ask for the fingerprint in another way than this report.",
            "commands": [SIGNATURE],
            "of_pdf": True,
        }
    ]


def _fingerprints(signer: Signer | None) -> list[list[str | Bits]]:
    if signer is None:
        return []
    return [
        ["key that signs packs", signer.key],
        ["report's certificate", grouped(signer.certificate)],
    ]


def _hashes(known: Round, sealed: tuple[Seal, ...]) -> list[list[str | Bits]]:
    rows: list[list[str | Bits]] = []
    for seal in sealed:
        rows.append([f"root, {seal.bench}, entry {seal.entries}", grouped(seal.root)])
        rows.append([f"last entry, {seal.bench} {seal.entries}", grouped(seal.head)])
    filed = [(place.location.id, photo) for place in known.places for photo in place.photos]
    filed += [(hold.hold_point.id, photo) for hold in known.holds for photo in hold.photos]
    for where, photo in filed:
        said = f"{where}, {photo.taken.role}"
        said += ", struck" if photo.struck is not None else ""
        rows.append([said, grouped(photo.taken.photo)])
    for number, told in enumerate(known.papers, start=1):
        if isinstance(told.record, PaperKept):
            struck = ", struck" if told.struck is not None else ""
            rows.append([f"paper {number}{struck}", grouped(told.record.paper)])
    return rows


def _shows() -> list[str]:
    return [
        (
            "It shows that the book holds, byte for byte, what it held when this report was made, "
            "and in which order it was entered; nothing was changed or taken out of the middle "
            "without the root coming out otherwise."
        ),
        (
            "It does not show that a photo is of your engine: for that a person answers. Whoever "
            "holds the book could have rewritten it before a root left the bench; your own copy of "
            "this page limits that. Camera times are the camera's own claim, entry times the "
            "computer's. What nobody asked for is not in it."
        ),
    ]
