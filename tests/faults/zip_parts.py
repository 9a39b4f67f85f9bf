"""Which bits of a zip no file is made of: read from its headers by hand.

After PKWARE's APPNOTE 6.3 (4.3.7 local header, 4.3.12 central directory) and RFC 1951 (a deflated
file ends with a bit, and the rest of its last byte stands for nothing).
"""

import struct
import zlib
from functools import cache
from typing import NamedTuple

_LOCAL_BYTES, _CENTRAL_BYTES, _END_BYTES = 30, 46, 22
# What only says how the zip was made.
_LOCAL = {
    "the version that a program needs to unpack a file": range(4, 6),
}
_CENTRAL = {
    "the program that made the zip": range(4, 6),
    "the version that a program needs to unpack a file": range(6, 8),
    "whether a file is said to be text": range(36, 38),
    "who may read the unpacked file": range(38, 42),
}
_SAME_BYTES = "a bit after the end of a deflated file: the very same bytes come out"


class _Packed(NamedTuple):
    begin: int
    end: int
    is_deflated: bool


def harmless(content: bytes, place: int, bit: int) -> str:
    """Return why a flipped bit of a zip changes no file's name and no byte of it, or nothing."""
    fields, files = _parts(content)
    for reason, where in fields:
        if place in where:
            return reason
    for packed in files:
        if packed.begin <= place < packed.end and packed.is_deflated:
            return _SAME_BYTES if _gives_the_same(content, packed, place, bit) else ""
    return ""


@cache
def _parts(content: bytes) -> tuple[list[tuple[str, range]], list[_Packed]]:
    """Return the fields that no file is made of, and where the packed bytes of each file lie."""
    fields: list[tuple[str, range]] = []
    files: list[_Packed] = []
    at = int.from_bytes(content[-_END_BYTES:][16:20], "little")
    while content[at : at + 4] == b"PK\x01\x02":
        local = int.from_bytes(content[at + 42 : at + 46], "little")
        for begin, named in ((at, _CENTRAL), (local, _LOCAL)):
            fields += [
                (why, range(begin + where.start, begin + where.stop))
                for why, where in named.items()
            ]
        files.append(_packed(content, at, local))
        at += _CENTRAL_BYTES + sum(struct.unpack("<3H", content[at + 28 : at + 34]))
    return fields, files


def _packed(content: bytes, central: int, local: int) -> _Packed:
    name, extra = struct.unpack("<2H", content[local + 26 : local + 30])
    begin = local + _LOCAL_BYTES + name + extra
    size = int.from_bytes(content[central + 20 : central + 24], "little")
    method = int.from_bytes(content[central + 10 : central + 12], "little")
    return _Packed(begin, begin + size, method == 8)


def _gives_the_same(content: bytes, packed: _Packed, place: int, bit: int) -> bool:
    before = content[packed.begin : packed.end]
    at = place - packed.begin
    after = before[:at] + bytes([before[at] ^ bit]) + before[at + 1 :]
    try:
        return zlib.decompress(after, wbits=-15) == zlib.decompress(before, wbits=-15)
    except zlib.error:
        return False
