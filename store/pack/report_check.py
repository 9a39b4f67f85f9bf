"""The report in a pack must be what the shop signed, and say what the lines say.

The signature is checked as in ``store.signing.pdf_check``, and its certificate must be the one in
the signed manifest. Then the report is set again from the pack's own lines and photos, at the time
that the pack names, and compared byte for byte: the PDF as it was before it was signed, and the
page for a browser.
That can be done with the very programs that it was set with only. Others set it otherwise, which
is no alteration: then it is said that the report was not compared.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

from store.codec import Entry
from store.errors import BadKey, BadPack, StoreError
from store.files.halfmade import Scratch
from store.files.passing import is_passing
from store.finding import Finding, not_read
from store.pack.bag import DATA, INFO_NAME, PACKED_AT, REPORT_PAPER, REPORT_SET_WITH
from store.pack.contents import REPORT, REPORT_PAGE
from store.pack.inspection import PackedReport
from store.pack.set_with import set_with
from store.photos import PhotoVault
from store.report.document import Paper, write_report
from store.report.page.writing import write_page
from store.report.signer import Signer
from store.report.typeset import ReportOverdue
from store.round import Round
from store.signing.certificate import CERTIFICATE_NAME, Certificate, parse_certificate
from store.signing.pdf_check import LARGEST_BYTES, UNREADABLE, PdfCheck, check_pdf
from store.standing import standing
from store.told.telling import Telling

_LARGEST_INFO = 100_000


class PackView:
    """The lines and photos of a pack as the report reads a book."""

    def __init__(self, payload: Path, entries: tuple[Entry, ...]) -> None:
        self.root = payload
        self._entries = entries
        self._photos = PhotoVault(payload)
        self._told = Telling(entries)
        self._round = standing(self._told)

    @property
    def told(self) -> Telling:
        """What the lines tell."""
        return self._told

    def round(self) -> Round:
        """Return the state of the job."""
        return self._round

    def entries(self) -> tuple[Entry, ...]:
        """Return every line in order of arrival."""
        return self._entries

    def photo_path(self, photo: str) -> Path:
        """Return where a photo's file is; raises PhotoMissing."""
        return self._photos.path(photo)


def check_report(root: Path, known: PackedReport) -> Iterator[Finding]:
    """Find what is wrong with the report of a pack that no line was left out of."""
    payload = root / DATA
    try:
        pdf = _content(payload / REPORT)
        certificate = parse_certificate(_content(payload / CERTIFICATE_NAME))
    except (BadKey, BadPack) as error:
        yield Finding("damaged", "report-missing", REPORT, f"it can't be checked: {error}")
        return
    checked, info = check_pdf(pdf), _info(root)
    yield from signature_findings(REPORT, checked, certificate)
    made_with, here = info.get(REPORT_SET_WITH, ""), set_with(known.version)
    if made_with != here:
        detail = f"not set again and compared: it was set with {made_with or '?'}; here is {here}"
        yield Finding("note", "report-not-compared", REPORT, detail)
    elif "report-form" in checked.wrong:
        yield Finding("altered", "report-differs", REPORT, "this version signs in another form")
    elif not checked.wrong:
        yield from _compared(root, pdf[: checked.pages_bytes], certificate, known, info)


def verify_report(path: Path) -> list[Finding]:
    """Return every finding on a report's PDF alone: its signature, and a note whose it is.

    What it says can't be compared with any line. Raises BadPack for a file that can't be read.
    """
    try:
        checked = check_pdf(_content(path))
    except Exception as error:
        if not is_passing(error):
            raise
        return [not_read(error, path.name)]
    found = list(signature_findings(path.name, checked, None))
    if checked.certificate is not None:
        name, fingerprint = checked.certificate.name, checked.certificate.fingerprint
        detail = (
            f"signed by one who claims to be {name!r}, with the certificate {fingerprint}: compare "
            "it with the one told in another way"
        )
        found.append(Finding("note", "report-signer", path.name, detail))
    return found


def signature_findings(
    name: str, checked: PdfCheck, certificate: Certificate | None
) -> Iterator[Finding]:
    """Find what is wrong with a report's signature; ``certificate`` is whose it must be."""
    for code in checked.wrong:
        severity = "differs" if code == "report-form" else "altered"
        if code == UNREADABLE:
            severity = "damaged"
        yield Finding(severity, code, name, checked.words(code))  # type: ignore[arg-type]
    signer = checked.certificate
    if certificate is not None and signer is not None and signer != certificate:
        detail = f"it is signed with another certificate than the pack names: {signer.fingerprint}"
        yield Finding("altered", "report-signer-strange", name, detail)


def _compared(
    root: Path, pages: bytes, certificate: Certificate, known: PackedReport, info: dict[str, str]
) -> Iterator[Finding]:
    """Find a report that is not what the lines give."""
    at, paper = info.get(PACKED_AT, ""), info.get(REPORT_PAPER, "")
    if paper not in get_args(Paper):
        yield Finding("altered", "report-differs", REPORT, f"there is no such paper: {paper!r}")
        return
    signer = Signer(known.fingerprint, certificate.fingerprint, lambda pdf, _at: pdf)
    try:
        with Scratch("again") as scratch:
            view, folder = PackView(root / DATA, known.entries), scratch
            pdf = write_report(
                view, folder / REPORT, at=at, version=known.version, paper=paper,  # type: ignore[arg-type]
                signer=signer, found=[],
            ).read_bytes()  # fmt: skip
            page = write_page(
                view, folder / REPORT_PAGE, at=at, version=known.version, signer=signer, found=[]
            ).read_bytes()
    except ReportOverdue as error:
        yield Finding("unread", "not-read-now", REPORT, f"it was not set again: {error}")
        return
    except Exception as error:
        if is_passing(error):
            raise
        # A stranger's lines may bring about anything.
        said = str(error) if isinstance(error, StoreError) else f"{type(error).__name__}: {error}"
        yield Finding("differs", "report-unmade", REPORT, f"it can't be set again: {said}")
        return
    for name, there, again in (
        (REPORT, pages, pdf),
        (REPORT_PAGE, _content(root / DATA / REPORT_PAGE), page),
    ):
        if there != again:
            detail = "it is not what the lines give: set again from them it is another"
            yield Finding("altered", "report-differs", name, detail)


def _info(root: Path) -> dict[str, str]:
    """Return the elements of bag-info.txt that are one line each, as the program writes them."""
    text = _content(root / INFO_NAME, _LARGEST_INFO).decode("utf-8", "replace")
    return dict(re.findall(r"^([A-Za-z-]+): (.*)$", text, re.MULTILINE))


def _content(path: Path, largest: int = LARGEST_BYTES) -> bytes:
    try:
        if path.stat().st_size > largest:
            raise BadPack(f"{path.name} is larger than {largest} bytes")
        return path.read_bytes()
    except OSError as error:
        if is_passing(error):
            raise
        raise BadPack(f"{path.name} is gone") from error
