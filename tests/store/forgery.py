"""Rewrite a book as a forger would who holds the whole folder: the chain and the heads anew."""

import sqlite3
from collections.abc import Callable
from pathlib import Path

import msgspec

from store.codec import FIRST_PREV, Entry, decode, encode
from store.evidence import Derived, Evidence, Judged, Marked, Read, Struck
from store.ledger import FILE_NAME, HEADS_NAME

Forge = Callable[[Entry], Evidence | None]


def lines_of(root: Path) -> list[bytes]:
    database = sqlite3.connect(root / FILE_NAME)
    lines = [row[0] for row in database.execute("SELECT line FROM entries ORDER BY id")]
    database.close()
    return lines


def put_lines(root: Path, rows: list[tuple[str, int, str, bytes]]) -> None:
    """Replace every row of the ledger, guard rail and all."""
    database = sqlite3.connect(root / FILE_NAME)
    triggers = database.execute("SELECT name, sql FROM sqlite_master WHERE type='trigger'")
    guards = triggers.fetchall()
    for name, _ in guards:
        database.execute(f"DROP TRIGGER {name}")
    database.execute("DELETE FROM entries")
    database.executemany("INSERT INTO entries (bench, seq, hash, line) VALUES (?, ?, ?, ?)", rows)
    for _, sql in guards:
        database.execute(sql)
    database.commit()
    database.close()


def as_rows(entries: list[Entry]) -> list[tuple[str, int, str, bytes]]:
    return [(entry.bench, entry.seq, entry.hash, entry.line) for entry in entries]


def redo(root: Path, forge: Forge, *, heads: bool = True) -> None:
    """Write the chain anew with each record as ``forge`` returns it (None drops the entry).

    Citations follow their entries, so that only what was forged is wrong.
    """
    new: list[Entry] = []
    renamed: dict[str, str] = {}
    for line in lines_of(root):
        old = decode(line)
        record = forge(old)
        if record is None:
            continue
        entry = encode(
            _following(record, renamed), seq=len(new) + 1,
            prev=new[-1].hash if new else FIRST_PREV, salt=old.salt, at=old.at, bench=old.bench,
            by=old.by,
        )  # fmt: skip
        renamed[old.hash] = entry.hash
        new.append(entry)
    put_lines(root, as_rows(new))
    if heads:
        notes = [f"{entry.bench} {entry.seq} {entry.hash}\n" for entry in new]
        (root / HEADS_NAME).write_text("".join(notes))


def _following(record: Evidence, renamed: dict[str, str]) -> Evidence:
    """Return a record that cites the entries as they are called now."""

    def now(cited: str) -> str:
        return renamed.get(cited, cited)

    match record:
        case Judged(subject=cited):
            return msgspec.structs.replace(record, subject=now(cited))
        case Struck(entry=cited):
            return msgspec.structs.replace(record, entry=now(cited))
        case Derived(from_entries=cited, decisive=decisive):
            every, those = tuple(map(now, cited)), tuple(map(now, decisive))
            return msgspec.structs.replace(record, from_entries=every, decisive=those)
        case Read(zero=zero) if zero is not None:
            size = msgspec.structs.replace(zero, entry=now(zero.entry))
            return msgspec.structs.replace(record, zero=size)
        case Marked(second_to=cited) if cited:
            return msgspec.structs.replace(record, second_to=now(cited))
    return record
