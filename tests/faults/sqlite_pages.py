"""Which bytes of a database hold nothing: read from the pages themselves, not asked of SQLite.

After "Database File Format", sqlite.org/fileformat2.html (sections 1.3 header, 1.5 freelist,
1.6 b-tree pages and cells, 2.1 records); read here by hand, so that it can judge what SQLite reads.
"""

from collections.abc import Iterator

HEADER_BYTES = 100
# Section 1.3: who may write; change counter; schema cookie to default cache size; text encoding
# (of which SQLite reads two bits); reserved, version-valid-for and version number.
COUNTERS = frozenset({18, *range(24, 28), *range(40, 52), *range(56, 60), *range(72, 100)})
_TABLE_LEAF, _TABLE_INNER, _INDEX_LEAF, _INDEX_INNER = 13, 5, 10, 2

NOTHING_KEPT = "no part of any row: SQLite keeps nothing there"
COUNTER = "a counter or a setting in the database's header, of which no row is made"
ROW_NUMBER = "the place of the row number in its record, which SQLite takes from elsewhere"
SCHEMA_ROW = "the number of a row of the schema, or the page of a trigger, which has none"


def unused(content: bytes) -> dict[int, str]:
    """Return the places of a database that no row and no structure needs, each with why."""
    pages = _Pages(content)
    used = pages.used()
    found = {place: NOTHING_KEPT for place in range(len(content)) if place not in used}
    found |= dict.fromkeys(pages.row_numbers, ROW_NUMBER)
    found |= dict.fromkeys(pages.schema_rows, SCHEMA_ROW)
    return found | dict.fromkeys(COUNTERS, COUNTER)


class _Pages:
    def __init__(self, content: bytes) -> None:
        self._content = content
        self._size = int.from_bytes(content[16:18], "big")
        self.row_numbers: set[int] = set()
        self.schema_rows: set[int] = set()

    def used(self) -> set[int]:
        """Return every place that is part of a page's structure or of a row."""
        found = set(range(HEADER_BYTES))
        waiting = [1]
        seen: set[int] = set()
        while waiting:
            page = waiting.pop()
            if page in seen:
                continue
            seen.add(page)
            for begin, end in self._tree_page(page, waiting):
                found |= set(range(begin, end))
        for begin, end in self._freelist():
            found |= set(range(begin, end))
        return found

    def _tree_page(self, page: int, waiting: list[int]) -> Iterator[tuple[int, int]]:
        start = (page - 1) * self._size
        head = start + (HEADER_BYTES if page == 1 else 0)
        kind, cells = self._content[head], self._number(head + 3, 2)
        is_inner = kind in {_TABLE_INNER, _INDEX_INNER}
        pointers = head + (12 if is_inner else 8)
        yield head, pointers + 2 * cells
        if is_inner:
            waiting.append(self._number(head + 8, 4))
        free = self._number(head + 1, 2)
        while free:
            yield start + free, start + free + 4
            free = self._number(start + free, 2)
        for number in range(cells):
            cell = start + self._number(pointers + 2 * number, 2)
            at = cell
            if is_inner:
                waiting.append(self._number(cell, 4))
                at += 4
            yield from self._cell(page, kind, cell, at, waiting)

    def _cell(
        self, page: int, kind: int, cell: int, at: int, waiting: list[int]
    ) -> Iterator[tuple[int, int]]:
        size, at = self._varint(at)
        if kind == _TABLE_INNER:  # what was read is the row's number, and there is nothing else
            yield cell, at
            return
        if kind == _TABLE_LEAF:
            number = at
            _, at = self._varint(at)
            if page == 1:
                self.schema_rows |= set(range(number, at))
            self._record(page, at, waiting)
        local = self._local(kind, size)
        # A cell takes at least four bytes, so that it can become a free block.
        yield cell, max(cell + 4, at + local + (4 if local < size else 0))
        overflow, left = (self._number(at + local, 4) if local < size else 0), size - local
        while overflow:
            begin = (overflow - 1) * self._size
            here = min(left, self._size - 4)
            yield begin, begin + 4 + here
            overflow, left = self._number(begin, 4), left - here

    def _record(self, page: int, at: int, waiting: list[int]) -> None:
        """Note the row number's place in a row of ours, and the root page in one of the schema."""
        header, first = self._varint(at)
        kinds, places, place = [], list[int](), first
        while place < at + header:
            places.append(place)
            kind, place = self._varint(place)
            kinds.append(kind)
        if page != 1:
            self.row_numbers.add(first)
            return
        widths = [_width(kind) for kind in kinds]
        if self._content[at + header :].startswith(b"trigger"):
            self.schema_rows.add(places[3])
            return
        root = at + header + sum(widths[:3])
        page_number = self._number(root, widths[3])
        if page_number:
            waiting.append(page_number)

    def _local(self, kind: int, size: int) -> int:
        """Return how many bytes of a payload lie in its own page (section 1.6)."""
        usable = self._size
        largest = usable - 35 if kind == _TABLE_LEAF else (usable - 12) * 64 // 255 - 23
        least = (usable - 12) * 32 // 255 - 23
        if size <= largest:
            return size
        some = least + (size - least) % (usable - 4)
        return some if some <= largest else least

    def _freelist(self) -> Iterator[tuple[int, int]]:
        trunk = self._number(32, 4)
        while trunk:
            begin = (trunk - 1) * self._size
            yield begin, begin + 8 + 4 * self._number(begin + 4, 4)
            trunk = self._number(begin, 4)

    def _number(self, at: int, size: int) -> int:
        return int.from_bytes(self._content[at : at + size], "big")

    def _varint(self, at: int) -> tuple[int, int]:
        value = 0
        for place in range(at, at + 8):
            byte = self._content[place]
            value = value << 7 | byte & 0x7F
            if byte < 0x80:
                return value, place + 1
        return value << 8 | self._content[at + 8], at + 9


def _width(kind: int) -> int:
    """Return how many bytes a value of this serial type takes (section 2.1)."""
    if kind >= 12:
        return (kind - 12) // 2
    return (0, 1, 2, 3, 4, 6, 8, 8, 0, 0)[kind]
