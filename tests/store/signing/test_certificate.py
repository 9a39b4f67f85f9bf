"""The key of reports and its certificate: made once, this user's alone, and read by openssl."""

import errno
import io
import os
import stat
import subprocess
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.x509 import load_der_x509_certificate

from store.errors import BadKey, CannotRead, CannotWrite
from store.files.halfmade import held
from store.signing import key_file
from store.signing.certificate import (
    CERTIFICATE_NAME,
    KEY_NAME,
    parse_certificate,
    read_report_key,
    report_key,
)


def openssl(*words: str) -> str:
    return subprocess.run(["openssl", *words], capture_output=True, text=True, check=True).stdout


def test_a_key_is_made_on_first_use_and_is_the_same_ever_after(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    first = report_key(folder, "Tamm & Daughter")
    assert report_key(folder, "another name").certificate == first.certificate
    assert sorted(path.name for path in folder.iterdir()) == [CERTIFICATE_NAME, KEY_NAME]
    assert stat.S_IMODE((folder / KEY_NAME).stat().st_mode) == 0o600
    assert b"PRIVATE" not in (folder / CERTIFICATE_NAME).read_bytes()


def test_openssl_reads_the_certificate_and_prints_the_same_fingerprint(tmp_path: Path) -> None:
    key = report_key(tmp_path, "Tamm & Daughter")
    path = str(tmp_path / CERTIFICATE_NAME)
    said = openssl("x509", "-in", path, "-noout", "-fingerprint", "-sha256")
    assert said.strip().partition("=")[2].replace(":", "").lower() == key.certificate.fingerprint
    told = openssl("x509", "-in", path, "-noout", "-text")
    for words in (
        "Tamm & Daughter", "self-signed: compare the fingerprint", "prime256v1",
        "ecdsa-with-SHA256",
        "CA:FALSE", "Digital Signature, Non Repudiation", "Dec 31 23:59:59 9999 GMT",
    ):  # fmt: skip
        assert words in told
    assert openssl("verify", "-CAfile", path, path).strip().endswith("OK")


def test_a_signature_holds_and_is_the_same_for_the_same_message(tmp_path: Path) -> None:
    key = report_key(tmp_path, "x")
    raw = key.sign(b"a report")
    public = load_der_x509_certificate(key.certificate.der).public_key()
    assert isinstance(public, ec.EllipticCurvePublicKey)
    public.verify(raw, b"a report", ec.ECDSA(SHA256()))  # raises if it does not hold
    assert key.sign(b"a report") == raw
    assert key.sign(b"a Report") != raw


@pytest.mark.parametrize(
    ("holder", "name"),
    [("", "bench"), (" \n ", "bench"), ("one\ntwo\x00", "one two"), ("工" * 90, "工" * 21),
     ("north", "north")],
)  # fmt: skip
def test_any_name_of_a_shop_gives_a_certificate(tmp_path: Path, holder: str, name: str) -> None:
    assert report_key(tmp_path, holder).certificate.name == name


@pytest.mark.parametrize("number", [errno.EMFILE, errno.EIO])
@pytest.mark.parametrize("of", ["load_pem_x509_certificate", "open"])
def test_a_key_that_can_not_be_read_now_is_not_called_a_bad_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, of: str, number: int
) -> None:
    """The library loads parts of itself late, and a disk may fail for a moment."""
    key = report_key(tmp_path, "x")

    def fail(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number), "cryptography/x509")

    with monkeypatch.context() as broken:
        broken.setattr(x509 if of != "open" else io, of, fail)
        with pytest.raises(CannotRead, match="could not be read now: "):
            read_report_key(tmp_path / KEY_NAME)
    assert read_report_key(tmp_path / KEY_NAME).certificate == key.certificate


def test_what_a_killed_program_left_where_keys_lie_goes_and_what_is_being_made_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(key_file, "key_folder", lambda: tmp_path)
    left, making = (tmp_path / f".signing-key.{n * 12}.part" for n in "ab")
    others = tmp_path / "a person's.part"
    for path in (left, making, others):
        path.write_bytes(b"half a key")
    with held(making):
        key_file.clear_left()
        assert sorted(tmp_path.iterdir()) == sorted([making, others])
    key_file.clear_left()
    assert list(tmp_path.iterdir()) == [others]


def test_programs_that_begin_at_once_end_with_one_key(tmp_path: Path) -> None:
    with ThreadPoolExecutor(8) as pool:
        keys = {key.certificate for key in pool.map(lambda _: report_key(tmp_path, "x"), range(16))}
    assert len(keys) == 1
    assert not list(tmp_path.glob("*.part"))


def test_a_key_that_others_may_read_or_that_is_none_is_refused(tmp_path: Path) -> None:
    report_key(tmp_path, "x")
    path = tmp_path / KEY_NAME
    path.chmod(0o644)
    with pytest.raises(BadKey, match="chmod 600"):
        read_report_key(path)
    path.chmod(0o600)
    content = path.read_bytes()
    for changed in (b"", content[:100], content.partition(b"-----BEGIN CERT")[0]):
        path.write_bytes(changed)
        with pytest.raises(BadKey):
            report_key(tmp_path, "x")
        assert path.read_bytes() == changed  # what was damaged is never replaced


def test_a_certificate_of_another_key_is_refused(tmp_path: Path) -> None:
    report_key(tmp_path / "one", "x")
    other = report_key(tmp_path / "two", "x")
    path = tmp_path / "one" / KEY_NAME
    begin = path.read_bytes().partition(b"-----BEGIN CERT")[0]
    path.write_bytes(begin + other.certificate.pem.encode())
    with pytest.raises(BadKey, match="not that of the key"):
        read_report_key(path)


def test_a_certificate_of_another_kind_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "rsa.pem"
    openssl(
        "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-subj", "/CN=x", "-days", "9",
        "-keyout", str(tmp_path / "k"), "-out", str(path),
    )  # fmt: skip
    with pytest.raises(BadKey, match="P-256"):
        parse_certificate(path.read_bytes())


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(CannotWrite, match=KEY_NAME):
        report_key(tmp_path / "file" / "below", "x")
