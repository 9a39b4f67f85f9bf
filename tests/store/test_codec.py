"""Record <-> canonical bytes."""

import json
import struct
from decimal import Decimal
from typing import Any

import msgspec
import numpy as np
import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from annotate.quantity import Quantity
from annotate.result import Coverage, Known, Parallax, Unknown
from store.characteristic import Limit
from store.codec import DEPTH, FIRST_PREV, Entry, decode, encode, hash_of, kinds
from store.errors import BadRecord
from store.evidence import (
    Closed,
    CloseRefused,
    Derived,
    Evidence,
    JobStarted,
    Judged,
    PhotoTaken,
    Read,
    Struck,
    Waiver,
)
from store.judge import judge
from store.verdict import Verdict
from tests.store.small_job import marks, plan

SALT = "0123456789abcdef" * 2


def entry(evidence: Evidence, **changes: Any) -> Entry:
    head = {
        "seq": 1, "prev": FIRST_PREV, "salt": SALT, "at": "2026-03-02T09:00:00+01:00",
        "bench": "north", "by": "R. Tamm",
    }  # fmt: skip
    return encode(evidence, **(head | changes))


STRUCK = entry(Struck(entry="ab" * 32, reason="wrong plug"))

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
numbers = st.floats(allow_nan=False, allow_infinity=False)
quantities = st.builds(
    Quantity,
    value=numbers,
    unit=st.sampled_from(["mm", "in", "1", "%"]),
    u=st.floats(0, 1e300),
    dof=st.none() | st.floats(1, 1e6),
)
results = st.builds(Known, quantities) | st.builds(Unknown, texts)
coverages = st.builds(
    Coverage,
    **dict.fromkeys(
        ("covered", "open", "covered_of_near", "covered_of_far", "open_area",
         "equivalent_diameter", "offset", "offset_clock", "largest_pin",
         "line_of_sight", "uncorrected"),
        results,
    ),
    parallax=st.builds(Parallax, results, results, results),
)  # fmt: skip
records = st.one_of(
    st.just(JobStarted(plan=plan(), version="0.1.0")),
    st.builds(PhotoTaken, photo=texts, suffix=texts, bytes_count=st.integers(0, 2**60),
              file_name=texts, location=texts, role=st.just("fitted"),
              focal_35mm=st.none() | numbers),
    st.builds(Read, key=texts, text=texts, quantity=st.none() | quantities, exact=texts,
              answer=st.none() | st.booleans(), face=texts),
    st.builds(lambda result, seed: msgspec.structs.replace(marks("ab" * 32), result=result,
              seed=seed), coverages, st.integers(0, 2**64)),
    st.builds(Judged, texts, texts, st.builds(Verdict, st.just("outside"),
              st.just(Limit("own", at_most=Quantity(0.5, "mm"))), st.none() | numbers, numbers)),
    st.builds(Derived, key=texts, quantity=quantities, from_entries=st.tuples(texts, texts)),
    st.builds(Struck, entry=texts, reason=texts),
    st.builds(Waiver, texts, texts, texts, texts, texts),
    st.builds(CloseRefused, texts, st.lists(st.tuples(texts, texts)).map(tuple)),
    st.builds(Closed, texts),
)  # fmt: skip


@given(records)
def test_a_record_read_back_is_the_record_and_gives_the_same_bytes(evidence: Evidence) -> None:
    written = entry(evidence)
    again = decode(written.line)
    assert again == written
    assert again.evidence == evidence
    assert again.kind in kinds()
    assert encode(
        again.evidence, seq=again.seq, prev=again.prev, salt=again.salt, at=again.at,
        bench=again.bench, by=again.by,
    ).line == written.line  # fmt: skip


@given(records)
def test_a_line_is_canonical_utf_8_json_without_a_bare_fraction(evidence: Evidence) -> None:
    line = entry(evidence).line
    values = json.loads(line, parse_float=pytest.fail)
    assert rfc8785.dumps(values) + b"\n" == line
    assert "\n" not in line.decode("utf-8")[:-1]
    assert set(values) == {"seq", "prev", "salt", "at", "bench", "by", "kind", "body"}


def test_a_verdict_keeps_every_digit() -> None:
    verdict = judge(Quantity(1 / 3, "mm", u=0.1, dof=7), Limit("own", at_most=Quantity(0.5, "mm")))
    judged = Judged("P3.bore", "cd" * 32, verdict)
    assert decode(entry(judged).line).evidence == judged


# RFC 8785 (2020) Appendix B, the doubles' bits and how they are written.
@pytest.mark.parametrize(
    ("bits", "text"),
    [
        ("0000000000000001", "5e-324"),
        ("7fefffffffffffff", "1.7976931348623157e+308"),
        ("4340000000000001", "9007199254740994"),
        ("44b52d02c7e14af5", "9.999999999999997e+22"),
        ("444b1ae4d6e2ef4f", "999999999999999900000"),
        ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
        ("41b3de4355555553", "333333333.3333332"),
        ("41b3de4355555557", "333333333.33333343"),
        ("becbf647612f3696", "-0.0000033333333333333333"),
        ("43143ff3c1cb0959", "1424953923781206.2"),
    ],
)
def test_a_measured_value_has_the_digits_of_rfc_8785_as_a_text(bits: str, text: str) -> None:
    value = struct.unpack(">d", bytes.fromhex(bits))[0]
    line = entry(Derived("k", Quantity(value, "mm"), ("a", "b"))).line
    kept = json.loads(line)["body"]["quantity"]["value"]
    assert isinstance(kept, str)
    assert Decimal(kept) == Decimal(text)
    assert float(kept) == value


def test_members_are_sorted_by_utf_16_as_in_rfc_8785_section_3_2_3() -> None:
    # the key order of the RFC's own sorting example: emoji before Hebrew
    keys = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]
    ordered = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
    assert list(json.loads(rfc8785.dumps(dict.fromkeys(keys, 0)))) == ordered


def test_strings_are_escaped_as_in_rfc_8785_section_3_2_2_2() -> None:
    # the RFC's example string, from memory
    reason = '\u20ac$\u000f\nA\'B"\\\\"/'
    line = entry(Struck(entry="e", reason=reason)).line.decode()
    assert '"reason":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"' in line


def test_hash_is_the_sha_256_of_the_line_with_its_lf() -> None:
    # FIPS 180-4 example: SHA-256("abc")
    expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert hash_of(b"abc") == expected
    assert STRUCK.hash == hash_of(STRUCK.line)
    assert STRUCK.line.endswith(b"\n")


def test_an_int_where_a_float_is_meant_comes_back_as_a_float() -> None:
    written = entry(Derived("k", Quantity(8, "mm", u=1), ("a", "b")))
    assert b'"value":"8.0"' in written.line
    assert decode(written.line).line == written.line


def test_integers_beyond_what_json_carries_are_texts() -> None:
    # RFC 8785 section 3.2.2.3 and RFC 7493: exact up to 2^53 - 1
    largest = 2**53 - 1
    for seed, kept in [(largest, largest), (largest + 1, str(2**53)), (2**64, str(2**64))]:
        line = entry(msgspec.structs.replace(marks("ab" * 32), seed=seed)).line
        assert json.loads(line)["body"]["seed"] == kept
        assert decode(line).evidence.seed == seed  # type: ignore[union-attr]


def test_numpy_numbers_are_kept_as_plain_ones() -> None:
    written = entry(Derived("k", Quantity(np.float64(1.5), "mm", u=np.float32(0.5)), ("a", "b")))
    assert written.evidence == Derived("k", Quantity(1.5, "mm", u=0.5), ("a", "b"))


@pytest.mark.parametrize("value", [float("inf"), float("-inf"), float("nan")])
def test_what_is_no_number_is_not_written(value: float) -> None:
    with pytest.raises(BadRecord, match="not a number that can be kept"):
        entry(msgspec.structs.replace(_photo(), focal_35mm=value))


def test_a_record_with_a_value_of_the_wrong_type_is_not_written() -> None:
    with pytest.raises(BadRecord, match="not a sound 'struck' record"):
        entry(Struck(entry="e", reason=5))  # type: ignore[arg-type]
    with pytest.raises(BadRecord, match="not a sound 'photo taken' record"):
        entry(msgspec.structs.replace(_photo(), role="a selfie"))
    with pytest.raises(BadRecord, match="object has no place in a record"):
        entry(Struck(entry="e", reason=object()))  # type: ignore[arg-type]


def test_a_lone_surrogate_is_not_written() -> None:
    with pytest.raises(BadRecord):
        entry(Struck(entry="e", reason="\ud800"))


@pytest.mark.parametrize("bench", ["", "North", "a b", "x" * 33, "bänk", "a\n"])
def test_a_bench_name_is_small_letters_figures_and_hyphens(bench: str) -> None:
    with pytest.raises(BadRecord, match="not a bench name"):
        entry(Struck(entry="e", reason="r"), bench=bench)
    longest = "x" * 30 + "-9"
    assert entry(Struck(entry="e", reason="r"), bench=longest).bench == longest


def _photo() -> PhotoTaken:
    return PhotoTaken("ab" * 32, "jpg", 1, "a.jpg", "P3", "fitted")


def _swapped(old: str, new: str) -> bytes:
    line = STRUCK.line.replace(old.encode(), new.encode())
    assert line != STRUCK.line
    return line


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (STRUCK.line[:-1], "ends with LF"),
        (STRUCK.line + STRUCK.line, "one line"),
        (STRUCK.line + b"\n", "one line"),
        (b"[1]\n", "a JSON object"),
        (b"{}\n", "has the members"),
        (b"{\n", "one line|not JSON"),
        (b'{"a":\n', "not JSON"),
        (b"\xff\n", "not JSON"),
        (_swapped('"seq":1', '"seq":1,"extra":0'), "has the members"),
        (_swapped('"seq":1', '"seq":1,"seq":1'), "key 'seq' is there twice"),
        (_swapped('"reason"', '"entry":"","reason"'), "key 'entry' is there twice"),
        (_swapped('"seq":1', '"seq":1.0'), "bare number 1.0"),
        (_swapped('"seq":1', '"seq":1e0'), "bare number 1e0"),
        (_swapped('"seq":1', '"seq":NaN'), "bare number NaN"),
        (_swapped('"seq":1', '"seq":-Infinity'), "bare number -Infinity"),
        (_swapped('"seq":1', '"seq":0'), "seq counts from 1"),
        (_swapped('"seq":1', '"seq":true'), "seq counts from 1"),
        (_swapped('"seq":1', '"seq":"1"'), "seq counts from 1"),
        (_swapped('"by":"R. Tamm"', '"by":7'), "are texts"),
        (_swapped('"north"', '"North"'), "not a bench name"),
        (_swapped(SALT, SALT[1:]), "salt 32"),
        (_swapped(FIRST_PREV, FIRST_PREV[1:]), "64 hex digits"),
        (_swapped(SALT, SALT.upper()), "salt 32"),
        (_swapped('"struck"', '"stricken"'), "unknown kind"),
        (_swapped('"struck"', '["struck"]'), "unknown kind"),
        (_swapped('"wrong plug"', "5"), "not a sound 'struck' record"),
        (_swapped('"wrong plug"', "null"), "not a sound 'struck' record"),
        (_swapped("wrong plug", "\\ud800"), "surrogate"),
        (_swapped("wrong plug", "\\uD83D\\uDE00"), "surrogate"),
        (_swapped('"wrong plug"', "[" * DEPTH + "]" * DEPTH), "nested deeper"),
        (_swapped('"wrong plug"', "[" * 100_000), "nested deeper"),
        (_swapped('"wrong plug"', f"[{'[],' * 99}{'[' * DEPTH}{']' * DEPTH}]"), "nested deeper"),
    ],
)
def test_a_line_that_is_no_entry_is_refused_with_the_reason(line: bytes, why: str) -> None:
    with pytest.raises(BadRecord, match=why):
        decode(line)


def test_brackets_inside_texts_are_not_nesting() -> None:
    reason = "[{" * 200 + '\\"'
    assert decode(entry(Struck(entry="e", reason=reason)).line).evidence == Struck("e", reason)


def test_as_deep_as_allowed_is_read_as_json() -> None:
    inner = DEPTH - 2  # the entry and its body are two
    with pytest.raises(BadRecord, match="not a sound 'struck' record"):
        decode(_swapped('"wrong plug"', "[" * inner + "]" * inner))


@pytest.mark.parametrize("text", ["nan", "NaN", "inf", "-Infinity", "+inf"])
def test_a_text_that_reads_as_no_number_is_refused_where_a_number_stands(text: str) -> None:
    line = entry(msgspec.structs.replace(_photo(), focal_35mm=26.5)).line
    with pytest.raises(BadRecord):
        decode(line.replace(b'"26.5"', f'"{text}"'.encode()))


def test_a_word_that_begins_like_no_number_is_a_fine_text() -> None:
    struck = Struck(entry="e", reason="infinite play, nanometres claimed")
    assert decode(entry(struck).line).evidence == struck


def test_a_quantity_that_can_not_exist_is_refused() -> None:
    line = entry(Derived("k", Quantity(8.5, "mm", u=0.5), ("a", "b"))).line
    with pytest.raises(BadRecord, match="not a sound 'derived' record"):
        decode(line.replace(b'"0.5"', b'"-0.5"'))


def test_a_line_beyond_the_longest_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("store.codec.LONGEST_LINE", len(STRUCK.line))
    assert decode(STRUCK.line) == STRUCK
    monkeypatch.setattr("store.codec.LONGEST_LINE", len(STRUCK.line) - 1)
    with pytest.raises(BadRecord, match="the longest allowed is"):
        decode(STRUCK.line)


def test_every_kind_of_record_is_known_by_its_word() -> None:
    assert set(kinds()) == {
        "job started", "plan changed", "photo taken", "paper kept", "placed on map", "reading",
        "slip asked", "marked", "derived", "judged", "reworked", "taken out", "fitted",
        "kit counted", "debris logged", "owner said", "gauge suspected", "gauge cleared",
        "struck", "waived", "close refused", "closed", "reopened", "merged",
    }  # fmt: skip
