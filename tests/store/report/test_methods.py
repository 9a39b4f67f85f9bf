"""The sentence below a coverage: what it was told, and what was beside it."""

from msgspec.structs import replace

from annotate.beside import Repeats
from store.plan import Location
from store.report.coverages import method
from tests.store.small_job import marks

PLACE = Location(id="OH2", name="second oil hole", characteristics=())


def test_what_was_beside_the_marks_is_said() -> None:
    plain = method(marks("a" * 64), PLACE)
    assert plain.endswith("the same marks give the same numbers.")
    both = method(
        replace(
            marks("a" * 64),
            together=("0123456789abcdef" * 4,),
            repeats=Repeats(1.62, 11.0),
            repeats_from=("b" * 64, "c" * 64, "d" * 64),
        ),
        PLACE,
    )
    assert both.startswith(plain)
    assert "with the marks on another photo of this hole (entry 01234567)" in both
    assert (
        "3 earlier marks, of photos that were marked more than once: one person's lie 1.62" in both
    )
    assert "(as sure as 11 repeats make it)" in both
    told = Repeats(1.9, 11.0, 1.62, 9.0, 0.99, 5.0)
    people = method(replace(marks("a" * 64), repeats=told, repeats_from=("b" * 64,)), PLACE)
    assert "lie 1.62 times as far apart as is usual (as sure as 9 repeats make it)" in people
    assert "and people differ 0.99 times as much as is usual (as sure as 5 repeats" in people
    two = method(replace(marks("a" * 64), together=("1" * 64, "2" * 64)), PLACE)
    assert "on other photos of this hole (entry 11111111, 22222222)" in two


def test_what_of_the_trials_is_told_goes_by_the_version() -> None:
    def told(version: str) -> str:
        return method(replace(marks("a" * 64), version=version), PLACE)

    for version in ("0.4.0", "0.10.1", "1.0"):
        assert f"version {version}; the number is the mean of their middle half, the" in told(
            version
        )
    assert "version 0.3.0; the number is the mean of all of them, the same" in told("0.3.0")
    for version in ("", "0.x", "0.4.0+abc"):
        assert f"version {version}; the same marks" in told(version)
