"""The signature in a report's PDF, made by pyHanko: one, over the whole file, with no change after.

The PDF stays as it was set, byte for byte; the signature is added behind it (ISO 32000-1 section
12.8, an incremental update). It is a certification that permits nothing after it. The field has no
size and lies outside the page: PDF/UA wants an annotation that is not tagged to be out of sight,
and PDF/A does not let it be hidden.
"""

import hashlib
import io
from collections.abc import Callable
from datetime import datetime
from typing import Any

from store.signing.certificate import Certificate, ReportKey

FIELD = "Shop"
# Twice the bytes of the signature (hexadecimal); a fixed room gives every report the same form.
_ROOM = 8192
Sign = Callable[[bytes], bytes]


def signed_pdf(pdf: bytes, key: ReportKey, at: str) -> bytes:
    """Return a PDF with a signature added; ``at`` (ISO 8601) is the time that it claims.

    The same PDF, key and time give the same bytes.
    """
    return _signed(pdf, key.certificate, key.sign, at)


def resigned(pdf: bytes, certificate: Certificate, signature: bytes, at: str) -> bytes:
    """Return a PDF with a signature that was made before: what signing it then gave.

    So all of a signed file can be compared, what the signature does not cover too. It also shows
    that nothing but the signature was added to ``pdf``.
    """
    return _signed(pdf, certificate, lambda _: signature, at)


def _signed(pdf: bytes, certificate: Certificate, sign: Sign, at: str) -> bytes:
    from pyhanko.sign import fields, signers  # noqa: PLC0415 - slow to load
    from pyhanko.sign.fields import SigFieldSpec, SigSeedSubFilter  # noqa: PLC0415 - the same

    meta = signers.PdfSignatureMetadata(
        field_name=FIELD,
        md_algorithm="sha256",
        subfilter=SigSeedSubFilter.PADES,
        certify=True,
        docmdp_permissions=fields.MDPPerm.NO_CHANGES,
    )
    spec = SigFieldSpec(
        FIELD, on_page=-1, invis_sig_settings=fields.InvisSigSettings(box_out_of_bounds=True)
    )
    signer = _pdf_signer(datetime.fromisoformat(at))(
        meta, _raw_signer(certificate, sign), new_field_spec=spec
    )
    out = io.BytesIO()
    signer.sign_pdf(_update(pdf), output=out, bytes_reserved=_ROOM)
    return out.getvalue()


def _pdf_signer(when: datetime) -> Any:  # noqa: ANN401 - a class of a library that is loaded late
    from pyhanko.sign import signers  # noqa: PLC0415 - slow to load
    from pyhanko.sign.signers import constants  # noqa: PLC0415 - the same

    class AtItsTime(signers.PdfSigner):
        """A signer that claims the report's time: the clock is not asked here."""

        def init_signing_session(self, *args: Any, **kwargs: Any) -> Any:  # noqa: ANN401 - as there
            session = super().init_signing_session(*args, **kwargs)
            session.system_time = when
            return session

        def register_extensions(self, pdf_out: Any, **_: Any) -> None:  # noqa: ANN401 - as there
            """Name the one extension that this signature is of, and stay a PDF of version 1.7.

            The library would call the file a PDF 2.0 for the sake of the curve; PDF/A-3 and
            PDF/UA-1 are of PDF 1.7.
            """
            pdf_out.register_extension(constants.ESIC_EXTENSION_1)

    return AtItsTime


def _raw_signer(certificate: Certificate, sign: Sign) -> Any:  # noqa: ANN401 - as above
    from asn1crypto import x509  # noqa: PLC0415 - slow to load
    from pyhanko.sign import signers  # noqa: PLC0415 - the same
    from pyhanko_certvalidator.registry import SimpleCertificateStore  # noqa: PLC0415 - the same

    class Own(signers.Signer):
        """A signer whose private key stays where it is."""

        async def async_sign_raw(
            self, data: bytes, digest_algorithm: str, dry_run: bool = False
        ) -> bytes:
            assert digest_algorithm == "sha256"  # noqa: S101 - what was asked for above
            return b"" if dry_run else sign(data)

    return Own(
        signing_cert=x509.Certificate.load(certificate.der),
        cert_registry=SimpleCertificateStore(),  # type: ignore[no-untyped-call]
    )


def _update(pdf: bytes) -> Any:  # noqa: ANN401 - as above
    from pyhanko.pdf_utils.generic import ByteStringObject  # noqa: PLC0415 - slow to load
    from pyhanko.pdf_utils.incremental_writer import (  # noqa: PLC0415 - the same
        IncrementalPdfFileWriter,
    )

    class Addition(IncrementalPdfFileWriter):
        """An update whose id follows from the file, and that leaves dates and makers as they are.

        The library takes a random id, and would write itself and the clock into the metadata.
        """

        @classmethod
        def _handle_id(cls, prev: Any) -> Any:  # noqa: ANN401 - as there
            made = super()._handle_id(prev)  # type: ignore[no-untyped-call]
            made[1] = ByteStringObject(hashlib.sha256(pdf).digest()[:16])
            return made

        def _update_meta(self) -> None:
            pass

    return Addition(io.BytesIO(pdf))
