"""What the map says and offers while there is no overall photo of the block yet."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, row
from capture.desk.map.words import no_face
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.photos.empty import Empty
from capture.desk.photos.taking import Chooser, choose_files
from capture.desk.where import Where
from store.round import Round


class NoFace(QWidget):
    """A dashed outline where the photo will be, one sentence, and the verbs that bring one."""

    def __init__(self, desk: Desk, choose: Chooser = choose_files) -> None:
        super().__init__()
        self._desk, self.choose = desk, choose
        self._location = ""
        self.empty = Empty()
        self.take_verb = Verb("Take photo", "T", primary=True, does=self._take)
        self.add_verb = Verb("Add photo file", "A", does=self._add)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(12)
        column.addWidget(self.empty, 1)
        column.addLayout(row(self.take_verb, self.add_verb, 1))

    def show_round(self, known: Round, here: str) -> None:
        """Say what to do; what is taken is filed at ``here``, or at the first location."""
        ids = [place.location.id for place in known.places]
        self._location = here if here in ids else next(iter(ids), "")
        names = {place.location.id: place.location.name for place in known.places}
        self.empty.say(no_face(known, names.get(self._location, "")))
        for verb in (self.take_verb, self.add_verb):
            verb.setEnabled(bool(self._location))

    def _take(self) -> None:
        self._desk.go(Where("camera", self._location, part="overall"))

    def _add(self) -> None:
        paths = self.choose(self)
        if paths:
            arrivals_of(self._desk).take_paths(paths, location=self._location, role="overall")
