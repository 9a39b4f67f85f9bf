"""Ids in a plan: what may be one, and that none is there twice."""

import re

from store.errors import BadPlan

_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,31}")


def check_id(text: str) -> None:
    """Refuse with BadPlan what can't be an id."""
    if not _ID.fullmatch(text):
        raise BadPlan(f"{text!r} is not an id: letters, figures, - and _, at most 32")


def check_unique(what: str, ids: list[str], where: str = "") -> None:
    """Refuse with BadPlan an id that is there twice."""
    if len(set(ids)) != len(ids):
        twice = next(i for i in ids if ids.count(i) > 1)
        raise BadPlan(f"{what} {twice!r}{where} is there twice")
