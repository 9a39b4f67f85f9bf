"""A round -> the JSON that programs read, with everything that is known of the job."""

from typing import Any

from capture.commands.books import check_answer
from capture.commands.stock_answer import (
    gauge_answer,
    kit_answer,
    part_answer,
    plug_answer,
    told_answer,
)
from capture.commands.walked import holds_shown, places_shown
from capture.words.owed import next_check, open_checks, wants_of
from store.round import Hold, Photo, Place, Round


def round_answer(walked: Round, *, only_open: bool = False, at: str = "") -> dict[str, Any]:
    """Return the round for a program; ``only_open`` and ``at`` leave out as for a person."""
    places = places_shown(walked, only_open=only_open, at=at)
    holds = holds_shown(walked, only_open=only_open, at=at)
    checks = [
        check for place in places for check in (open_checks(place) if only_open else place.checks)
    ]
    following = next_check(walked)
    return {
        "job": walked.job.number,
        "entries": walked.entries,
        "tally": dict(walked.tally()),
        "next": following.key if following else None,
        "checks": [check_answer(check) for check in checks],
        "locations": [_place_answer(walked, place) for place in places],
        "hold_points": [hold_answer(hold) for hold in holds],
        "plugs": [plug_answer(plug) for plug in walked.plugs],
        "parts": [part_answer(part) for part in walked.parts],
        "kit": [kit_answer(line) for line in walked.kit],
        "gauges": [gauge_answer(gauge) for gauge in walked.gauges],
        "papers": [told_answer(paper) for paper in walked.papers],
        "owner": [told_answer(word) for word in walked.owner],
        "changes": [told_answer(change) for change in walked.changes],
        "counts_open": list(walked.counts_open),
        "follows": walked.follows,
    }


def hold_answer(hold: Hold) -> dict[str, Any]:
    """Return a hold point for a program."""
    return {
        "id": hold.hold_point.id,
        "name": hold.hold_point.name,
        "state": hold.state,
        "sealed": None if not hold.hold_point.seal else hold.seal is not None,
        "refused": len(hold.refusals),
        "reopened": [reason for _, reason in hold.reopened],
        "unproven": [{"key": key, "why": why} for key, why in hold.unproven],
        "hides": list(hold.hides),
        "photos": [_photo_answer(photo) for photo in hold.photos],
    }


def _place_answer(walked: Round, place: Place) -> dict[str, Any]:
    return {
        "id": place.location.id,
        "name": place.location.name,
        "photos": [_photo_answer(photo) for photo in place.photos],
        "wanted": wants_of(walked, place),
        "never_fitted": place.never is not None,
        "debris": [told_answer(log) for log in place.debris],
        "on_map": told_answer(place.on_map) if place.on_map else None,
        "neighbours": list(place.neighbours),
        "reworked": [{"entry": stamp.entry, "what": what} for stamp, what in place.reworked],
    }


def _photo_answer(photo: Photo) -> dict[str, Any]:
    taken = photo.taken
    return {
        "photo": taken.photo,
        "file": taken.file_name,
        "role": taken.role,
        "shows": list(taken.keys),
        "gauge": taken.gauge,
        "view": taken.view,
        "up": taken.up,
        "stands": taken.stands,
        "entry": photo.stamp.entry,
        "by": photo.stamp.by,
        "at": photo.stamp.at,
        "struck": photo.struck.reason if photo.struck else None,
    }
