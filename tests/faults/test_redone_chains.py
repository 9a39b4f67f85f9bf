"""Something altered and the whole chain, heads and all, written anew after it: what shows it.

A mark, a number, a verdict or a photo that no longer fits is found by measuring again. What fits,
such as another photo under marks set by hand, is found by the heads or a checkpoint that left the
bench before, and by nothing else; that is tried here as well.
"""

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import cv2
import msgspec
import numpy as np
import numpy.typing as npt
import pytest

from annotate.marks import Marker, Rim
from annotate.quantity import Quantity
from annotate.target import find_markers
from store.book import Book
from store.codec import Entry
from store.evidence import Evidence, Judged, Marked, PhotoTaken, Read
from store.finding import Finding
from store.ledger import HEADS_NAME
from store.pack.checkpoint import FOLDER as CHECKPOINTS
from store.pack.inspection import verify_pack
from store.pack.vouching import check_book_checkpoints
from store.photos import PhotoVault
from store.verify import verify
from store.written import acts
from tests.store import small_job
from tests.store.forgery import redo
from tests.store.pack.packed import make_key, packed
from tests.store.small_job import VERSION, WHO, answer, file_photo, marks, new_book, reading

replace = msgspec.structs.replace
SIDE = Quantity(12.0, "mm")


def print_at(left: int, top: int) -> bytes:
    """Return a picture of a printed marker lying there, as a PNG."""
    page = np.full((480, 640), 200, dtype=np.uint8)
    prints = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    page[top : top + 144, left : left + 144] = cv2.aruco.generateImageMarker(prints, 7, 144)
    return cv2.imencode(".png", cv2.GaussianBlur(page, (0, 0), 1.2))[1].tobytes()


REAL, OTHER = print_at(80, 60), print_at(300, 240)


def decode(path: Path) -> npt.NDArray[np.uint8]:
    return np.asarray(cv2.imread(str(path), cv2.IMREAD_GRAYSCALE), dtype=np.uint8)


class Bench(NamedTuple):
    """A book that has left a pack, that pack, and the key."""

    book: Path
    pack: Path
    key: Path


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    root = tmp_path_factory.mktemp("bench")
    key = make_key(root)
    (marker,) = find_markers(cv2.imdecode(np.frombuffer(REAL, np.uint8), 0), SIDE)
    with new_book(root / "book") as book:
        by_hand = marks(file_photo(book, "OH2", "with scale", REAL))
        layer = replace(by_hand.layer, marks=(*by_hand.layer.marks, marker))
        acts.record_marks(book, replace(by_hand, layer=layer), **WHO)
        acts.record_reading(book, reading("P3.bore", 20.0), **WHO)
        acts.record_reading(book, reading("P3.plug", 20.1), **WHO)
        acts.record_reading(book, answer("P3.clean", said=True), **WHO)
        packed(book, root / "pack", key)
    return Bench(root / "book", root / "pack", key)


@pytest.fixture
def bench(made: Bench, tmp_path: Path) -> Bench:
    return Bench(Path(shutil.copytree(made.book, tmp_path / "book")), made.pack, made.key)


Forge = Callable[[Entry], Evidence]


def when(kind: type[Evidence], change: Callable[..., Evidence]) -> Forge:
    return lambda entry: (
        change(entry.evidence) if isinstance(entry.evidence, kind) else entry.evidence
    )


def moved_rim(marked: Marked) -> Marked:
    rim, marker = marked.layer.marks
    assert isinstance(rim, Rim)
    rim = replace(rim, points_px=((95.0, 30.0), *rim.points_px[1:]))
    return replace(marked, layer=replace(marked.layer, marks=(rim, marker)))


def moved_print(marked: Marked) -> Marked:
    rim, marker = marked.layer.marks
    assert isinstance(marker, Marker)
    corners = tuple((x + 1.0, y) for x, y in marker.corners_px)
    marker = replace(marker, corners_px=corners)
    return replace(marked, layer=replace(marked.layer, marks=(rim, marker)))


def other_number(marked: Marked) -> Marked:
    covered = marked.result.covered
    smaller = replace(covered.quantity, value=covered.quantity.value / 2)
    result = replace(marked.result, covered=replace(covered, quantity=smaller))
    return replace(marked, result=result)


def other_state(judged: Judged) -> Judged:
    state = "outside" if judged.verdict.state == "within" else "within"
    return replace(judged, verdict=replace(judged.verdict, state=state))


def other_reading(read: Read) -> Read:
    """Only the value: text and exact value stay what they were."""
    if read.key != "P3.plug" or read.quantity is None:
        return read
    return replace(read, quantity=replace(read.quantity, value=20.16))


def other_text(read: Read) -> Read:
    """Text, exact value and value: only what was worked out from them stays."""
    if read.key != "P3.plug" or read.quantity is None:
        return read
    quantity = replace(read.quantity, value=20.02)
    return replace(read, text="20.02 mm", exact="20.02", quantity=quantity)


def put_other_photo(root: Path) -> str:
    (real,) = [f for f in PhotoVault(root).files() if f.path.read_bytes() == REAL]
    real.path.unlink()
    digest = PhotoVault(root).put(_stream(OTHER), "jpg")[0]
    return str(digest)


def _stream(content: bytes):
    import io  # noqa: PLC0415 - beside its use

    return io.BytesIO(content)


def swap_photo(root: Path, *, by_hand: bool = False) -> None:
    """Another photo everywhere: its file, its hash, its size, its marks; chain and heads anew."""
    photo = put_other_photo(root)

    def forge(entry: Entry) -> Evidence:
        match entry.evidence:
            case PhotoTaken() as taken:
                return replace(taken, photo=photo, bytes_count=len(OTHER))
            case Marked(layer=layer) as marked:
                kept = tuple(m for m in layer.marks if not (by_hand and isinstance(m, Marker)))
                return replace(marked, photo=photo, layer=replace(layer, marks=kept))
        return entry.evidence

    redo(root, forge)


FORGED: dict[str, tuple[Callable[[Path], None], str]] = {
    "a mark by hand": (lambda root: redo(root, when(Marked, moved_rim)), "coverage-differs"),
    "a mark found": (lambda root: redo(root, when(Marked, moved_print)), "marks-moved"),
    "a number": (lambda root: redo(root, when(Marked, other_number)), "coverage-differs"),
    "a verdict": (lambda root: redo(root, when(Judged, other_state)), "verdict-differs"),
    "a reading": (lambda root: redo(root, when(Read, other_reading)), "reading-differs"),
    "a reading and its text": (lambda root: redo(root, when(Read, other_text)), "derived-differs"),
    "the photo": (swap_photo, "marks-moved"),
}


def codes(found: list[Finding]) -> set[str]:
    return {each.code for each in found if each.severity in {"altered", "damaged"}}


def check(root: Path) -> set[str]:
    return codes(verify(root, measure=small_job.measure, decode=decode, version=VERSION))


def check_pack(pack: Path) -> set[str]:
    return codes(verify_pack(pack, measure=small_job.measure, decode=decode, version=VERSION))


def pack_of_a_forger(bench: Bench, target: Path) -> Path:
    """Pack a forged book with the bench's own key, as if it had never left a pack."""
    shutil.rmtree(bench.book / CHECKPOINTS)
    with Book.open(bench.book) as book:
        return packed(book, target, bench.key)


def goes_on_from(pack: Path, older: Path) -> bool:
    """Whether a pack goes on from an older one in somebody's hand: HOW-TO-CHECK.txt's last step."""
    _, entries, root = (older / "data/chains/north/checkpoint").read_text().split("\n")[:3]
    said = subprocess.run(
        ["bash", "-c", f"head -n {entries} hashes.txt | sha256sum"],
        cwd=pack / "data/chains/north", capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    return said == f"{root}  -\n"


def test_the_real_thing_is_sound(bench: Bench, tmp_path: Path) -> None:
    assert check(bench.book) == set()
    assert check_book_checkpoints(bench.book) == []
    assert check_pack(bench.pack) == set()
    with Book.open(bench.book) as book:
        again = packed(book, tmp_path / "again", bench.key)
    assert goes_on_from(again, bench.pack)


@pytest.mark.parametrize("name", FORGED)
def test_it_is_found_by_measuring_again_in_the_book_and_in_a_pack_of_it(
    bench: Bench, tmp_path: Path, name: str
) -> None:
    forge, code = FORGED[name]
    forge(bench.book)
    assert code in check(bench.book)
    assert codes(check_book_checkpoints(bench.book)) == {"chain-fork"}
    pack = pack_of_a_forger(bench, tmp_path / "forged")
    assert code in check_pack(pack)
    assert not goes_on_from(pack, bench.pack)


def test_another_photo_under_marks_by_hand_is_found_by_what_left_the_bench(
    bench: Bench, tmp_path: Path
) -> None:
    heads = (bench.book / HEADS_NAME).read_text()
    swap_photo(bench.book, by_hand=True)
    # Undetectable in what the forger holds: everything in it fits.
    assert check(bench.book) == set()
    # By the checkpoint that the pack has left in the book ...
    assert codes(check_book_checkpoints(bench.book)) == {"chain-fork"}
    # ... by the heads of before, kept anywhere ...
    redone = (bench.book / HEADS_NAME).read_text()
    (bench.book / HEADS_NAME).write_text(heads)
    assert check(bench.book) == {"head-differs"}
    (bench.book / HEADS_NAME).write_text(redone)
    # ... and by the pack in the customer's hand; a false one alone has nothing that contradicts it.
    pack = pack_of_a_forger(bench, tmp_path / "forged")
    assert check_pack(pack) == set()
    assert not goes_on_from(pack, bench.pack)


def test_a_forger_who_claims_another_version_is_told_so_and_not_called_sound(
    bench: Bench,
) -> None:
    redo(
        bench.book, when(Marked, lambda marked: replace(other_number(marked), version="9.9")),
    )  # fmt: skip
    found = verify(bench.book, measure=small_job.measure, decode=decode, version=VERSION)
    differs = [each for each in found if each.severity == "differs"]
    assert [each.code for each in differs] == ["coverage-differs"]
    assert "made by version 9.9" in differs[0].detail
