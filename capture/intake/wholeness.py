"""Picture bytes -> what is missing of the file, if anything.

Decoders are lenient: they fill a missing part with grey or with the last colour, and a number
could then be measured on pixels that no lens ever saw. So the file's own structure is walked to
its end first. An empty answer means whole; otherwise it is one clause that says what is missing.
"""

import zlib
from collections.abc import Iterator

from capture.intake.kind import HEIC, JPEG, PNG, Kind

CUT_SHORT = "is cut short"
# Of a photo's parts and of a progressive picture's scans: ten times as many as any camera writes.
# A file of nothing but such heads would hold this process, or the decoder, for minutes.
MOST_PIECES, MOST_SCANS = 200_000, 100
_MOST_FF = 5_000_000  # an honest 100 MB has a tenth of that, for the most part stuffed

# Neither a stuffed 00, a fill byte FF nor a restart (ITU-T T.81, B.1.1.2 and table B.1).
_JPEG_MARKERS = frozenset((*range(0x01, 0xD0), *range(0xD8, 0xFF)))
_START_OF_IMAGE, _END_OF_IMAGE, _START_OF_SCAN, _TEMPORARY = 0xD8, 0xD9, 0xDA, 0x01
_FRAMES = frozenset(
    (*range(0xC0, 0xC4), *range(0xC5, 0xC8), *range(0xC9, 0xCC), *range(0xCD, 0xD0))
)
_BLOCK = 8  # of 8 x 8 pixels


_TOO_MANY = f"is damaged (it is made of more than {MOST_PIECES} pieces)"


class _Broken(Exception):
    """The structure ends or contradicts itself; the text says how."""


def what_is_missing(original: bytes, kind: Kind) -> str:
    """Return "" if the file is whole, else a clause: "is cut short (...)" or "is damaged (...)"."""
    walk = {JPEG.name: _walk_jpeg, PNG.name: _walk_png, HEIC.name: _walk_heic}[kind.name]
    try:
        walk(original)
    except _Broken as broken:
        return str(broken)
    return ""


def _walk_jpeg(data: bytes) -> None:
    """Walk markers to the end-of-image marker; what follows it (a second picture) is free.

    Byte by byte found, and no pattern over the whole: a search of 10 MB in one go would hold the
    interpreter for 0.2 s, and with it a window.
    """
    at, scans = 0, 0
    for _ in range(_MOST_FF):
        at = data.find(b"\xff", at) + 1
        if not at or at == len(data):
            raise _Broken(f"{CUT_SHORT} (its end marker is missing)")
        marker = data[at]
        if marker not in _JPEG_MARKERS:
            continue
        at += 1
        if marker == _END_OF_IMAGE:
            return
        if marker in _FRAMES:
            _check_room(data, at)
        scans += marker == _START_OF_SCAN
        if scans > MOST_SCANS:
            raise _Broken(f"is damaged (it is drawn over more than {MOST_SCANS} times)")
        if marker not in {_START_OF_IMAGE, _TEMPORARY}:
            at += int.from_bytes(data[at : at + 2])
    raise _Broken(_TOO_MANY)


def _check_room(data: bytes, at: int) -> None:
    """Refuse a frame whose pixels can't be in a file so short: a decoder would make them up.

    Every block of the luminance takes a bit at least (T.81, F.1.2, G.1.2): its first coefficient
    has a code of one bit or more, in whichever scan it comes.
    """
    height, width = (int.from_bytes(data[at + n : at + n + 2]) for n in (3, 5))
    blocks = -(-height // _BLOCK) * -(-width // _BLOCK)
    if blocks > 8 * len(data):
        raise _Broken(f"{CUT_SHORT} (it claims {width} x {height} pixels and has no room for them)")


def _after_marker(data: bytes, at: int) -> int:
    """Return where the next marker ends, 0 if there is none.

    Byte by byte found, and no pattern over the whole: a search of 10 MB in one go would hold the
    interpreter for 0.2 s, and with it a window.
    """
    while (at := data.find(b"\xff", at) + 1) and at < len(data):
        if data[at] in _JPEG_MARKERS:
            return at + 1
    return 0


def _walk_png(data: bytes) -> None:
    """Walk chunks to IEND, checking every CRC (the decoder skips that of the pixels)."""
    at = 8
    for _ in range(MOST_PIECES):
        if at + 12 > len(data):
            break
        length = int.from_bytes(data[at : at + 4])
        end = at + 12 + length
        if end > len(data):
            break
        if zlib.crc32(data[at + 4 : end - 4]) != int.from_bytes(data[end - 4 : end]):
            raise _Broken("is damaged (a check sum inside it does not match)")
        if data[at + 4 : at + 8] == b"IEND":
            return
        at = end
    else:
        raise _Broken(_TOO_MANY)
    raise _Broken(f"{CUT_SHORT} (its end mark is missing)")


def _walk_heic(data: bytes) -> None:
    """Check every box, and every stretch of the item index, against the file's length.

    ISO/IEC 14496-12: boxes 4.2, 'meta' 8.11.1, 'iloc' 8.11.3, 'idat' 8.11.11 (clause numbers
    from memory).
    """
    top = list(_boxes(data, 0, len(data)))
    metas = [(start, end) for name, start, end in top if name == b"meta"]
    if not metas:
        raise _Broken(f"{CUT_SHORT} (it holds no index of its pictures)")
    for start, end in metas:
        inner = list(_boxes(data, start + 4, end))
        inline = sum(stop - begin for name, begin, stop in inner if name == b"idat")
        for name, begin, stop in inner:
            if name == b"iloc":
                _check_items(_Cursor(data, begin, stop), len(data), inline)


def _boxes(data: bytes, start: int, end: int) -> Iterator[tuple[bytes, int, int]]:
    """Yield (name, body start, end) of each box in a stretch of the file."""
    at = start
    for _ in range(MOST_PIECES):
        if at >= end:
            return
        cursor = _Cursor(data, at, end)
        size, name = cursor.number(4), data[at + 4 : at + 8]
        cursor.number(4)
        if size == 1:
            size = cursor.number(8)
        stop = end if size == 0 else at + size
        if stop > end:
            raise _Broken(f"{CUT_SHORT} ({stop - end} bytes are missing)")
        if stop < cursor.at:
            raise _Broken("is damaged (a box inside it is smaller than its own head)")
        yield name, cursor.at, stop
        at = stop
    raise _Broken(_TOO_MANY)


class _Cursor:
    """Reads big-endian numbers from a stretch and refuses to read past its end."""

    def __init__(self, data: bytes, at: int, end: int) -> None:
        self.data, self.at, self.end = data, at, end

    def number(self, size: int) -> int:
        if self.at + size > self.end:
            raise _Broken(f"{CUT_SHORT} (an index inside it has no end)")
        value = int.from_bytes(self.data[self.at : self.at + size])
        self.at += size
        return value


def _check_items(cursor: _Cursor, file_length: int, inline_length: int) -> None:
    """Check every stretch that an 'iloc' box names."""
    version = cursor.number(4) >> 24
    sizes = cursor.number(2)
    offset_size, length_size = sizes >> 12, sizes >> 8 & 15
    base_size, index_size = sizes >> 4 & 15, sizes & 15
    wide = 4 if version == 2 else 2  # noqa: PLR2004 - the version that widened the item numbers
    pieces = 0
    for _ in range(cursor.number(wide)):
        cursor.number(wide)
        method = cursor.number(2) & 15 if version else 0
        elsewhere = cursor.number(2)
        base = cursor.number(base_size)
        stretches = cursor.number(2)
        if stretches > 1 and not (offset_size or length_size):
            # Costs the file nothing and us 65535 turns per item: a trap, not a picture.
            raise _Broken("is damaged (its index repeats itself)")
        pieces += 1 + stretches
        if pieces > MOST_PIECES:
            raise _Broken(_TOO_MANY)
        for _ in range(stretches):
            if version and index_size:
                cursor.number(index_size)
            stop = base + cursor.number(offset_size) + cursor.number(length_size)
            room = {0: file_length, 1: inline_length}.get(method, stop)
            if not elsewhere and stop > room:
                raise _Broken(f"{CUT_SHORT} ({stop - room} bytes are missing)")
