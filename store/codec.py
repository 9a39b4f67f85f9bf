"""Record <-> canonical bytes.

One entry is one line of JSON in the canonical form of RFC 8785, UTF-8, ended by LF, with the
members ``seq, prev, salt, at, bench, by, kind, body``. The line IS the record: its hash is the
SHA-256 of the line with its LF, and it is stored, hashed and handed on as it is.

Measured values (every float) are decimal strings, the shortest that give the same double again
(Python's repr, which is the digits of RFC 8785 for doubles too); integers beyond 2^53 - 1 are
strings as well, because RFC 8785 can't carry them. A line with a duplicate key, a number with a
fraction or an exponent, NaN, Infinity, a lone surrogate, or nesting beyond DEPTH is refused.

There are two readers. ``decode`` looks at a line closely, whoever wrote it, and is what ``verify``
uses. ``decode_own`` is for a book's own reading of itself: a line that reads as its kind with every
measured value a text, and is the same bytes when written again, has nothing in it that the close
look refuses (no second key of one name, no blank between words, no bare fraction, no depth), so
it may be read at once into its record. Every other line is left to ``decode``.
"""

import hashlib
import json
import re
from collections.abc import Iterator
from functools import cache, reduce
from math import isfinite
from operator import or_
from typing import Any, Literal, get_args, get_origin, get_type_hints

import msgspec
import rfc8785
from msgspec import Struct

from annotate.errors import AnnotateError
from store.errors import BadRecord, StoreError
from store.evidence import Evidence

FIRST_PREV = "0" * 64
DEPTH = 24
LONGEST_LINE = 16_000_000
MEMBERS = ("seq", "prev", "salt", "at", "bench", "by", "kind", "body")

_KINDS: dict[str, type[Evidence]] = {
    str(record.__struct_config__.tag): record for record in get_args(Evidence)
}
_HASH = re.compile("[0-9a-f]{64}")
_SALT = re.compile("[0-9a-f]{32}")
_BENCH = re.compile("[a-z0-9-]{1,32}")
_STRING = re.compile(rb'"(?:[^"\\]|\\.)*"')
_SURROGATE = re.compile(rb"\\u[dD][89a-fA-F]")
_UNFINITE = re.compile(rb'"[-+]?(?:nan|inf)', re.IGNORECASE)
_SMALL = bytes(range(256)).lower()
_TAIL = re.compile(
    rb'"kind":"([a-z -]{1,40})","prev":"[0-9a-f]{64}","salt":"[0-9a-f]{32}",'
    rb'"seq":[1-9][0-9]{0,15}}\n\Z'
)
_LARGEST_INTEGER = 2**53 - 1
_Decoder = msgspec.json.Decoder[Any]
_NO_BRACKETS = bytes(byte for byte in range(256) if byte not in b"[]{}")


class Entry(Struct, frozen=True):
    """One line of the ledger, read. ``line`` are its stored bytes, LF included.

    ``prev`` is the hash of the bench's previous line (64 zeros at first), ``salt`` 128 random
    bits in hex so that an omitted line can't be guessed from its hash. ``at`` is only a claim.
    """

    seq: int
    prev: str
    salt: str
    at: str
    bench: str
    by: str
    evidence: Evidence
    line: bytes
    hash: str

    @property
    def kind(self) -> str:
        """The record's word: "reading", "marked", "judged" and so on."""
        return kind_of(self.evidence)


def kind_of(evidence: Evidence) -> str:
    """Return the word for a record: "reading", "marked", "judged" and so on."""
    return str(evidence.__struct_config__.tag)


def kinds() -> tuple[str, ...]:
    """Return every kind of record there is."""
    return tuple(_KINDS)


def hash_of(line: bytes) -> str:
    """Return the SHA-256 of a line, LF included, as 64 hex digits."""
    return hashlib.sha256(line).hexdigest()


def checked_bench(text: str) -> str:
    """Return a bench's name unchanged; raises BadRecord unless it is [a-z0-9-]{1,32}."""
    if not _BENCH.fullmatch(text):
        raise BadRecord(
            f"{text!r} is not a bench name: small letters, figures and -, at most 32 of them"
        )
    return text


def encode(
    evidence: Evidence, *, seq: int, prev: str, salt: str, at: str, bench: str, by: str
) -> Entry:
    """Return the entry for a record: its canonical line and that line's hash.

    The record comes back as a reader will get it (an int where a float is meant turns into a
    float). Raises BadRecord for a value that the record's type does not allow, and for NaN and
    Infinity.
    """
    normal = _checked(evidence)
    body = _as_text(msgspec.to_builtins(normal))
    del body["type"]
    line_values = {
        "seq": seq, "prev": prev, "salt": salt, "at": at,
        "bench": checked_bench(bench), "by": by, "kind": kind_of(normal), "body": body,
    }  # fmt: skip
    try:
        line = rfc8785.dumps(line_values) + b"\n"
    except (rfc8785.CanonicalizationError, UnicodeError) as error:
        raise BadRecord(f"this can't be written as JSON: {error}") from error
    return Entry(seq, prev, salt, at, bench, by, normal, line, hash_of(line))


def decode(line: bytes) -> Entry:
    """Return the entry that a stored line is; raises BadRecord saying what is wrong with it.

    What the line says is taken as it stands: whether it is in canonical form and sits in its
    chain is for ``verify``.
    """
    return _entry(line, _parsed(line))


def decode_own(line: bytes) -> Entry:
    """Return what ``decode`` returns, many times faster for a line as ``encode`` writes it."""
    # Keys are sorted: what comes last is no part of the body, whatever a hand typed there.
    tail = _TAIL.match(line, line.rfind(b'"kind":"'))
    readers = _readers_of(tail[1]) if tail else None
    if readers is None or len(line) > LONGEST_LINE:
        return decode(line)
    form, record = readers
    try:
        if _WRITER.encode(form.decode(line)) + b"\n" != line:
            return decode(line)
        read = record.decode(line)
    except (ValueError, RecursionError, AnnotateError, StoreError):
        return decode(line)
    _known_bench(read.bench)
    _refuse_unfinite(line, read.body)
    return Entry(
        read.seq, read.prev, read.salt, read.at, read.bench, read.by, read.body, line,
        hash_of(line),
    )  # fmt: skip


def _entry(line: bytes, values: dict[str, Any]) -> Entry:
    if set(values) != set(MEMBERS):
        raise BadRecord(f"an entry has the members {', '.join(MEMBERS)} and no others")
    head = _head(values)
    if not (isinstance(values["kind"], str) and values["kind"] in _KINDS):
        raise BadRecord(f"unknown kind of entry {values['kind']!r}")
    record = _KINDS[values["kind"]]
    try:
        evidence = msgspec.convert(values["body"], record, strict=False)
    except (msgspec.ValidationError, AnnotateError, StoreError) as error:
        raise BadRecord(f"not a sound {values['kind']!r} record: {error}") from error
    _refuse_unfinite(line, evidence)
    return Entry(**head, evidence=evidence, line=line, hash=hash_of(line))


def _refuse_unfinite(line: bytes, evidence: Evidence) -> None:
    # msgspec reads "nan" as a float; look closer only where a text starts like that.
    small = line.translate(_SMALL, b"+-")
    if (b'"nan' in small or b'"inf' in small) and _UNFINITE.search(line):
        _as_text(msgspec.to_builtins(evidence))


def _head(values: dict[str, Any]) -> dict[str, Any]:
    texts = {name: values[name] for name in ("prev", "salt", "at", "bench", "by")}
    if not all(isinstance(text, str) for text in texts.values()):
        raise BadRecord("prev, salt, at, bench and by are texts")
    seq = values["seq"]
    if isinstance(seq, bool) or not isinstance(seq, int) or seq < 1:
        raise BadRecord("seq counts from 1")
    if not (_HASH.fullmatch(texts["prev"]) and _SALT.fullmatch(texts["salt"])):
        raise BadRecord("prev is 64 hex digits and salt 32")
    checked_bench(texts["bench"])
    return {"seq": seq, **texts}


def _checked(evidence: Evidence) -> Evidence:
    """Return the record as a reader will see it: constructors do not validate, this does."""
    try:
        plain = msgspec.to_builtins(evidence, enc_hook=_plain_number)
        return msgspec.convert(plain, _KINDS[kind_of(evidence)])
    except (msgspec.ValidationError, TypeError, AnnotateError, StoreError) as error:
        raise BadRecord(f"not a sound {kind_of(evidence)!r} record: {error}") from error


def _plain_number(value: Any) -> int | float:  # noqa: ANN401 - msgspec hands over anything
    # numpy scalars, without importing numpy
    number = value.item() if hasattr(value, "item") else None
    if isinstance(number, int | float):
        return number
    raise TypeError(f"{type(value).__name__} has no place in a record")


def _as_text(value: Any) -> Any:  # noqa: ANN401 - JSON is any of its seven forms
    """Return a JSON value with every float, and every integer out of range, as a string."""
    if isinstance(value, dict):
        return {key: _as_text(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_as_text(inner) for inner in value]
    if isinstance(value, float):
        if not isfinite(value):
            raise BadRecord(f"{value} is not a number that can be kept")
        return repr(value)
    if isinstance(value, int) and abs(value) > _LARGEST_INTEGER:
        return str(value)
    return value


def _parsed(line: bytes) -> dict[str, Any]:
    if len(line) > LONGEST_LINE:
        raise BadRecord(f"a line of {len(line)} bytes; the longest allowed is {LONGEST_LINE}")
    if not line.endswith(b"\n") or b"\n" in line[:-1]:
        raise BadRecord("an entry is one line and ends with LF")
    if _SURROGATE.search(line):
        raise BadRecord("half a surrogate pair, or a pair written as escapes")
    if max(_depths(line), default=0) > DEPTH:
        raise BadRecord(f"nested deeper than {DEPTH}")
    try:
        values = json.loads(
            line.decode("utf-8"),
            object_pairs_hook=_without_duplicates,
            parse_constant=_refuse_number,
            parse_float=_refuse_number,
        )
    except ValueError as error:
        raise BadRecord(f"not JSON: {error}") from error
    if not isinstance(values, dict):
        raise BadRecord("an entry is a JSON object")
    return values


def _depths(line: bytes) -> Iterator[int]:
    depth = 0
    for byte in _STRING.sub(b"", line).translate(None, _NO_BRACKETS):
        if byte in b"[{":
            depth += 1
            yield depth
        else:
            depth -= 1


def _without_duplicates(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    values = dict(pairs)
    if len(values) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise BadRecord(f"the key {twice!r} is there twice")
    return values


def _refuse_number(text: str) -> None:
    raise BadRecord(f"the bare number {text}: measured values are decimal strings")


@cache
def _readers_of(word: bytes) -> tuple[_Decoder, _Decoder] | None:
    """Return what reads a line of this kind as texts and as its record, None for no known kind."""
    record = _KINDS.get(word.decode("utf-8", "replace"))
    return (_reader(text_form(record)), _reader(record, strict=False)) if record else None


def _reader(body: Any, *, strict: bool = True) -> _Decoder:  # noqa: ANN401 - a type
    texts: list[tuple[str, Any]] = [(name, str) for name in MEMBERS]
    members = [*(each for each in texts if each[0] not in {"seq", "body"}), ("seq", int)]
    line = msgspec.defstruct("Line", [*members, ("body", body)], forbid_unknown_fields=True)
    return msgspec.json.Decoder(line, strict=strict)


def text_form(kind: Any) -> Any:  # noqa: ANN401 - types in, types out
    """Return the type of a record's JSON: as the record, each member optional, floats as texts."""
    if kind is float:
        return str
    if isinstance(kind, type) and issubclass(kind, Struct):
        return _struct_form(kind)
    inner = tuple(text_form(each) for each in get_args(kind))
    origin = get_origin(kind)
    if origin is Literal:
        return str
    if origin is tuple:
        return tuple.__class_getitem__(inner)
    return reduce(or_, inner) if inner else kind


def _struct_form(kind: type[Struct]) -> Any:  # noqa: ANN401 - the same
    tag = kind.__struct_config__.tag if kind not in _KINDS.values() else None
    hints = get_type_hints(kind)
    members = [
        (name, text_form(hints[name]) | msgspec.UnsetType, msgspec.UNSET)
        for name in kind.__struct_fields__
    ]
    return msgspec.defstruct(kind.__name__, members, forbid_unknown_fields=True, tag=tag)


_known_bench = cache(checked_bench)
_WRITER = msgspec.json.Encoder(order="sorted")
