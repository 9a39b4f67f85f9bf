"""First bytes -> what kind of file this really is, whatever its name says."""

from msgspec import Struct


class Kind(Struct, frozen=True):
    """A kind of file. ``suffix`` has no dot; ``readable`` kinds are decoded here."""

    name: str
    content_type: str
    suffix: str
    readable: bool = False


JPEG = Kind("JPEG", "image/jpeg", "jpg", readable=True)
PNG = Kind("PNG", "image/png", "png", readable=True)
HEIC = Kind("HEIC", "image/heic", "heic", readable=True)
UNKNOWN = Kind("file of unknown kind", "application/octet-stream", "bin")

_BY_FIRST_BYTES = (
    (b"\xff\xd8\xff", JPEG),
    (b"\x89PNG\r\n\x1a\n", PNG),
    (b"%PDF-", Kind("PDF document", "application/pdf", "pdf")),
    (b"GIF8", Kind("GIF picture", "image/gif", "gif")),
    (b"II*\x00", Kind("TIFF or camera raw picture", "image/tiff", "tif")),
    (b"MM\x00*", Kind("TIFF or camera raw picture", "image/tiff", "tif")),
    (b"BM", Kind("BMP picture", "image/bmp", "bmp")),
    (b"PK\x03\x04", Kind("ZIP archive or office document", "application/zip", "zip")),
    (b"<svg", Kind("SVG drawing", "image/svg+xml", "svg")),
    (b"<!DOCTYPE", Kind("web page", "text/html", "html")),
    (b"<html", Kind("web page", "text/html", "html")),
)
# ISO/IEC 23008-12 brands of a still picture coded with HEVC, and the generic image brand.
_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
_AVIF_BRANDS = {b"avif", b"avis"}


def recognise(original: bytes) -> Kind:
    """Return the kind of file these bytes begin; the file's name is not asked."""
    for start, kind in _BY_FIRST_BYTES:
        if original.startswith(start):
            return kind
    if original[4:8] == b"ftyp":
        return _of_brand(original[8:12])
    if original[:4] == b"RIFF" and original[8:12] == b"WEBP":
        return Kind("WebP picture", "image/webp", "webp")
    return UNKNOWN


def _of_brand(brand: bytes) -> Kind:
    if brand in _HEIC_BRANDS:
        return HEIC
    if brand in _AVIF_BRANDS:
        return Kind("AVIF picture", "image/avif", "avif")
    return Kind("video", "video/mp4", "mp4")
