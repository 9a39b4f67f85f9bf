"""Any acts at two benches, merged both ways: nothing lost, everything sound, the same twice.

What is asserted is what a union with the order of arrival must give; there is no outside value.
"""

import tempfile
from contextlib import suppress
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.quantity import Quantity
from store.book import Book
from store.change import LimitSet
from store.characteristic import Limit
from store.errors import StoreError
from store.written import acts, bench_acts, plan_acts
from tests.store.small_job import MM, WHO, answer, file_photo, marks, reading
from tests.store.two_benches import parted, take_in, work, wrong

ACTS = {
    "bore": lambda book, n: acts.record_reading(book, reading("P3.bore", 20 + n / 100), **WHO),
    "plug": lambda book, n: acts.record_reading(book, reading("P3.plug", 20.1 + n / 100), **WHO),
    "clean": lambda book, n: acts.record_reading(book, answer("P3.clean", said=n > 1), **WHO),
    "deep": lambda book, n: acts.record_reading(book, reading("OH2.deep", 5 + n / 100), **WHO),
    "other": lambda book, n: acts.record_reading(book, reading("OH2.other", 5 + n / 100), **WHO),
    "photo": lambda book, n: file_photo(book, "P3", content=b"fitted %d" % n),
    "marks": lambda book, n: acts.record_marks(
        book, marks(file_photo(book, "OH2", "with scale", b"hole %d" % n)), **WHO
    ),
    "limit": lambda book, n: plan_acts.change_plan(
        book, LimitSet("OH2.deep", Limit("own", at_most=Quantity(5 + n / 200, MM))), "so", **WHO
    ),
    "strike": lambda book, n: acts.strike(book, _last_reading(book, n), "misread", **WHO),
    "rework": lambda book, _: acts.rework(book, ("P3",), "bored out", **WHO),
    "close": lambda book, _: bench_acts.close(book, "lid", **WHO),
    "reopen": lambda book, _: bench_acts.reopen(book, "lid", "look again", **WHO),
}
done = st.lists(st.tuples(st.sampled_from(sorted(ACTS)), st.integers(0, 4)), max_size=6)


def _last_reading(book: Book, back: int) -> str:
    entries = [e for e in book.entries() if acts.can_be_struck(e)]
    return entries[-1 - back % len(entries)].hash


def do(book: Book, what: list[tuple[str, int]]) -> None:
    """Do what can be done; what the book refuses is not done, or kept as a refusal."""
    for act, number in what:
        with suppress(StoreError):
            ACTS[act](book, number)


@settings(max_examples=20, deadline=None)
@given(done, done, done)
def test_any_acts_merge_either_way(
    here: list[tuple[str, int]], there: list[tuple[str, int]], after: list[tuple[str, int]]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        north, south = parted(Path(folder))
        with north, south:
            do(north, here)
            do(south, there)
            for _ in range(2):
                both = work(north) | work(south)
                take_in(north, south)
                assert work(north) >= both
                take_in(south, north)
                assert work(south) >= both
                assert wrong(north) == wrong(south) == []
                if not after:
                    break
                do(north, after)
            for one, other in ((north, south), (south, north), (north, south)):
                take_in(one, other)
            assert take_in(south, north).is_nothing
            assert take_in(north, south).is_nothing
            assert work(north) == work(south)
            assert wrong(north) == wrong(south) == []


AT_PLUG = sorted({"bore", "plug", "clean", "photo", "strike", "rework", "close", "reopen"})
AT_HOLE = sorted({"deep", "other", "marks", "limit"})


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(AT_PLUG), st.integers(0, 4)), max_size=6),
    st.lists(st.tuples(st.sampled_from(AT_HOLE), st.integers(0, 4)), max_size=6),
)
def test_where_only_one_bench_worked_both_say_the_same(
    at_plug: list[tuple[str, int]], at_hole: list[tuple[str, int]]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        north, south = parted(Path(folder))
        with north, south:
            do(north, at_plug)
            do(south, at_hole)
            assert not take_in(north, south).clashes
            take_in(south, north)
            states = [
                {c.key: (c.state, c.value, c.hidden, c.proven) for c in book.round().checks}
                for book in (north, south)
            ]
            assert states[0] == states[1]
