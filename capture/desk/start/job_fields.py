"""The fields of a new job: what is rebuilt, for whom, in which units."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.look.field import ChoiceField, Field, LineField, WordsField
from capture.desk.start.recent import Recent
from store.plan import Job

_BOTH = "Both are always printed. A typed number keeps the unit it was typed in."


class JobFields(QWidget):
    """One field below the other. ``edited`` is told which one changed."""

    edited = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.fields: dict[str, Field] = {
            "engine": LineField("Engine"),
            "customer": LineField("Customer"),
            "number": LineField("Job number"),
            "units": ChoiceField("Units shown", (("US", "inches"), ("metric", "mm")), _BOTH),
            "decimal_comma": ChoiceField(
                "Decimal mark, as you type it", (("point", "1.25"), ("comma", "1,25"))
            ),
            "shop": LineField("Shop"),
            "engine_number": LineField("Engine number, as stamped"),
            "instructions": WordsField("What the owner asked for, one a line"),
            "declined": WordsField("Advice the owner declined, one a line"),
        }
        self.fields["units"].set_text("metric")
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(8)
        for name, field in self.fields.items():
            field.edited.connect(lambda name=name: self.edited.emit(name))
            down.addWidget(field)
        down.addStretch(1)

    def texts(self) -> dict[str, str]:
        """Return what each field holds, by name."""
        return {name: field.text() for name, field in self.fields.items()}

    def fill(self, job: Job) -> None:
        """Take what a plan file or an old job says, where nothing was typed yet."""
        told = {
            "engine": job.engine, "customer": job.customer, "number": job.number,
            "shop": job.shop, "engine_number": job.engine_number,
            "instructions": "\n".join(job.instructions), "declined": "\n".join(job.declined),
        }  # fmt: skip
        for name, words in told.items():
            if words and not self.fields[name].text():
                self.fields[name].set_text(words)
        self.fields["units"].set_text(job.units)
        self.fields["decimal_comma"].set_text("comma" if job.decimal_comma else "point")

    def fill_usual(self, last: Recent | None) -> None:
        """Take the shop and the units of the job before, where nothing was typed yet."""
        if last is not None and last.shop and not self.fields["shop"].text():
            self.fields["shop"].set_text(last.shop)
            self.fields["units"].set_text(last.units)
