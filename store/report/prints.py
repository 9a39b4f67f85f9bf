"""The photos of a location -> figures: what is cropped, what is drawn over, what is said below."""

from typing import Any

from msgspec import Struct, structs

from annotate.drawings.overlay import Box, crop_box, to_svg
from annotate.marks import Ellipse, Layer, Rim
from store.errors import StoreError
from store.evidence import Marked
from store.report.captions import caption, head
from store.report.figures import moment
from store.report.pictures import Wanted
from store.report.values import value_said
from store.report.view import BookView
from store.round import Attempt, Check, Photo, Place, Round

_MM = 72 / 25.4
_LINES_PER_PT = 2.0  # overlay lines are as wide as a screen needs; in print half will do
_PAIR_PT, _SINGLE_PT, _COVER_PT = 66 * _MM, 96 * _MM, 42 * _MM
SMALL_PT = 32 * _MM
_TALLEST = 0.8  # of its width: a portrait is printed narrower instead
_BEST_FIRST = (
    "fitted", "close-up", "with scale", "bare bore", "which hole", "part on the gauge",
    "what closes it", "overall",
)  # fmt: skip


class Print(Struct, frozen=True):
    """One photo as it is printed: the data of its figure, the copy to make, its overlay."""

    data: dict[str, Any]
    wanted: Wanted
    overlay: str = ""


def photo_prints(view: BookView, place: Place) -> list[Print]:
    """Return the photos of a location: first and last marked ones large, the others small."""
    marked = _marked(place)
    by_photo = {attempt.photo: (check, attempt) for check, attempt in marked}
    large = _large(place, marked)
    scale_px = _common_width(marked, large)
    # A single photo is printed wide for the marks on it.
    wide = _SINGLE_PT if len(large) == 1 and marked else _PAIR_PT
    order = {photo: n for n, photo in enumerate(large)}
    prints, shown = [], set[str]()
    for photo in sorted(place.photos, key=lambda p: order.get(_id(p), len(order))):
        first = _id(photo) in order and photo.struck is None and _id(photo) not in shown
        shown |= {_id(photo)} if first else set()
        width = wide if first else SMALL_PT
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
    large = width_pt != SMALL_PT
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
        "head": head(photo, check_attempt, large=large),
        "caption": caption(photo, record.layer if overlay else None, box),
        "alt": f"{place.location.id} {place.location.name}, {taken.role}.{rims_said}"
        + (f" {value_said(check_attempt[0])}." if check_attempt else ""),
    }
    wanted = Wanted(f"{name}.jpg", source_of(view, taken.photo), taken.photo, width_pt, box)
    return Print(data, wanted, overlay)


def _narrowed(width_pt: float, box: Box | None, photo: Photo) -> float:
    """Return the printed width of a photo that may be taller than there is room for."""
    width = box.width if box else photo.taken.width_px
    height = box.height if box else photo.taken.height_px
    if not (width and height):
        return width_pt
    return min(width_pt, width_pt * _TALLEST * width / height)


def source_of(view: BookView, photo: str) -> str:
    """Return where a photo's file is, empty if it is gone."""
    try:
        return str(view.photo_path(photo))
    except StoreError:
        return ""  # said as missing beside the empty frame


def hold_prints(view: BookView, photos: tuple[Photo, ...], name: str) -> list[Print]:
    """Return the photos filed at a hold point, of what closes it, small."""
    return [
        Print(
            {
                "file": f"h{photo.stamp.bench}-{photo.stamp.seq}.jpg",
                "width": _narrowed(SMALL_PT, None, photo),
                "overlay": "",
                "large": False,
                "near": "",
                "far": "",
                "head": head(photo, None, large=False),
                "caption": caption(photo, None, None),
                "alt": f"{name}, {photo.taken.role}.",
            },
            Wanted(
                f"h{photo.stamp.bench}-{photo.stamp.seq}.jpg",
                source_of(view, photo.taken.photo),
                photo.taken.photo,
                _narrowed(SMALL_PT, None, photo),
            ),
        )
        for photo in photos
    ]


def cover_print(view: BookView, known: Round) -> Print | None:
    """Return the first overall photo of the job, for page 1."""
    for place in known.places:
        for photo in place.photos_of("overall"):
            made = _print(view, place, photo, None, width_pt=_COVER_PT, scale_px={})
            wanted = Wanted(
                "cover.jpg", made.wanted.source, photo.taken.photo, made.wanted.width_pt
            )
            below = [f"{place.location.name}, {moment(photo.stamp.at)}. Photo "]
            data = {**made.data, "file": "cover.jpg", "head": [], "large": True}
            data["caption"] = [*below, {"mono": photo.taken.photo[:8]}]
            return Print(data, wanted)
    return None
