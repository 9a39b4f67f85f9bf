"""Bytes -> other bytes that are nearly right: what a bad card or a stranger may make of them.

Everything follows from the seed, so a mutant is named by (seed, number) and made again at will.
"""

import random
import struct
import zlib
from collections.abc import Callable, Iterator, Sequence

Change = Callable[[bytearray, random.Random], None]
# Edges of the widths that lengths and sizes are written in.
_ODD = (0, 1, 2, 0x7F, 0x80, 0xFF, 0x7FFF, 0x8000, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF)
_PNG_START = b"\x89PNG\r\n\x1a\n"


def mutants(seeds: Sequence[bytes], seed: int) -> Iterator[bytes]:
    """Yield mutants without end: one to four changes of a seed each."""
    number = 0
    while True:
        yield mutant(seeds, seed, number)
        number += 1


def mutant(seeds: Sequence[bytes], seed: int, number: int) -> bytes:
    """Return the mutant of this number."""
    chance = random.Random(f"{seed} {number}")  # noqa: S311 - places, no secrets
    data = bytearray(chance.choice(seeds))
    for _ in range(chance.choice((1, 1, 2, 4))):
        chance.choice(_CHANGES)(data, chance)
    if data.startswith(_PNG_START) and chance.random() < 0.7:
        _mend_check_sums(data)  # else nearly every mutant ends at the first check sum
    if chance.random() < 0.1:
        other = chance.choice(seeds)
        data += other[chance.randrange(len(other)) :]
    return bytes(data)


def _place(data: bytearray, chance: random.Random) -> int:
    """Return a place, more often near the beginning, where the sizes stand."""
    within = min(len(data), 400) if chance.random() < 0.6 else len(data)
    return chance.randrange(within) if within else 0


def _flip(data: bytearray, chance: random.Random) -> None:
    if data:
        data[_place(data, chance)] ^= 1 << chance.randrange(8)


def _random_bytes(data: bytearray, chance: random.Random) -> None:
    at = _place(data, chance)
    data[at : at + chance.choice((1, 2, 4, 16))] = chance.randbytes(chance.choice((1, 2, 4, 16)))


def _odd_number(data: bytearray, chance: random.Random) -> None:
    at, odd = _place(data, chance), chance.choice(_ODD)
    width = 1 if odd < 0x100 else 2 if odd < 0x10000 else 4
    width = max(width, chance.choice((1, 2, 4)))
    data[at : at + width] = odd.to_bytes(width, chance.choice(("big", "little")))


def _cut_out(data: bytearray, chance: random.Random) -> None:
    at = _place(data, chance)
    del data[at : at + chance.choice((1, 2, 8, 64, 1024))]


def _cut_off(data: bytearray, chance: random.Random) -> None:
    del data[chance.randrange(len(data) + 1) :]


def _again(data: bytearray, chance: random.Random) -> None:
    at = _place(data, chance)
    data[at:at] = data[at : at + chance.choice((2, 16, 128))] * chance.choice((1, 2, 50))


def _zeros(data: bytearray, chance: random.Random) -> None:
    at, size = _place(data, chance), chance.choice((4, 64, 512))
    data[at : at + size] = bytes(min(size, max(0, len(data) - at)))


def _moved(data: bytearray, chance: random.Random) -> None:
    at, to = _place(data, chance), _place(data, chance)
    piece = data[at : at + 32]
    data[to : to + len(piece)] = piece


_CHANGES: tuple[Change, ...] = (
    _flip, _flip, _random_bytes, _odd_number, _odd_number, _cut_out, _cut_off, _again, _zeros,
    _moved,
)  # fmt: skip


def _mend_check_sums(data: bytearray) -> None:
    """Make every check sum of a PNG right again, as far as its pieces can be followed."""
    at = len(_PNG_START)
    while at + 12 <= len(data):
        end = at + 8 + int.from_bytes(data[at : at + 4])
        if end + 4 > len(data):
            return
        data[end : end + 4] = struct.pack(">I", zlib.crc32(data[at + 4 : end]))
        at = end + 4
