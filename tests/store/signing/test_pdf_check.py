"""A signed PDF and every attack on it: each is found by us and, where they can, by other tools."""

import errno
import subprocess
import sys
from pathlib import Path

import pytest

from store.errors import CannotRead
from store.pack.report_check import verify_report
from store.report.typeset import ReportOverdue
from store.signing.certificate import report_key
from store.signing.pdf import resigned, signed_pdf
from store.signing.pdf_check import LARGEST_BYTES, WORDS, _judged, check_pdf
from tests.store.signing.attacks import AT, emptied, extended, page, signed, signed_twice


def pdfsig(pdf: bytes, folder: Path) -> str:
    """Return what poppler's pdfsig says of a file."""
    path = folder / "asked.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(["pdfsig", str(path)], capture_output=True, text=True, check=False)
    return done.stdout + done.stderr


def qpdf(pdf: bytes, folder: Path) -> int:
    """Return how qpdf's check of a file's structure ends."""
    path = folder / "asked.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(["qpdf", "--check", str(path)], capture_output=True, check=False)
    return done.returncode


def judged(pdf: bytes) -> list[str]:
    """Return what is wrong, asked in this process: an unreadable file ends with an error."""
    try:
        found: list[str] = _judged(pdf)["wrong"]
    except Exception as error:  # noqa: BLE001 - the library raises whatever its parts do
        return [type(error).__name__]
    return found


def test_a_signed_report_is_sound_for_us_and_for_other_tools(tmp_path: Path) -> None:
    pdf, key = signed(tmp_path)
    found = check_pdf(pdf)
    assert (found.wrong, found.certificate, found.at) == ((), key.certificate, AT)
    assert pdf[: found.pages_bytes].rstrip() == page().rstrip()
    said = pdfsig(pdf, tmp_path)
    assert "Signature is Valid" in said
    assert "Total document signed" in said
    assert "Signing Time: Mar 05 2026 15:40:00" in said
    assert "SHA-256" in said
    assert "ETSI.CAdES.detached" in said
    assert qpdf(pdf, tmp_path) == 0
    assert b"/Version" not in pdf  # of PDF 1.7, as PDF/A-3 and PDF/UA-1 are


def test_the_pages_stay_byte_for_byte_and_signing_again_gives_the_same(tmp_path: Path) -> None:
    pdf, key = signed(tmp_path)
    assert pdf.startswith(page())
    assert signed_pdf(page(), key, AT) == pdf
    assert signed_pdf(page(), key, "2026-03-05T16:40:01+01:00") != pdf
    assert signed_pdf(page("Another page."), key, AT) != pdf


def test_what_is_added_behind_the_signature_is_found(tmp_path: Path) -> None:
    """It goes on being a valid signature of what was there before, as pdfsig says."""
    pdf, _ = signed(tmp_path)
    forged = extended(pdf)
    assert "Signature is Valid" in pdfsig(forged, tmp_path)
    assert "Not total document signed" in pdfsig(forged, tmp_path)
    assert "report-extended" in check_pdf(forged).wrong
    assert "report-extended" in judged(pdf + b"\n%%EOF\n") + judged(extended(forged))


def test_a_byte_of_the_pages_changed_is_found(tmp_path: Path) -> None:
    pdf, _ = signed(tmp_path)
    forged = pdf.replace(b"Nothing was shaded", b"Nothing is shaded.")
    assert len(forged) == len(pdf)
    assert check_pdf(forged).wrong == ("report-altered",)
    assert "Digest Mismatch" in pdfsig(forged, tmp_path)


def test_a_second_signature_is_found(tmp_path: Path) -> None:
    pdf, _ = signed(tmp_path)
    forged = signed_twice(pdf, report_key(tmp_path / "other", "Somebody"))
    assert "Signature #2" in pdfsig(forged, tmp_path)
    assert {"report-signed-again", "report-extended"} <= set(check_pdf(forged).wrong)


def test_a_signature_taken_out_is_found(tmp_path: Path) -> None:
    pdf, _ = signed(tmp_path)
    for forged in (page(), pdf[: len(page())], emptied(pdf)):
        assert check_pdf(forged).wrong == ("report-unsigned",)


def test_a_report_signed_with_another_key_names_that_key(tmp_path: Path) -> None:
    """Whose key it must be is not in the file: the one who asks compares."""
    _, key = signed(tmp_path)
    forger = report_key(tmp_path / "other", "Tamm & Daughter")
    found = check_pdf(signed_pdf(page("All is well."), forger, AT))
    assert found.wrong == ()
    assert found.certificate == forger.certificate != key.certificate


def test_every_byte_of_what_signing_added_is_held(tmp_path: Path) -> None:
    """What the signature covers and what it does not: the file is signed again and compared."""
    pdf, _ = signed(tmp_path)
    missed = []
    for at in range(len(page()), len(pdf), 41):
        forged = bytearray(pdf)
        forged[at] ^= 1
        if not judged(bytes(forged)):
            missed.append(at)
    assert missed == []


def test_digits_that_the_signature_does_not_cover_are_held(tmp_path: Path) -> None:
    """Small letters for large ones in its hexadecimal digits say the same and are not the same."""
    pdf, _ = signed(tmp_path)
    at = pdf.rindex(b"/Contents <") + len(b"/Contents <")
    forged = pdf[:at] + pdf[at : at + 200].lower() + pdf[at + 200 :]
    assert "Signature is Valid" in pdfsig(forged, tmp_path)
    assert check_pdf(forged).wrong == ("report-form",)


def test_signing_again_with_the_same_signature_shows_what_was_added(tmp_path: Path) -> None:
    pdf, key = signed(tmp_path)
    raw = key.sign(b"anything")
    again = resigned(page(), key.certificate, raw, AT)
    assert len(again) == len(pdf)
    assert again != pdf


@pytest.mark.parametrize(
    "content", [b"", b"no PDF", b"%PDF-1.7\n", b"%PDF-1.7\n" * 9000, page()[:300], b"\x00" * 999]
)
def test_what_is_no_pdf_is_said(content: bytes) -> None:
    found = check_pdf(content)
    assert found.wrong == ("report-unreadable",)
    assert "can't be read as a PDF" in found.words(found.wrong[0])


def test_a_file_that_is_too_large_is_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("store.signing.pdf_check.LARGEST_BYTES", 10)
    assert check_pdf(page()).wrong == ("report-unreadable",)
    assert LARGEST_BYTES > 100_000_000


def test_every_finding_has_its_words() -> None:
    assert all(words[0].islower() and not words.endswith(".") for words in WORDS.values())


def test_a_limit_of_the_whole_session_is_kept_and_is_no_error() -> None:
    """As ``ulimit -v`` sets it: a process may lower it and not raise it."""
    code = (
        "import resource\n"
        "resource.setrlimit(resource.RLIMIT_AS, (1 << 29, 1 << 29))\n"
        "from store.signing.pdf_check import _bound\n"
        "_bound()\n"
        "print(resource.getrlimit(resource.RLIMIT_AS))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True,
        cwd=Path(__file__).parents[3],
    )  # fmt: skip
    assert done.stdout == f"({1 << 29}, {1 << 29})\n"


@pytest.mark.parametrize(
    "error",
    [ReportOverdue("it was not finished after 60 s"), OSError(errno.EMFILE, "Too many open files")],
)
def test_a_machine_that_has_no_time_or_files_says_nothing_of_the_report(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, error: Exception
) -> None:
    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr("store.signing.pdf_check.in_child", fail)
    with pytest.raises(CannotRead, match="signature of the report could not be read now"):
        check_pdf(b"%PDF-1.7")
    (tmp_path / "report.pdf").write_bytes(b"%PDF-1.7")
    (finding,) = verify_report(tmp_path / "report.pdf")
    assert finding.severity == "unread"
