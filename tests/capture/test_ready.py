"""A decoding child that stands ready: it answers as any other, and never outlives its use."""

import os
import signal
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from capture.intake.decode import Decoded, Refused, decode, standby
from capture.intake.kind import JPEG, PNG
from capture.intake.ready import Ready
from tests.capture.test_intake import FILES, WHOLE_JPEG, jpeg_of, png_claiming


@pytest.fixture(autouse=True)
def standing_ready() -> Iterator[None]:
    standby.begin()
    yield
    standby.end()


def taken() -> Ready:
    ready = standby.take()
    assert ready is not None
    return ready


def test_it_sees_what_any_other_child_sees() -> None:
    for original in (WHOLE_JPEG.read_bytes(), jpeg_of(50, 30, orientation=6)):
        ready = decode(original, JPEG)
        standby.end()
        other = decode(original, JPEG)
        standby.begin()
        assert isinstance(ready, Decoded)
        assert isinstance(other, Decoded)
        np.testing.assert_array_equal(ready.pixels, other.pixels)
        assert (ready.size_px, ready.camera, ready.camera_time, ready.focal_35mm) == (
            other.size_px, other.camera, other.camera_time, other.focal_35mm,
        )  # fmt: skip


def test_what_is_asked_of_it_is_kept() -> None:
    small = decode(WHOLE_JPEG.read_bytes(), JPEG, coarse_px=100)
    assert isinstance(small, Decoded)
    assert max(small.pixels.shape) < 400
    standby.refill()
    refused = decode(WHOLE_JPEG.read_bytes(), JPEG, max_pixels=100)
    assert isinstance(refused, Refused)
    assert "megapixels" in refused.reason


def test_hostile_pictures_are_refused_in_the_same_words() -> None:
    hostile = [(p.read_bytes(), JPEG) for p in sorted((FILES / "hostile").glob("*.jpg"))]
    hostile += [(png_claiming(10**6, 10**6), PNG), (png_claiming(4000, 3000), PNG)]
    ready = []
    for original, kind in hostile:
        standby.refill()
        ready.append(decode(original, kind))
    standby.end()
    other = [decode(original, kind) for original, kind in hostile]
    assert any(isinstance(answer, Refused) for answer in ready)
    assert [getattr(a, "reason", "") for a in ready] == [getattr(a, "reason", "") for a in other]


def test_too_little_memory_ends_it_and_is_said() -> None:
    answer = decode(jpeg_of(3000, 2000), JPEG, memory_bytes=1 << 20)
    assert isinstance(answer, Refused)
    assert "memory" in answer.reason


def test_each_picture_has_a_child_of_its_own() -> None:
    first = taken()
    standby.refill()
    second = taken()
    assert first.child.pid != second.child.pid
    first.dismiss()
    second.dismiss()
    # Nothing more is left of either: it was waited for.
    for ready in (first, second):
        with pytest.raises(ProcessLookupError):
            os.kill(ready.child.pid, 0)


def test_one_that_died_is_not_asked() -> None:
    ready = taken()
    standby._next = ready
    ready.child.send_signal(signal.SIGTERM)
    ready.child.wait()
    assert isinstance(decode(WHOLE_JPEG.read_bytes(), JPEG), Decoded)


def test_one_that_dies_while_it_is_given_the_picture_is_a_refusal() -> None:
    ready = taken()
    ready.child.send_signal(signal.SIGSTOP)  # full is its pipe, before it reads anything
    standby._next = ready
    with ThreadPoolExecutor(1) as pool:
        answer = pool.submit(decode, jpeg_of(1500, 1000), JPEG)
        time.sleep(0.3)
        ready.child.kill()
        refused = answer.result(timeout=30)
    assert isinstance(refused, Refused)
    assert isinstance(decode(WHOLE_JPEG.read_bytes(), JPEG), Decoded)


def test_it_ends_where_nobody_will_ask_any_more() -> None:
    ready = taken()
    ready.entry.close()  # as the system does when the parent dies
    assert ready.child.wait(timeout=30) == 0
    ready.dismiss()


def test_many_threads_share_it_without_a_mix_up() -> None:
    sizes = [(30 + i, 20) for i in range(12)]
    pictures = [jpeg_of(*size) for size in sizes]
    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(lambda original: decode(original, JPEG), pictures))
    assert [a.size_px for a in answers if isinstance(a, Decoded)] == sizes


def is_to_come() -> bool:
    return standby._later is not None


def awaited() -> Ready | None:
    """Return the one that is started in a while, None if none is: a busy machine may take long."""
    for _ in range(600):
        ready = standby.take()
        if ready is not None:
            return ready
        time.sleep(0.05)
    return None


def test_the_next_is_started_once_there_is_time(monkeypatch) -> None:
    monkeypatch.setattr("capture.intake.ready.PAUSE_S", 3600.0)
    decode(WHOLE_JPEG.read_bytes(), JPEG)
    assert standby.take() is None
    assert is_to_come()
    standby.refill()  # now rather than then
    assert not is_to_come()
    taken().dismiss()
    monkeypatch.setattr("capture.intake.ready.PAUSE_S", 0.01)
    standby.refill_later()
    ready = awaited()
    assert ready is not None
    ready.dismiss()


def test_what_was_to_be_started_later_is_not_once_it_has_ended(monkeypatch) -> None:
    monkeypatch.setattr("capture.intake.ready.PAUSE_S", 3600.0)
    decode(WHOLE_JPEG.read_bytes(), JPEG)
    later = standby._later
    assert later is not None
    standby.end()
    assert not is_to_come()
    assert later.finished.is_set()
    standby.refill_later()
    assert not is_to_come()
    standby.refill()
    assert standby.take() is None


def test_once_ended_none_is_started() -> None:
    standby.end()
    assert isinstance(decode(WHOLE_JPEG.read_bytes(), JPEG), Decoded)
    assert standby.take() is None
