"""What a forger does to a signed PDF, with the library that made it and by hand."""

import io
from pathlib import Path

from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import fields, signers
from pyhanko.sign.fields import SigFieldSpec

from store.signing.certificate import ReportKey, report_key
from store.signing.pdf import _raw_signer, signed_pdf

AT = "2026-03-05T16:40:00+01:00"


def page(text: str = "Nothing was shaded.") -> bytes:
    """Return a PDF of one page, written by hand: objects, their offsets, the trailer."""
    stream = f"BT /F1 18 Tf 72 720 Td ({text}) Tj ET".encode()
    bodies = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        (
            b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R "
            b"/Resources << /Font << /F1 5 0 R >> >> >>"
        ),
        b"<< /Length %d >>\nstream\n%s\nendstream" % (len(stream), stream),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
    ]
    out, offsets = b"%PDF-1.7\n", []
    for number, body in enumerate(bodies, start=1):
        offsets.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % offset for offset in offsets)
    xref = b"xref\n0 6\n0000000000 65535 f \n" + table
    trailer = b"trailer\n<< /Size 6 /Root 1 0 R /ID [<01> <02>] >>\nstartxref\n%d\n%%%%EOF\n" % len(
        out
    )
    return out + xref + trailer


def signed(folder: Path, pdf: bytes = b"") -> tuple[bytes, ReportKey]:
    """Return a signed PDF and the key, which is kept in a folder."""
    key = report_key(folder, "Tamm & Daughter")
    return signed_pdf(pdf or page(), key, AT), key


def extended(pdf: bytes) -> bytes:
    """Return it with its first page's content replaced by an update behind the signature."""
    writer = IncrementalPdfFileWriter(io.BytesIO(pdf))
    first = writer.root["/Pages"]["/Kids"][0]
    while first["/Type"] != "/Page":
        first = first["/Kids"][0]
    drawn = b"BT /F1 18 Tf 72 700 Td (All is well.) Tj ET"
    first["/Contents"] = writer.add_object(generic.StreamObject(stream_data=drawn))
    writer.update_container(first)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def signed_twice(pdf: bytes, other: ReportKey) -> bytes:
    """Return it with a second signature, by another, behind the first."""
    meta = signers.PdfSignatureMetadata(field_name="Other", md_algorithm="sha256")
    signer = signers.PdfSigner(
        meta,
        _raw_signer(other.certificate, other.sign),
        new_field_spec=SigFieldSpec(
            "Other", on_page=0, invis_sig_settings=fields.InvisSigSettings(box_out_of_bounds=True)
        ),
    )
    out = io.BytesIO()
    # The library refuses to sign what a certification forbids to change; a forger's would not.
    writer = IncrementalPdfFileWriter(io.BytesIO(pdf.replace(b"/DocMDP", b"/NoSuch")))
    signer.sign_pdf(writer, output=out)
    return out.getvalue().replace(b"/NoSuch", b"/DocMDP")


def emptied(pdf: bytes) -> bytes:
    """Return it with its signature's field taken away by an update."""
    writer = IncrementalPdfFileWriter(io.BytesIO(pdf))
    del writer.root["/AcroForm"]
    writer.update_root()
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()
