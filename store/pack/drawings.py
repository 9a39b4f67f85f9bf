"""The marks of every measurement on a photo: a drawing to lay over the photo, and the data.

Both follow from the chain: verify makes them anew and compares.
"""

import json
from collections.abc import Iterable

import msgspec

from annotate.drawings.overlay import to_svg
from store.codec import Entry
from store.evidence import Marked

FOLDER = "layers"


def drawings(entries: Iterable[Entry]) -> dict[str, str]:
    """Return name -> content of an SVG and a JSON file for each entry that holds marks.

    A file is named by the bench and the number of its entry. Coordinates in the drawing are those
    of the upright photo from the corner of its top left pixel; in the data, from that pixel's
    centre.
    """
    found: dict[str, str] = {}
    for entry in entries:
        if isinstance(entry.evidence, Marked):
            stem = f"{entry.bench}-{entry.seq:06d}"
            marked = entry.evidence
            found[f"{stem}.svg"] = _with_title(
                to_svg(marked.layer, near=marked.result.near, far=marked.result.far),
                f"{marked.key}, photo {marked.photo}",
            )
            found[f"{stem}.json"] = _data(entry, marked)
    return found


def _with_title(svg: str, title: str) -> str:
    # Keys and hashes alone: nothing in them needs escaping.
    head, bracket, rest = svg.partition(">")
    return f"{head}{bracket}<title>{title}</title>{rest}\n"


def _data(entry: Entry, marked: Marked) -> str:
    data = {
        "entry": entry.hash,
        "key": marked.key,
        "photo": marked.photo,
        "by": entry.by,
        "at": entry.at,
        "layer": msgspec.to_builtins(marked.layer),
    }
    return json.dumps(data, ensure_ascii=False, indent=1, sort_keys=True, allow_nan=False) + "\n"
