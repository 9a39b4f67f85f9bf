"""The report in a pack: signed by whom it must be, and saying what the lines say."""

import shutil
from pathlib import Path
from typing import Any

import pytest

from store.errors import BadPack
from store.finding import Finding
from store.pack import report_check
from store.pack.inspection import verify_pack
from store.pack.report_check import check_report, verify_report
from store.pack.set_with import set_with
from store.pack.signing_key import read_key
from store.signing.certificate import parse_certificate, report_key
from store.signing.pdf import signed_pdf
from store.signing.pdf_check import check_pdf
from tests.store import small_job
from tests.store.pack.packed import AT, VERSION, both_keys, make_key, rebag, resign
from tests.store.pack.test_inspection import name_signer
from tests.store.signing.attacks import emptied, extended, signed_twice

REPORT = "data/report.pdf"


def check(pack: Path, version: str = VERSION) -> list[Finding]:
    return verify_pack(pack, version=version, measure=small_job.measure, report=check_report)


def codes(found: list[Finding]) -> set[str]:
    """Return what was found and is no mere note."""
    return {each.code for each in found if each.severity != "note"}


@pytest.fixture
def report(pack: Path) -> bytes:
    return (pack / REPORT).read_bytes()


def put(pack: Path, key: Path, content: bytes) -> None:
    """Put another report into a pack and sign the pack anew: a forger who has the SSH key."""
    (pack / REPORT).write_bytes(content)
    rebag(pack, both_keys(key).pack)


def test_a_sound_pack_s_report_is_signed_by_the_certificate_beside_it(
    pack: Path, report: bytes
) -> None:
    found = check(pack)
    assert [each.code for each in found] == ["signing-key"]
    named = parse_certificate((pack / "data/report-certificate.pem").read_bytes())
    assert check_pdf(report).certificate == named


def test_without_the_check_it_is_said_that_the_report_was_not_looked_into(pack: Path) -> None:
    found = verify_pack(pack, version=VERSION, measure=small_job.measure)
    assert "report-unchecked" in {each.code for each in found}


def test_a_report_of_other_lines_is_found_although_its_signature_holds(
    pack: Path, key: Path, report: bytes
) -> None:
    """The shop itself may sign what its lines do not say: only setting it again finds that."""
    pages = report[: check_pdf(report).pages_bytes]
    assert pages.count(b"DejaVuSansMono") > 0
    forged = signed_pdf(pages.replace(b"(Tamm", b"(Lamm"), both_keys(key).report, AT)
    assert forged[:100] == report[:100]
    put(pack, key, forged)
    assert codes(check(pack)) == {"report-differs"}


def test_a_page_of_other_lines_is_found(pack: Path, key: Path) -> None:
    path = pack / "data/report.html"
    path.write_text(path.read_text().replace("within", "Within", 1))
    rebag(pack, both_keys(key).pack)
    (finding,) = [each for each in check(pack) if each.code == "report-differs"]
    assert finding.where == "report.html"


def test_a_pack_signed_anew_in_every_place_still_has_the_old_key_in_its_report(
    pack: Path, tmp_path: Path
) -> None:
    """The report prints the key's fingerprint and is signed: a forger would have to sign it too."""
    other = read_key(make_key(tmp_path, "other"))
    name_signer(pack, other)
    resign(pack / "data/chains/north/checkpoint", other)
    rebag(pack, other)
    assert codes(check(pack)) == {"report-differs"}


def test_every_attack_on_the_signature_is_named(
    pack: Path, key: Path, report: bytes, tmp_path: Path
) -> None:
    other = report_key(tmp_path / "other", "Tamm & Daughter")
    pages = report[: check_pdf(report).pages_bytes]
    flipped = bytearray(report)
    flipped[5000] ^= 1
    for forged, code in (
        (extended(report), "report-extended"),
        (signed_twice(report, other), "report-signed-again"),
        (pages, "report-unsigned"),
        (emptied(report), "report-unsigned"),
        (signed_pdf(pages, other, AT), "report-signer-strange"),
        (bytes(flipped), "report-altered"),
        (b"%PDF-1.7\n", "report-unreadable"),
    ):
        put(pack, key, forged)
        assert code in codes(check(pack)), code


def test_digits_changed_outside_what_the_signature_covers_are_found(
    pack: Path, key: Path, report: bytes
) -> None:
    at = report.rindex(b"/Contents <") + 11
    put(pack, key, report[:at] + report[at : at + 90].lower() + report[at + 90 :])
    assert "report-differs" in codes(check(pack))


def test_a_report_or_its_certificate_that_is_gone_is_found(pack: Path, key: Path) -> None:
    for name in (REPORT, "data/report-certificate.pem"):
        content = (pack / name).read_bytes()
        (pack / name).unlink()
        rebag(pack, both_keys(key).pack)
        assert codes(check(pack)) == {"report-missing"}
        (pack / name).write_bytes(content)
    (pack / "data/report-certificate.pem").write_bytes(b"no certificate")
    rebag(pack, both_keys(key).pack)
    assert codes(check(pack)) == {"report-missing"}


def test_a_report_set_with_other_programs_is_not_compared_and_that_is_said(
    pack: Path, key: Path
) -> None:
    found = check(pack, version="0.2.0")
    assert "report-differs" not in codes(found)
    (note,) = [each for each in found if each.code == "report-not-compared"]
    assert note.severity == "note"
    assert set_with(VERSION) in note.detail
    assert set_with("0.2.0") in note.detail


def test_its_signature_is_checked_all_the_same(pack: Path, key: Path, report: bytes) -> None:
    put(pack, key, extended(report))
    assert "report-extended" in codes(check(pack, version="0.2.0"))


def test_a_paper_that_is_none_is_found(pack: Path, key: Path) -> None:
    info = pack / "bag-info.txt"
    info.write_text(info.read_text().replace("Report-Paper: a4", "Report-Paper: a5"))
    rebag(pack, both_keys(key).pack)
    assert codes(check(pack)) == {"report-differs"}


def test_what_can_not_be_set_again_is_said_and_no_crash(
    pack: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any, **__: Any) -> Path:
        raise KeyError(AT)

    monkeypatch.setattr(report_check, "write_report", broken)
    (finding,) = [each for each in check(pack) if each.code == "report-unmade"]
    assert finding.severity == "differs"
    assert "KeyError" in finding.detail


def test_a_report_alone_is_checked_and_its_signer_named(pack: Path, tmp_path: Path) -> None:
    alone = Path(shutil.copy(pack / REPORT, tmp_path / "from-the-shop.pdf"))
    (note,) = verify_report(alone)
    assert note.severity == "note"
    assert "'Tamm & Daughter'" in note.detail
    alone.write_bytes(extended(alone.read_bytes()))
    assert codes(verify_report(alone)) == {"report-extended"}
    with pytest.raises(BadPack, match="is gone"):
        verify_report(tmp_path / "nothing.pdf")
