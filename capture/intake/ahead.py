"""Photos read ahead: while one is looked at or filed, what comes after it is being decoded."""

from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from pathlib import Path

from capture.errors import BadPhoto
from capture.intake.photo import Photo, coming

# Each is decoded by a process of its own, so threads do; more than a few would hold many photos.
_AT_ONCE, _AHEAD = 3, 4


def read_ahead(
    paths: Iterable[Path], read: Callable[[Path], Photo]
) -> Generator[tuple[Path, Photo | BadPhoto]]:
    """Yield each path with its photo, or with why there is none, in the order given."""
    with ThreadPoolExecutor(_AT_ONCE) as pool:
        under_way: deque[tuple[Path, Future[Photo]]] = deque()
        try:
            for path in paths:
                under_way.append((path, pool.submit(read, path)))
                if len(under_way) > _AHEAD:
                    yield _come_in(*under_way.popleft())
            while under_way:
                yield _come_in(*under_way.popleft())
        finally:
            for _, waiting in under_way:
                waiting.cancel()


def _come_in(path: Path, read: "Future[Photo]") -> tuple[Path, Photo | BadPhoto]:
    try:
        return path, read.result()
    except BadPhoto as bad:
        return path, bad


@contextmanager
def one_ahead(paths: Sequence[Path]) -> Iterator[Iterator[Photo]]:
    """Give photos one by one; the first is being decoded from now on, the next as one is taken.

    Raises BadPhoto as the turn of what is none comes. No thread reads them: beside one that
    measures it would wait for the interpreter after every few pixels.
    """
    with ExitStack() as under_way:
        begun = deque(under_way.enter_context(coming(path)) for path in paths[:1])

        def each() -> Iterator[Photo]:
            for path in paths[1:]:
                begun.append(under_way.enter_context(coming(path)))
                yield begun.popleft()()
            yield begun.popleft()()

        yield each()
