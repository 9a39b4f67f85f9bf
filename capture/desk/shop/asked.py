"""What is looked for in the books of many jobs: the fields, and where the books lie."""

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QWidget

from capture.desk.look.dialogs import ask_folder
from capture.desk.look.field import Field, LineField, PickField
from capture.desk.look.file_field import FileField
from capture.errors import Unfit
from store.many_jobs.sought import Sought, has_words

_VERDICTS = ("within", "outside", "too close to call", "not measured", "no limit")
_COLUMNS = 3


class Asked(QWidget):
    """Seven fields; what is empty is not asked for."""

    edited = Signal()

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self.fields: dict[str, Field] = {
            "customer": LineField("Customer, or a part of the name"),
            "engine": LineField("Engine, or its number"),
            "check": LineField("Check: B1.covered, or covered, or words of it"),
            "gauge": LineField("Gauge that it rests on"),
            "verdict": PickField(
                "Where it stands", [("", "anywhere"), *((word, word) for word in _VERDICTS)]
            ),
            "words": LineField("Words of what was asked, typed and said"),
        }
        self.folder = FileField("Books lie below", self, "", ask_folder)
        self.folder.set_text(str(folder))
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(16)
        grid.setVerticalSpacing(8)
        for number, field in enumerate(self.fields.values()):
            grid.addWidget(field, number // _COLUMNS, number % _COLUMNS)
            field.edited.connect(self.edited)
        grid.addWidget(self.folder, 2, 0, 1, _COLUMNS)
        for column in range(_COLUMNS):
            grid.setColumnStretch(column, 1)

    def sought(self) -> tuple[Path, Sought]:
        """Return what is asked for; raises Unfit naming the field that holds something else."""
        texts = {name: field.text() for name, field in self.fields.items()}
        folder = Path(self.folder.text()).expanduser()
        wrong = {}
        if not self.folder.text() or not folder.is_dir():
            wrong["folder"] = "there is no such folder: choose the one that the books lie in"
        if texts["words"] and not has_words(texts["words"]):
            wrong["words"] = "there is no letter and no figure in it: type a word"
        if wrong:
            raise Unfit(wrong)
        return folder, Sought(**texts)

    def say_wrong(self, wrong: dict[str, str]) -> None:
        """Say at each field what is wrong with it, and at the others nothing."""
        for name, field in {**self.fields, "folder": self.folder}.items():
            field.set_error(wrong.get(name, ""))
