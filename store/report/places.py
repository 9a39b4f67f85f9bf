"""One location of the round -> its pages: what was photographed, then check by check."""

from typing import Any

from msgspec import Struct, structs

from annotate.marks import Ellipse, Layer, Rim
from annotate.overlay import Box, crop_box, to_svg, whole_box
from store.errors import StoreError
from store.evidence import Marked
from store.plan import HoldPoint
from store.report import words
from store.report.checks import check_row
from store.report.figures import TIMES, count, moment
from store.report.pictures import Wanted
from store.report.values import lead, value_said
from store.report.view import BookView
from store.report.words import Bits
from store.round import Attempt, Check, Photo, Place, Round

_MM = 72 / 25.4
_LINES_PER_PT = 2.0  # overlay lines are as wide as a screen needs; in print half will do
_PAIR_PT, _SINGLE_PT, _SMALL_PT, _COVER_PT = 66 * _MM, 96 * _MM, 32 * _MM, 42 * _MM
_TALLEST = 0.8  # of its width: a portrait is printed narrower instead
_MOST = 12  # photos printed of one location; the rest are named by their numbers
_BEST_FIRST = (
    "fitted", "close-up", "with scale", "bare bore", "which hole", "part on the gauge",
    "what closes it", "overall",
)  # fmt: skip


class Print(Struct, frozen=True):
    """One photo as it is printed: the data of its figure, the copy to make, its overlay."""

    data: dict[str, Any]
    wanted: Wanted
    overlay: str = ""


def place_pages(view: BookView, place: Place, known: Round) -> tuple[dict[str, Any], list[Print]]:
    """Return the data of one location's pages, and the pictures they need."""
    every = photo_prints(view, place)
    prints, unprinted = every[:_MOST], len(every[_MOST:])
    missing = _not_taken(place, known)
    if unprinted:
        number = count(unprinted, "more photo")
        missing.append([f"{number}, not printed here: in the book, by the numbers at the end."])
    data = {
        "code": place.location.id,
        "name": place.location.name.strip() or place.location.id,
        "lead": _lead(place, known),
        "photos": [p.data for p in prints],
        "photo-lane": (
            "Marks lie over the picture and are not burnt into it. The untouched photo is in the "
            "book under the number below it."
        ),
        "photo-notes": missing,
        "checks": [check_row(check, known, led=len(place.checks) > 1) for check in place.checks],
    }
    return data, prints


def _lead(place: Place, known: Round) -> Bits:
    holds = [h for h in known.holds if place.location.id in h.hold_point.hides]
    points: list[HoldPoint] = [h.hold_point for h in holds]
    behind = words.behind(points, {h.hold_point.id for h in holds if h.closed})
    if len(place.checks) == 1:
        return [*lead(place.checks[0]), ". ", behind]
    bits: Bits = [f"{count(len(place.checks), 'thing')} asked here: "]
    states = list(dict.fromkeys(check.state for check in place.checks))
    for n, state in enumerate(states):
        number = sum(check.state == state for check in place.checks)
        bits += [f"{', ' if n else ''}{number} ", {"state": state, "size": 12}]
    return [*bits, f". {behind}"]


def _not_taken(place: Place, known: Round) -> list[Bits]:
    notes: list[Bits] = []
    for hold in known.holds:
        if place.location.id not in hold.hold_point.hides:
            continue
        for role in place.missing(hold.hold_point.roles):
            demand = f", demanded by hold point {hold.hold_point.id}."
            fault = "none that can be shown" if place.photos_of(role) else "not taken"
            notes.append([{"bold": f"\u201c{role}\u201d: {fault}"}, demand])
    notes += [words.waived(w, w.hold_point) for w in place.waivers]
    notes += [words.struck(p.struck, p.stamp) for p in place.photos if p.struck is not None]
    if not place.photos:
        notes.insert(0, ["No photo was taken here."])
    return notes


def photo_prints(view: BookView, place: Place) -> list[Print]:
    """Return the photos of a location: first and last marked ones large, the others small."""
    marked = _marked(place)
    by_photo = {attempt.photo: (check, attempt) for check, attempt in marked}
    large = _large(place, marked)
    scale_px = _common_width(marked, large)
    wide = _SINGLE_PT if len(large) == 1 else _PAIR_PT
    order = {photo: n for n, photo in enumerate(large)}
    prints, shown = [], set[str]()
    for photo in sorted(place.photos, key=lambda p: order.get(_id(p), len(order))):
        first = _id(photo) in order and photo.struck is None and _id(photo) not in shown
        shown |= {_id(photo)} if first else set()
        width = wide if first else _SMALL_PT
        marks = by_photo.get(_id(photo))
        prints.append(_print(view, place, photo, marks, width_pt=width, scale_px=scale_px))
    return prints


def _id(photo: Photo) -> str:
    return photo.taken.photo


def _marked(place: Place) -> list[tuple[Check, Attempt]]:
    return [
        (check, attempt)
        for check in place.checks
        for attempt in check.attempts
        if isinstance(attempt.record, Marked) and attempt.struck is None
    ]


def _large(place: Place, marked: list[tuple[Check, Attempt]]) -> list[str]:
    filed = {_id(p) for p in place.photos if p.struck is None}
    ids = []
    for check in place.checks:
        own = [attempt.photo for c, attempt in marked if c is check and attempt.photo in filed]
        ids += own[:1] + own[-1:]
    if ids:
        return list(dict.fromkeys(ids))
    for role in _BEST_FIRST:
        for photo in place.photos:
            if photo.taken.role == role and photo.struck is None:
                return [_id(photo)]
    return []


def _common_width(marked: list[tuple[Check, Attempt]], large: list[str]) -> dict[str, float]:
    """Return for each large photo how wide to crop so that both print at one scale.

    The near rim is the same drilled hole in each: its size in pixels is the common measure.
    """
    needs = {}
    for _, attempt in marked:
        record = attempt.record
        if attempt.photo in large and isinstance(record, Marked) and record.result.near:
            width = crop_box(record.layer, _rims_of(record)).width
            needs[attempt.photo] = (width, record.result.near.semi_major)
    most = max((need / size for need, size in needs.values()), default=0.0)
    return {photo: most * size for photo, (_, size) in needs.items()}


def _without_back(record: Marked) -> Layer:
    """Return the layer without the near hole's back edge, whose many points hide the picture."""
    kept = [m for m in record.layer.marks if not (isinstance(m, Rim) and m.which == "back")]
    return structs.replace(record.layer, marks=tuple(kept)) if record.result.near else record.layer


def _rims_of(record: Marked) -> tuple[Ellipse, ...]:
    return tuple(rim for rim in (record.result.near, record.result.far) if rim is not None)


def _print(
    view: BookView,
    place: Place,
    photo: Photo,
    check_attempt: tuple[Check, Attempt] | None,
    *,
    width_pt: float,
    scale_px: dict[str, float],
) -> Print:
    taken = photo.taken
    # One figure per filing: the same photo may be filed twice, with two roles.
    name = f"p{photo.stamp.bench}-{photo.stamp.seq}"
    box, overlay, rims_said = None, "", ""
    large = width_pt != _SMALL_PT
    if check_attempt is not None and isinstance(check_attempt[1].record, Marked):
        record = check_attempt[1].record
        wide = scale_px.get(taken.photo, 0.0)
        box = crop_box(record.layer, _rims_of(record), width_px=wide)
        overlay = to_svg(
            _without_back(record),
            near=record.result.near,
            far=record.result.far,
            box=box,
            shown_width=width_pt * _LINES_PER_PT,
            numbered=False,
        )
        rims_said = f" The edge of the {place.location.near} is drawn white, that of the "
        rims_said += f"{place.location.far} blue, dashed where hidden."
    width_pt = _narrowed(width_pt, box, photo)
    data = {
        "file": f"{name}.jpg",
        "width": width_pt,
        "overlay": f"{name}.svg" if overlay else "",
        "large": large,
        "near": place.location.near,
        "far": place.location.far,
        "head": _head(photo, check_attempt, large=large),
        "caption": _caption(photo, record.layer if overlay else None, box),
        "alt": f"{place.location.id} {place.location.name}, {taken.role}.{rims_said}"
        + (f" {value_said(check_attempt[0])}." if check_attempt else ""),
    }
    wanted = Wanted(f"{name}.jpg", _source(view, taken.photo), taken.photo, width_pt, box)
    return Print(data, wanted, overlay)


def _narrowed(width_pt: float, box: Box | None, photo: Photo) -> float:
    """Return the printed width of a photo that may be taller than there is room for."""
    width = box.width if box else photo.taken.width_px
    height = box.height if box else photo.taken.height_px
    if not (width and height):
        return width_pt
    return min(width_pt, width_pt * _TALLEST * width / height)


def _source(view: BookView, photo: str) -> str:
    try:
        return str(view.photo_path(photo))
    except StoreError:
        return ""  # said as missing beside the empty frame


def _head(photo: Photo, check_attempt: tuple[Check, Attempt] | None, *, large: bool) -> Bits:
    if photo.struck is not None:
        return [{"struck": photo.taken.role}]
    bits: Bits = [{"bold": photo.taken.role}]
    if check_attempt is not None and large:
        check, attempt = check_attempt
        bits.append(f", {check.characteristic.id}, attempt {attempt.number}  ")
        if attempt.verdict is not None:
            bits.append({"state": attempt.verdict.state, "size": 10.5})
    return bits


def _caption(photo: Photo, layer: Layer | None, box: Box | None) -> Bits:
    taken = photo.taken
    clock = f"camera {moment(taken.camera_time)}" if taken.camera_time else "camera time unknown"
    bits: Bits = [
        "Photo ",
        {"mono": f"{taken.photo[:8]} {taken.photo[8:16]}"},
        f" · {clock}, arrived {moment(photo.stamp.at)}, {photo.stamp.by}",
    ]
    if layer is not None and box is not None and box != whole_box(layer):
        bits.append(
            f" · cropped to {box.width} {TIMES} {box.height} "
            f"of {layer.width_px} {TIMES} {layer.height_px} px"
        )
    return bits


def cover_print(view: BookView, known: Round) -> Print | None:
    """Return the first overall photo of the job, for page 1."""
    for place in known.places:
        for photo in place.photos_of("overall"):
            made = _print(view, place, photo, None, width_pt=_COVER_PT, scale_px={})
            wanted = Wanted(
                "cover.jpg", made.wanted.source, photo.taken.photo, made.wanted.width_pt
            )
            caption = [f"{place.location.name}, {moment(photo.stamp.at)}. Photo "]
            data = {**made.data, "file": "cover.jpg", "head": [], "large": True}
            data["caption"] = [*caption, {"mono": photo.taken.photo[:8]}]
            return Print(data, wanted)
    return None
