"""Repeated marks: ISO 5725-2's analysis, on the GUM's worked one and by hand; and in a book."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import pytest
from msgspec import UNSET
from scipy import integrate, stats

from annotate.beside import Beside, Repeats
from annotate.givens import Givens
from annotate.marks import Rim
from annotate.quantity import Quantity
from annotate.result import BudgetLine, Known
from store.book import Book
from store.errors import BadAct
from store.evidence import Marked
from store.told.repeats import Spread, repeats_at, repeats_of, spread_of
from store.verify import verify
from store.written import acts
from tests.store import small_job
from tests.store.small_job import WHO, file_photo, marks, new_book

# JCGM 100:2008 (GUM), H.5, Table H.9: ten days of five observations of a Zener voltage standard,
# each day's mean (uV above 10 V) and experimental standard deviation (uV). From memory; the
# results below, which the GUM prints, come out of these.
DAYS = (172, 116, 13, 144, 106, 31, 60, 125, 163, 41)
SPREADS = (60, 77, 111, 101, 67, 93, 80, 73, 88, 86)
FIVE = np.array([-2.0, -1.0, 0.0, 1.0, 2.0]) / np.sqrt(2.5)  # mean 0, standard deviation 1


def zener() -> dict[str, list[float]]:
    return {
        f"day {n}": list(mean + spread * FIVE)
        for n, (mean, spread) in enumerate(zip(DAYS, SPREADS, strict=True))
    }


def test_within_and_between_come_out_as_the_gum_prints_them() -> None:
    found = spread_of([zener()])
    assert found is not None
    # H.5.2: s_b = 85 uV with 40 degrees of freedom, s_a = 128 uV with 9; s_B = 43 uV between.
    assert found.within**0.5 == pytest.approx(85, abs=0.5)
    assert found.within_dof == 40
    assert (found.total - found.within) ** 0.5 == pytest.approx(43, abs=0.5)
    between = 5 * np.var(DAYS, ddof=1)
    assert between**0.5 == pytest.approx(128, abs=0.5)
    ratio = stats.f_oneway(*zener().values()).statistic
    assert between / found.within == pytest.approx(ratio, rel=1e-9)
    # Satterthwaite by hand: (MSa/5 + 4 MSb/5)^2 / ((MSa/5)^2/9 + (4 MSb/5)^2/40)
    one, other = between / 5, 0.8 * found.within
    assert found.dof == pytest.approx((one + other) ** 2 / (one**2 / 9 + other**2 / 40))


def test_one_person_alone_gives_repeatability() -> None:
    # By hand: 1, 2, 3 has variance 1 (2 degrees of freedom); 5, 7 has 2 (1): pooled 4/3 with 3.
    assert spread_of([{"a": [1.0, 2.0, 3.0]}, {"a": [5.0, 7.0]}]) == pytest.approx(
        (4 / 3, 3, 4 / 3, 3, 0, 0, 1)
    )


def test_two_people_once_each_give_reproducibility() -> None:
    # By hand: differences 2 and 4 have variances 2 and 8: pooled 5 with 2 degrees of freedom.
    assert spread_of([{"a": [1.0], "b": [3.0]}, {"a": [9.0], "c": [5.0]}]) == pytest.approx(
        (0, 0, 5, 2, 5, 2, 1)
    )


def test_people_who_differ_less_than_their_own_repeats_count_as_one() -> None:
    found = spread_of([{"a": [1.0, 3.0], "b": [1.1, 2.9]}])
    assert found is not None
    assert found.total == found.within == pytest.approx((2.0 + 1.62) / 2)
    assert found.dof == 2


def test_persons_with_unequal_numbers_of_marks() -> None:
    # By hand: a: 1, 2, 3 (mean 2), b: 6 (mean 6); grand mean 3; between: 3*1 + 1*9 = 12 with 1;
    # within: 2 with 2, so 1. n0 = (4 - 10/4) / 1 = 1.5. Total: 12/1.5 + (1 - 1/1.5) 1 = 8.3333.
    found = spread_of([{"a": [1.0, 2.0, 3.0], "b": [6.0]}])
    assert found is not None
    assert (found.within, found.within_dof) == (1.0, 2)
    assert found.total == pytest.approx(25 / 3)


def test_as_many_degrees_of_freedom_within_as_between() -> None:
    # By hand: a: 1, 2 and b: 5; within 0.5 with 1; between 2 (7/6)^2 + (7/3)^2 = 49/6 with 1;
    # n0 = 3 - 5/3 = 4/3. Total: 49/8 + 0.5/4 = 6.25; Satterthwaite of 6.125 and 0.125, 1 each.
    found = spread_of([{"a": [1.0, 2.0], "b": [5.0]}])
    dof = 6.25**2 / (6.125**2 + 0.125**2)
    assert found == pytest.approx((0.5, 1, 6.25, dof, 49 / 6, 1, 4 / 3))


def test_without_a_second_answer_there_is_no_spread() -> None:
    assert spread_of([]) is None
    assert spread_of([{"a": [1.0]}, {"b": [2.0], "c": []}]) is None


def by_integrals(spread: Spread) -> tuple[float, float]:
    """Return the mean variances of one person's marks and of what people add, by quadrature.

    One person's standard deviation log-normal about 1 (0.5); people's half of a t with 4 degrees of
    freedom and scale 0.7; mean squares chi square about what they are expected to be.
    """

    def density(people: float, ln_own: float) -> float:
        own = np.exp(2 * ln_own)
        before = stats.norm.pdf(ln_own, 0, 0.5) * stats.t.pdf(people / 0.7, 4)
        for square, expected, dof in (
            (spread.within, own, spread.within_dof),
            (spread.between, own + spread.each * people**2, spread.between_dof),
        ):
            if dof:
                before *= stats.chi2.pdf(dof * square / expected, dof) / expected
        return float(before)

    def mean(what: Callable[[float, float], float]) -> float:
        top = integrate.dblquad(lambda p, o: what(p, o) * density(p, o), -1.75, 1.75, 0, 8)[0]
        return float(top / integrate.dblquad(density, -1.75, 1.75, 0, 8)[0])

    return mean(lambda _, own: np.exp(2 * own)), mean(lambda people, _: people**2)


@pytest.mark.parametrize(
    "level",
    [
        {"a": [0.0, 1.0], "b": [3.0, 3.5]},
        {"a": [0.0], "b": [6.0], "c": [3.0]},
        {"a": [0.0, 5.0, 2.0], "b": [2.1, 2.9]},
    ],
)
def test_what_is_told_is_bayess_rule(level: dict[str, list[float]]) -> None:
    spread = spread_of([level])
    assert spread is not None
    found = repeats_of(spread)
    own, people = by_integrals(spread)
    # The t of a normal whose variance is so uncertain has that variance.
    assert found.own**2 * found.own_dof / (found.own_dof - 2) == pytest.approx(own, rel=0.02)
    assert found.people**2 * found.people_dof / (found.people_dof - 2) == pytest.approx(
        people, rel=0.03
    )
    assert found.ratio**2 * found.dof / (found.dof - 2) == pytest.approx(own + people, rel=0.02)


def test_a_little_data_moves_what_was_taken_a_little_and_much_data_all_the_way() -> None:
    some = Spread(9.0, 2, 9.0, 2)
    few, many = repeats_of(some), repeats_of(some._replace(within_dof=400))
    assert 1.1 < few.own < 2
    assert many.own == pytest.approx(3, rel=0.03)
    assert many.own_dof > 50
    assert few.own_dof < 15
    assert repeats_of(Spread(0.0, 1, 0.0, 1)).own < 1


def test_what_several_people_add_is_not_told_of_one() -> None:
    found = repeats_of(Spread(4.0, 5, 4.0, 5))
    assert (found.ratio, found.dof) == (found.own, found.own_dof)
    assert found.people is UNSET
    assert found.people_excess == 0
    assert found.own_excess == pytest.approx((found.own**2 - 1) ** 0.5)
    assert msgspec.json.decode(msgspec.json.encode(found)).keys() == {
        "ratio", "dof", "own", "own_dof"
    }  # fmt: skip


def test_excesses_are_what_is_more_than_was_taken() -> None:
    # By hand: 0.8^2 + 1^2 - 1 = 0.64; 1.5^2 - 1 = 1.25, and people's 0.5 on top of it.
    assert Repeats(1.3, 9.0, 0.8, 7.0, 1.0, 5.0).own_excess == 0
    assert Repeats(1.3, 9.0, 0.8, 7.0, 1.0, 5.0).people_excess == pytest.approx(0.8)
    assert Repeats(1.6, 9.0, 1.5, 7.0, 0.5, 5.0).own_excess == pytest.approx(1.25**0.5)
    assert Repeats(1.6, 9.0, 1.5, 7.0, 0.5, 5.0).people_excess == pytest.approx(0.5)
    assert Repeats(0.9, 9.0, 0.7, 7.0, 0.5, 5.0).people_excess == 0


def test_a_book_of_one_ratio_is_read_as_it_was() -> None:
    old = msgspec.json.decode(b'{"ratio":2.0,"dof":10.0}', type=Repeats)
    assert old.own_excess == pytest.approx(3**0.5)
    assert old.people_excess == 0
    assert msgspec.json.encode(old) == b'{"ratio":2.0,"dof":10.0}'


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with new_book(tmp_path / "book") as the_book:
        yield the_book


def by_hand(book: Book, photo: str, covered: float, **changes: Any) -> Marked:
    """Return hand marks whose points make covered uncertain by 1 point, with what is beside."""
    record = marks(photo, **changes)
    points = ((30.0, 30.0), (40.0, 60.0), (50.0, covered * 1000))
    layer = msgspec.structs.replace(
        record.layer, marks=(Rim("near", points, 0.5), Rim("far", points, 0.5))
    )
    repeats, cited = repeats_at(book.told, book.told.now)
    record = msgspec.structs.replace(record, layer=layer, repeats=repeats, repeats_from=cited)
    beside = Beside((), repeats)
    result = small_job.measure(
        layer, record.givens, seed=record.seed, trials=record.trials, beside=beside
    )
    result = msgspec.structs.replace(result, budget=(BudgetLine("near rim", 1.0),))
    return msgspec.structs.replace(record, result=result)


def accept(book: Book, photo: str, covered: float, by: str = WHO["by"], **changes: Any) -> Marked:
    marked = by_hand(book, photo, covered, **changes)
    acts.record_marks(book, marked, at=WHO["at"], by=by)
    return marked


def measured_again(*args: Any, **how: Any) -> Any:
    result = small_job.measure(*args, **how)
    return msgspec.structs.replace(result, budget=(BudgetLine("near rim", 1.0),))


def found(book: Book) -> list[str]:
    findings = verify(book.root, measure=measured_again)
    return [each.code for each in findings if each.severity != "note"]


def test_marks_cite_the_repeats_that_came_before_them(book: Book) -> None:
    photo = file_photo(book, "OH2")
    accept(book, photo, 0.10)
    assert repeats_at(book.told, book.told.now) == (None, ())
    accept(book, photo, 0.16)
    third = accept(book, photo, 0.13)
    first_two = [e.hash for e in book.entries() if isinstance(e.evidence, Marked)][:2]
    assert list(third.repeats_from) == first_two
    assert third.repeats is not None
    covered = [
        e.evidence.result.covered.quantity.value
        for e in book.entries()
        if isinstance(e.evidence, Marked) and isinstance(e.evidence.result.covered, Known)
    ]
    variance = np.var(covered[:2], ddof=1) / 0.01**2
    expected = repeats_of(Spread(float(variance), 1, float(variance), 1))
    assert third.repeats.own == third.repeats.ratio == pytest.approx(expected.ratio)
    assert third.repeats.dof == pytest.approx(expected.dof)
    assert found(book) == []


def test_only_marks_told_the_same_lengths_on_the_same_photo_are_repeats(book: Book) -> None:
    photo, other = file_photo(book, "OH2"), file_photo(book, "OH2", content=b"another photo")
    accept(book, photo, 0.10)
    accept(book, other, 0.20)
    flat = Givens(flat=True)
    accept(book, photo, 0.15, givens=flat)
    assert repeats_at(book.told, book.told.now) == (None, ())
    accept(book, photo, 0.16, givens=flat)
    assert len(repeats_at(book.told, book.told.now)[1]) == 2
    assert found(book) == []


def test_struck_marks_are_no_repeats(book: Book) -> None:
    photo = file_photo(book, "OH2")
    accept(book, photo, 0.10)
    accept(book, photo, 0.30)
    struck = [e.hash for e in book.entries() if isinstance(e.evidence, Marked)][1]
    acts.strike(book, struck, "wrong rim", **WHO)
    assert repeats_at(book.told, book.told.now) == (None, ())
    accept(book, photo, 0.12)
    assert found(book) == []


def test_a_spread_that_the_marks_do_not_show_is_found_and_refused(book: Book) -> None:
    photo = file_photo(book, "OH2")
    accept(book, photo, 0.10)
    accept(book, photo, 0.16)
    marked = by_hand(book, photo, 0.12)
    for wrong in (
        msgspec.structs.replace(marked, repeats=None, repeats_from=()),
        msgspec.structs.replace(marked, repeats=Repeats(1.1, 9.0)),
    ):
        with pytest.raises(BadAct, match="measure again"):
            acts.record_marks(book, wrong, **WHO)


def test_the_spread_of_one_photo_is_of_another_photos_points_too(book: Book) -> None:
    """A ratio travels: it is told of the points, not of one photo's coverage."""
    photo, other = file_photo(book, "OH2"), file_photo(book, "OH2", content=b"another photo")
    accept(book, photo, 0.10)
    accept(book, photo, 0.16, by="L. Saar")
    marked = accept(book, other, 0.40)
    assert marked.repeats is not None
    assert marked.repeats.people_excess > 0
    assert isinstance(marked.result.covered, Known)
    assert isinstance(marked.result.covered.quantity, Quantity)
    assert found(book) == []
