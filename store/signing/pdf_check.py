"""Check the signature in a report's PDF: the file must be, to the last byte, what one key signed.

pyHanko judges it, in a process of its own with bounds, for the file may be anybody's. A signature
that holds is not enough: what is added behind it (an incremental update) may show other pages while
the signature goes on being valid. So it must cover the whole file, be the only one, and be of the
certificate that was named in another place.

The digits of a signature are covered by nothing, and not all that they say is signed. So the file
is signed again with that very signature: it must come out the same, byte for byte.
"""

import io
import json
import sys
from datetime import datetime
from pathlib import Path
from typing import Any

from msgspec import Struct

from store.errors import BadKey
from store.files.halfmade import Scratch
from store.files.passing import cannot_read_now, is_passing
from store.report.typeset import ReportFailed, ReportOverdue, as_child, in_child
from store.signing.certificate import Certificate, parse_certificate
from store.signing.pdf import resigned

LARGEST_BYTES = 500_000_000
_SECONDS = 60.0
_MEMORY_BYTES = 3_000_000_000
_FILE, _ANSWER = "report.pdf", "answer.json"
_END = b"%%EOF"

UNSIGNED = "report-unsigned"
UNREADABLE = "report-unreadable"
WORDS = {
    UNSIGNED: "there is no signature in it: it was taken out, or never made",
    "report-extended": "the signature does not cover all of it: something was added behind it (an "
    "incremental update), or its end is cut off; what is shown may not be what was signed",
    "report-signed-again": "there is more than one signature in it, and the shop makes one",
    "report-altered": "its bytes are not those that were signed",
    "report-signature-wrong": "its signature does not hold",
    "report-form": "its signature holds, and is not in the form that this version gives it: made "
    "by another version, or digits that the signature does not cover were changed",
}


class PdfCheck(Struct, frozen=True):
    """What was found: ``wrong`` are codes of WORDS, or UNREADABLE; empty if all is well.

    ``certificate`` is the signer's, None without one; ``at`` the time that the signature claims
    (ISO 8601), ``pages_bytes`` how many bytes at the start of the file were set before it was
    signed. ``why`` says what can't be read.
    """

    wrong: tuple[str, ...]
    certificate: Certificate | None = None
    at: str = ""
    pages_bytes: int = 0
    why: str = ""

    def words(self, code: str) -> str:
        """Return a code in words."""
        return WORDS.get(code, f"it can't be read as a PDF: {self.why}")


def check_pdf(pdf: bytes) -> PdfCheck:
    """Return what is wrong with a signed report. Whose certificate it is, is for the caller.

    Raises CannotRead where it could not be looked at now.
    """
    if len(pdf) > LARGEST_BYTES:
        return PdfCheck((UNREADABLE,), why=f"it is larger than {LARGEST_BYTES} bytes")
    with Scratch("signature") as scratch:
        folder = scratch
        (folder / _FILE).write_bytes(pdf)
        try:
            in_child(__name__, folder, "report", _SECONDS, None, None)
            told = json.loads((folder / _ANSWER).read_text("utf-8"))
        except (ReportFailed, OSError, ValueError) as error:
            if is_passing(error) or isinstance(error, ReportOverdue):
                raise cannot_read_now(error, "the signature of the report") from error
            return PdfCheck((UNREADABLE,), why=str(error))
    return _answer(told)


def _answer(told: dict[str, Any]) -> PdfCheck:
    try:
        certificate = parse_certificate(told["pem"].encode()) if told["pem"] else None
    except BadKey as error:
        return PdfCheck(("report-signature-wrong",), why=str(error))
    return PdfCheck(tuple(told["wrong"]), certificate, told["at"], told["pages_bytes"], told["why"])


def _child(folder: Path) -> int:
    """Judge the file in a folder and leave the answer there; runs in its own process."""
    _bound()
    try:
        told = _judged((folder / _FILE).read_bytes())
    except Exception as error:  # a stranger's file may bring about anything
        # Too little memory is the file's doing here: the bound is our own.
        if is_passing(error) and not isinstance(error, MemoryError):
            raise
        told = _told([UNREADABLE], why=f"{type(error).__name__}: {error}"[:300])
    (folder / _ANSWER).write_text(json.dumps(told), "utf-8")
    return 0


def _bound() -> None:
    if sys.platform != "win32":
        import resource  # noqa: PLC0415 - not on every system

        hard = resource.getrlimit(resource.RLIMIT_AS)[1]
        # One that is set for the whole session may only be lowered.
        most = _MEMORY_BYTES if hard == resource.RLIM_INFINITY else min(hard, _MEMORY_BYTES)
        resource.setrlimit(resource.RLIMIT_AS, (most, most))


def _told(
    wrong: list[str], pem: str = "", at: str = "", pages_bytes: int = 0, why: str = ""
) -> dict[str, Any]:
    return {"wrong": wrong, "pem": pem, "at": at, "pages_bytes": pages_bytes, "why": why}


def _judged(pdf: bytes) -> dict[str, Any]:
    from pyhanko.pdf_utils.reader import PdfFileReader  # noqa: PLC0415 - slow to load

    found = PdfFileReader(io.BytesIO(pdf)).embedded_signatures
    if not found:
        return _told([UNSIGNED])
    first = found[0]
    certificate = Certificate(first.signer_cert.dump())
    when = first.self_reported_timestamp
    at = when.isoformat() if isinstance(when, datetime) else ""
    wrong = ["report-signed-again"] if len(found) > 1 else []
    wrong += _broken(first)
    raw = first.signer_info["signature"].native
    pages_bytes = 0 if wrong else _pages_bytes(pdf, certificate, raw, at)
    if not wrong and not pages_bytes:
        wrong.append("report-form")
    return _told(wrong, certificate.pem, at, pages_bytes)


def _broken(signature: Any) -> list[str]:  # noqa: ANN401 - a class of a library that is loaded late
    from pyhanko.sign.validation import validate_pdf_signature  # noqa: PLC0415 - slow to load
    from pyhanko.sign.validation.status import (  # noqa: PLC0415 - the same
        SignatureCoverageLevel,
    )
    from pyhanko_certvalidator import ValidationContext  # noqa: PLC0415 - the same

    # Its own certificate is taken for trusted here: whose it is, the fingerprint tells.
    context = ValidationContext(trust_roots=[signature.signer_cert], allow_fetching=False)
    status = validate_pdf_signature(signature, context)
    wrong = []
    if status.coverage != SignatureCoverageLevel.ENTIRE_FILE:
        wrong.append("report-extended")
    if not status.intact:
        wrong.append("report-altered")
    elif not status.valid or (not status.bottom_line and not wrong):
        wrong.append("report-signature-wrong")
    return wrong


def _pages_bytes(pdf: bytes, certificate: Certificate, raw: bytes, at: str) -> int:
    """Return how much of a file, signed again with its signature, gives the file; 0 if nothing."""
    # It ended with the end mark before the last one, and maybe a line end.
    before = pdf.rfind(_END, 0, max(pdf.rfind(_END), 0))
    for end in (b"", b"\n", b"\r\n"):
        size = before + len(_END + end)
        ends = before > 0 and pdf[:size].endswith(_END + end)
        if ends and resigned(pdf[:size], certificate, raw, at) == pdf:
            return size
    return 0


if __name__ == "__main__":
    raise SystemExit(as_child(_child))
