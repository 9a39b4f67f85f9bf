"""The key that reports are signed with: ECDSA on P-256, and a certificate of its own making.

PDF readers know no SSH keys and few know Ed25519. So a report has a key of its own (FIPS 186-5,
curve P-256) in a certificate (RFC 5280). It is made on first use, in this user's data folder, for
that user alone to read. Nobody else vouches for it: the certificate says that it is self-signed,
and its fingerprint must reach the customer in another way.
"""

import hashlib
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from store.errors import BadKey
from store.files.passing import cannot_read_now, is_passing
from store.signing.key_file import lay_beside, make_once, own_bytes

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

KEY_NAME, CERTIFICATE_NAME = "report-key.pem", "report-certificate.pem"
SELF_SIGNED = "self-signed: compare the fingerprint"
_LONGEST_NAME = 64  # RFC 5280, appendix A: ub-common-name; the library counts bytes
# RFC 5280 section 4.1.2.5: the date that says "no end". A key that ends would make old reports look
# wrong; and the beginning is long ago, for a bench's clock may go backwards.
_FROM, _UNTIL = datetime(2000, 1, 1, tzinfo=UTC), datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC)


class Certificate(Struct, frozen=True):
    """A certificate as its DER bytes (X.690)."""

    der: bytes

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the DER bytes, 64 digits: what openssl and PDF readers print."""
        return hashlib.sha256(self.der).hexdigest()

    @property
    def pem(self) -> str:
        """The certificate as text (RFC 7468)."""
        from cryptography.hazmat.primitives.serialization import Encoding  # noqa: PLC0415 - 40 ms

        return self._loaded.public_bytes(Encoding.PEM).decode("ascii")

    @property
    def name(self) -> str:
        """The common name that it gives its holder; nobody vouches for it."""
        from cryptography.x509.oid import NameOID  # noqa: PLC0415 - 40 ms

        found = self._loaded.subject.get_attributes_for_oid(NameOID.COMMON_NAME)
        return str(found[0].value) if found else ""

    @property
    def _loaded(self) -> "x509.Certificate":
        from cryptography import x509  # noqa: PLC0415 - 40 ms

        return x509.load_der_x509_certificate(self.der)


class ReportKey:
    """A private key for reports, and its certificate."""

    def __init__(self, private: "EllipticCurvePrivateKey", certificate: Certificate) -> None:
        self._private = private
        self.certificate = certificate

    def sign(self, message: bytes) -> bytes:
        """Return an ECDSA signature with SHA-256 (DER); the same message gives the same bytes.

        The nonce follows from key and message (RFC 6979): the same report is the same file.
        """
        from cryptography.hazmat.primitives.asymmetric.ec import ECDSA  # noqa: PLC0415 - 40 ms
        from cryptography.hazmat.primitives.hashes import SHA256  # noqa: PLC0415 - the same

        return self._private.sign(message, ECDSA(SHA256(), deterministic_signing=True))


def parse_certificate(text: bytes) -> Certificate:
    """Return the certificate in a PEM file's bytes; raises BadKey unless it is one of P-256.

    CannotRead where it could not be looked at now, for the library loads parts of itself late.
    """
    from cryptography import x509  # noqa: PLC0415 - 40 ms
    from cryptography.hazmat.primitives.asymmetric import ec  # noqa: PLC0415 - the same
    from cryptography.hazmat.primitives.serialization import Encoding  # noqa: PLC0415 - the same

    try:
        found = x509.load_pem_x509_certificate(text)
        key = found.public_key()
        der = found.public_bytes(Encoding.DER)
    except Exception as error:  # the library raises whatever its parts do
        if is_passing(error):
            raise cannot_read_now(error, "the certificate") from error
        raise BadKey(f"it holds no certificate: {error}") from error
    if not (isinstance(key, ec.EllipticCurvePublicKey) and isinstance(key.curve, ec.SECP256R1)):
        raise BadKey("its certificate is not of ECDSA on P-256")
    return Certificate(der)


def read_report_key(path: Path) -> ReportKey:
    """Return the key in a file that ``report_key`` made.

    Raises BadKey for a file that others may read, or that is no such key with its certificate,
    CannotRead where it could not be read now.
    """
    from cryptography.hazmat.primitives.asymmetric import ec  # noqa: PLC0415 - 40 ms
    from cryptography.hazmat.primitives.serialization import (  # noqa: PLC0415 - the same
        Encoding,
        PublicFormat,
        load_pem_private_key,
    )

    content = own_bytes(path)
    try:
        private = load_pem_private_key(content, password=None)
        certificate = parse_certificate(content)
    except Exception as error:  # the library raises whatever its parts do
        if is_passing(error):
            raise cannot_read_now(error, f"the key {path}") from error
        raise BadKey(f"{path} is not a report's key with its certificate: {error}") from error
    if not isinstance(private, ec.EllipticCurvePrivateKey):
        raise BadKey(f"the key in {path} is not one for ECDSA")
    key, named = (
        each.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
        for each in (private.public_key(), certificate._loaded.public_key())  # noqa: SLF001 - ours
    )
    if key != named:
        raise BadKey(f"the certificate in {path} is not that of the key in it")
    return ReportKey(private, certificate)


def report_key(folder: Path, holder: str) -> ReportKey:
    """Return the bench's key for reports, made in ``folder`` if there is none yet.

    ``holder`` is the name that a new certificate gives: the shop's, or the bench's. Raises BadKey
    for a file that is no such key, CannotWrite.
    """
    path = folder / KEY_NAME
    if not path.exists():
        make_once(path, _made(holder))
    key = read_report_key(path)
    lay_beside(folder / CERTIFICATE_NAME, key.certificate.pem)
    return key


def _made(holder: str) -> bytes:
    """Return a new key and its certificate as one PEM file."""
    from cryptography import x509  # noqa: PLC0415 - 40 ms
    from cryptography.hazmat.primitives import hashes, serialization  # noqa: PLC0415 - the same
    from cryptography.hazmat.primitives.asymmetric import ec  # noqa: PLC0415 - the same
    from cryptography.x509.oid import NameOID  # noqa: PLC0415 - the same

    private = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([
        x509.NameAttribute(NameOID.COMMON_NAME, _plain(holder)),
        x509.NameAttribute(NameOID.ORGANIZATIONAL_UNIT_NAME, SELF_SIGNED),
    ])  # fmt: skip
    usage = dict.fromkeys((
        "key_encipherment", "data_encipherment", "key_agreement", "key_cert_sign", "crl_sign",
        "encipher_only", "decipher_only",
    ), False)  # fmt: skip
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(_FROM)
        .not_valid_after(_UNTIL)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(
            x509.KeyUsage(digital_signature=True, content_commitment=True, **usage), critical=True
        )
        .sign(private, hashes.SHA256())
    )
    certificate = Certificate(made.public_bytes(serialization.Encoding.DER))
    pem = private.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    return pem + certificate.pem.encode("ascii")


def _plain(holder: str) -> str:
    """Return a name that a certificate can give: one line, not empty, not too long."""
    line = " ".join("".join(c if c.isprintable() else " " for c in holder).split())
    cut = line.encode("utf-8", "ignore")[:_LONGEST_NAME].decode("utf-8", "ignore")
    return cut.strip() or "bench"
