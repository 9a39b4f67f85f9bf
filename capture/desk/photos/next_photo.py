"""What the next photo is for: chosen, or the first role that is missing."""

from typing import Literal

from PySide6.QtCore import QObject, Signal

from capture.desk.desk import Desk
from capture.desk.photos.choice import role_to_take
from capture.desk.where import Where
from store.evidence import View
from store.plan import Role


class NextPhoto(QObject):
    """Goes back to the first missing role when a photo came, and at another location."""

    changed = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._desk = desk
        self._role: Role | Literal[""] = ""
        self._view: View = "direct"
        self._location = desk.where.location
        desk.went.connect(self._went)

    @property
    def role(self) -> Role:
        """The role in which the next photo is filed at the location shown."""
        if self._role:
            return self._role
        desk = self._desk
        return role_to_take(desk.place, desk.check, desk.round) if desk.place else "close-up"

    @property
    def view(self) -> View:
        """How what is added next looks at the block."""
        return self._view

    def role_at(self, location: str) -> Role:
        """Return the role in which it is filed at a location or a hold point."""
        desk = self._desk
        if desk.place is not None and desk.place.location.id == location:
            return self.role
        places = desk.round.places if desk.round else ()
        place = next((p for p in places if p.location.id == location), None)
        return role_to_take(place, None, desk.round) if place else "what closes it"

    def choose(self, role: Role | Literal[""], view: View = "direct") -> None:
        """Say what the next photo is for; "" goes back to the first role that is missing."""
        self._role, self._view = role, view
        self.changed.emit()

    def came(self) -> None:
        """Go back to the first missing role; what it is seen through stays."""
        self.choose("", self._view)

    def _went(self, where: Where) -> None:
        if where.location != self._location:
            self._location = where.location
            self.choose("")
