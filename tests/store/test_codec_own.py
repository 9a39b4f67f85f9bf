"""The two readers of a line: the quick one never takes what the close one refuses, or otherwise."""

import random
from collections.abc import Callable
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.errors import AnnotateError
from annotate.marks import Ellipse, Layer
from annotate.optics.profile import LensProfile
from annotate.quantity import UNITS, Quantity
from store import codec
from store.change import LimitSet
from store.characteristic import Characteristic, Doubt, Limit, Spot
from store.codec import Entry, decode, decode_own, encode, kinds
from store.errors import BadRecord, StoreError
from store.evidence import Evidence, Judged, PlanChanged, Read, Struck
from store.judge import judge
from store.plan import Plan
from tests.store.small_job import marks, plan
from tests.store.test_codec import entry

LIMIT = Limit(source="own, page 1", at_least=Quantity(1.5, "mm"), at_most=Quantity(2.0, "mm"))
READ = Read(
    key="P3.bore", text='1.75 ±0.01\tmm "so" \\ \u0001 é 𝄞', quantity=Quantity(1.75, "mm", u=0.005),
    exact="1.75", half_step=1e-7, plus_minus=0.01, unit_assumed=True, spot=Spot("top", "across", 2),
    doubts=(Doubt("dirt", Quantity(0.002, "mm")),), photos=("ab" * 32,),
)  # fmt: skip
LINES = [
    entry(record).line
    for record in (
        READ,
        Judged("P3.bore", "cd" * 32, judge(Quantity(1.75, "mm", u=0.2, dof=5.0), LIMIT)),
        PlanChanged(LimitSet("P3.bore", LIMIT), "sheet came"),
        Struck("ab" * 32, '","kind":"struck","prev":"'),
        marks("ab" * 32),
    )
]


def seen(line: bytes, reader: Callable[[bytes], Entry]) -> str:
    """Return all that a reader makes of a line, or the one word for every refusal."""
    try:
        # repr tells 0.0 from -0.0, True from 1, and a float from an int
        return repr(reader(line))
    except BadRecord:
        return "refused"


def values_of(kind: Any) -> st.SearchStrategy[Any]:
    """Return any values of a member's type; records that refuse their values are left out."""
    if kind is str:
        return st.text(st.characters(exclude_categories=["Cs"]), max_size=6)
    if kind is float:
        return st.floats(allow_nan=False, allow_infinity=False)
    if kind is Quantity:
        return st.builds(
            Quantity, st.floats(-1e6, 1e6), st.sampled_from(sorted(UNITS)), st.floats(0, 9),
            st.none() | st.floats(1, 99),
        )  # fmt: skip
    if kind is Plan:
        return st.just(plan())
    if kind is Characteristic:
        return st.sampled_from([check for _, _, check in plan().walk()])
    simple = {int: st.integers(-(2**70), 2**70), bool: st.booleans(), NoneType: st.none()}
    return simple[kind] if kind in simple else _made_of_others(kind)


def _made_of_others(kind: Any) -> st.SearchStrategy[Any]:
    if kind in {LensProfile, Ellipse, Layer}:
        return _sound_of(kind)
    inner, origin = get_args(kind), get_origin(kind)
    if origin is Literal:
        return st.sampled_from(inner)
    if origin in {Union, UnionType}:
        return st.one_of(*map(values_of, inner))
    if origin is tuple and inner[-1] is Ellipsis:
        return st.lists(values_of(inner[0]), max_size=2).map(tuple)
    if origin is tuple:
        return st.tuples(*map(values_of, inner))
    members = {name: values_of(hint) for name, hint in get_type_hints(kind).items()}
    made = st.fixed_dictionaries(members).map(lambda values: _made(kind, values))
    return made.filter(lambda record: record is not None)


def _sound_of(kind: Any) -> st.SearchStrategy[Any]:
    """Return records that may exist, where hardly any of members taken freely would."""
    above, any_size = st.floats(1e-3, 1e9), st.floats(-1e9, 1e9)
    pixels = st.integers(1, 2**70)
    if kind is Layer:
        marks_on = values_of(get_type_hints(Layer)["marks"])
        return st.builds(Layer, pixels, pixels, marks_on, st.none() | any_size)
    if kind is Ellipse:
        ordered = st.tuples(above, above).map(lambda axes: (max(axes), min(axes)))
        return st.tuples(any_size, any_size, ordered, any_size).map(
            lambda v: Ellipse(v[0], v[1], *v[2], v[3])
        )
    return st.builds(
        LensProfile, above, above, *[any_size] * 7, pixels, pixels,
        *[st.floats(0, 9)] * 4, st.none() | above, st.floats(0.1, 1),
    )  # fmt: skip


def _made(kind: type[Any], values: dict[str, Any]) -> Any:
    try:
        return kind(**values)
    except (AnnotateError, StoreError, ValueError, TypeError):
        return None


@pytest.mark.parametrize("kind", kinds())
def test_every_kind_of_record_is_read_the_same_by_both(kind: str) -> None:
    quickly = 0

    @given(values_of(codec._KINDS[kind]))
    def read_by_both(evidence: Evidence) -> None:
        nonlocal quickly
        try:
            line = entry(evidence).line
        except BadRecord:
            return
        assert seen(line, decode_own) == seen(line, decode)
        quickly += _is_quick(line)

    read_by_both()
    assert quickly  # the quick way was really taken


def _is_quick(line: bytes) -> bool:
    """Return whether a line is taken as one of the program's own, without the close look."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(codec, "decode", lambda _: None)
        return decode_own(line) is not None


def test_what_the_program_wrote_is_read_quickly() -> None:
    assert all(map(_is_quick, LINES))


def test_no_line_with_a_byte_changed_is_read_otherwise() -> None:
    chance, accepted = random.Random(12), 0  # noqa: S311 - places, no secrets
    pieces = [b'"', b"\\", b" ", b"\t", b"0", b"-", b".", b"e", b"[", b"]", b"{", b"}", b",", b":",
              b"nan", b"null", b"true", b"\\u0041", b"\\ud83d\\ude00", b"\xff", b"\n"]  # fmt: skip
    for _ in range(4_000):
        line = chance.choice(LINES)
        place = chance.randrange(len(line))
        cut = place + chance.randrange(3)
        changed = line[:place] + chance.choice([b"", *pieces]) + line[cut:]
        close = seen(changed, decode)
        accepted += close != "refused"
        assert seen(changed, decode_own) == close
    assert accepted > 300


@given(st.sampled_from(LINES), st.data())
def test_no_line_with_a_part_twice_or_moved_is_read_otherwise(
    line: bytes, data: st.DataObject
) -> None:
    parts = line[1:-2].split(b",")
    take = data.draw(st.integers(0, len(parts) - 1))
    put = data.draw(st.integers(0, len(parts)))
    moved = [*parts[:put], parts[take], *parts[put:]]
    if data.draw(st.booleans()):
        del moved[take if take < put else take + 1]
    changed = b"{" + b",".join(moved) + b"}\n"
    assert seen(changed, decode_own) == seen(changed, decode)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b'"u":"0.005"', b'"u":0.005'),
        (b'"u":"0.005"', b'"u":"0.005","u":"0.005"'),
        (b'"u":"0.005"', b'"u":"0.0050"'),
        (b'"u":"0.005"', b'"u":"0.005","v":"1"'),
        (b'"u":"0.005"', b'"u":"nan"'),
        (b'"u":"0.005"', b'"u":"-0.0"'),
        (b'"half_step":"1e-07"', b'"half_step":"inf"'),
        (b'"half_step":"1e-07"', b'"half_step":"-Infinity"'),
        (b'"half_step":"1e-07"', b'"half_step":"+NaN"'),
        (b'"repeat":2', b'"repeat":"2"'),
        (b'"repeat":2', b'"repeat":2.0'),
        (b'"repeat":2', b'"repeat":-0'),
        (b'"repeat":2', b'"repeat":' + b"9" * 400),
        (b'"unit_assumed":true', b'"unit_assumed":"true"'),
        (b'"unit_assumed":true', b'"unit_assumed":1'),
        (b'"unit_assumed":true', b'"unit_assumed":false'),
        (b'"exact":"1.75"', b'"exact":null'),
        (b'"exact":"1.75"', b'"exact":[' + b"[" * 100_000),
        (b'"exact":"1.75"', b'"aa":' + b"[" * 30 + b"]" * 30 + b',"exact":"1.75"'),
        (b'"kind":"reading"', b'"kind":"struck"'),
        (b'"kind":"reading"', b'"kind":"reading","kind":"reading"'),
        (b'"seq":1', b'"seq":"1"'),
        (b'"seq":1', b'"seq":1.0'),
        (b'"seq":1', b'"seq":01'),
        (b'"bench":"north"', b'"bench":"North"'),
        (b'"spot":{', b'"spot" :{'),
        (b'"spot":{', b'"type":"reading","spot":{'),
    ],
)
def test_a_line_not_quite_as_written_is_judged_by_the_close_look(old: bytes, new: bytes) -> None:
    changed = LINES[0].replace(old, new, 1)
    assert changed != LINES[0]
    assert seen(changed, decode_own) == seen(changed, decode)


def test_a_line_beyond_the_longest_is_refused_by_both(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(codec, "LONGEST_LINE", len(LINES[0]) - 1)
    with pytest.raises(BadRecord, match="the longest allowed is"):
        decode_own(LINES[0])


def test_what_is_read_quickly_is_written_again_as_the_same_bytes() -> None:
    for line in LINES:
        read = decode_own(line)
        head = {name: getattr(read, name) for name in ("seq", "prev", "salt", "at", "bench", "by")}
        assert encode(read.evidence, **head).line == line
