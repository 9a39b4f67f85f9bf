"""Which plans a job is begun from: the library's, files, the job that came back, or none."""

from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.look.controls import Verb, label, row
from capture.desk.look.field import LineField
from capture.desk.look.flow import Flow
from capture.desk.look.palette import Palette
from capture.desk.look.row import Row
from capture.desk.look.rows import RowList
from capture.desk.look.scrolled import reveal
from capture.desk.start.how_many import HowMany
from capture.desk.start.offered import Chosen, Offered
from capture.desk.start.trim import trim_rows
from capture.desk.taken_over import Register
from capture.errors import Unfit
from store.plan import Plan

_COMEBACK, _EMPTY, _GAUGES = "comeback", "empty", "gauges"
_HEAD = "Plans: tick what this job needs (Space). Each asks for the maker's limits."


class PlanChoice(QWidget):
    """The left half of a new job. ``changed`` when another plan may come of it."""

    changed = Signal()
    file_wanted = Signal()
    book_wanted = Signal()

    def __init__(self, palette: Palette) -> None:
        super().__init__()
        self._library: tuple[Offered, ...] = ()
        self._files: dict[str, tuple[Path, Offered]] = {}
        self._ticked: set[str] = set()
        self.left_out: frozenset[str] = frozenset()
        self.before: Plan | None = None
        self._register: Register | None = None
        self._take: bool | None = None  # None: as is usual
        self._has_gauges = False
        self._lay_out(palette)
        self._draw()

    # --- what is chosen -------------------------------------------------------------------

    def offer(self, library: tuple[Offered, ...]) -> None:
        """Offer the library's plans."""
        self._library = library
        self._draw()
        self.plans.choose(library[0].name)

    def add_file(self, path: Path, offered: Offered) -> None:
        """Offer a plan file too, ticked."""
        self._files[str(path)] = (path, offered)
        self._tick(str(path), ticked=True)

    def offer_gauges(self, register: Register) -> None:
        """Offer the gauges of the last job."""
        self._register = register if register.gauges else None
        self._draw()

    @property
    def gauges_taken(self) -> Register | None:
        """The register that is taken over; by default where the plan has no gauge of its own."""
        register = self._register
        usual = register is not None and not register.is_demo and not self._has_gauges
        return register if (usual if self._take is None else self._take) else None

    def set_before(self, root: Path, plan: Plan) -> None:
        """Take the plan of the job that came back."""
        self.comeback.set_text(str(root))
        self.before = plan
        self._tick(_COMEBACK, ticked=True)

    def chosen(self) -> Chosen:
        """Return what is ticked; raises Unfit for a list that can't be read."""
        return Chosen(
            library=tuple(each.name for each in self._library if each.name in self._ticked),
            files=tuple(path for key, (path, _) in self._files.items() if key in self._ticked),
            before=self.before if _COMEBACK in self._ticked else None,
            lists=self.how_many.lists(),
        )

    def refuse_lacking(self) -> None:
        """Raise Unfit where nothing can be begun from what is ticked."""
        if self.is_nothing:
            raise Unfit({"plan": "tick a plan, or the empty one"})
        if self.is_comeback and not self.comeback_of:
            raise Unfit({"comeback": "say which job came back"})
        self.chosen()

    @property
    def is_nothing(self) -> bool:
        """Whether nothing is ticked, not even the empty plan."""
        return not self._ticked

    @property
    def comeback_of(self) -> Path | str:
        """The book of the job that came back, or its number in words; empty if it is none."""
        if _COMEBACK not in self._ticked:
            return ""
        typed = self.comeback.text()
        return Path(typed) if typed and Path(typed).is_dir() else typed

    @property
    def is_comeback(self) -> bool:
        """Whether it is ticked that a job came back."""
        return _COMEBACK in self._ticked

    def show_whole(self, whole: Plan | None) -> None:
        """List what can be left out of a plan."""
        self._has_gauges = bool(whole and whole.gauges)
        self._draw()
        self.leave_out.setEnabled(bool(whole and whole.locations))
        self.trim.show_rows(trim_rows(whole, self.left_out) if whole else [])

    def show_also(self, sentence: str) -> None:
        """Say what is left out because it hangs on what was left out."""
        self.also.setText(sentence)
        self.also.setVisible(bool(sentence))

    def show_fault(self, sentence: str) -> None:
        """Say why no plan comes of it."""
        self.fault.setText(sentence)
        self.fault.setVisible(bool(sentence))

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.plans.wear(palette)
        self.trim.wear(palette)

    # --- private --------------------------------------------------------------------------

    def _lay_out(self, palette: Palette) -> None:
        self.plans = RowList("plans", palette)
        self.plans.show_whole()
        self.plans.ticked.connect(lambda key, ticked: self._tick(key, ticked=ticked))
        self.fault = label("", "caption", bold=True, wrap=True)
        self.fault.setAccessibleName("what is wrong with the plans")
        self.fault.hide()
        self.comeback = LineField(
            "Which job came back? Its book's folder, or its number alone",
            "A comeback is linked to the old job; its plan is offered again.",
        )
        self.comeback.edited.connect(self._forget_before)
        self.find_book = Verb("Find its book", "Ctrl+B", does=self.book_wanted.emit)
        self.how_many = HowMany()
        self.how_many.edited.connect(self.changed)
        self.add = Verb("Add a plan file", "Ctrl+P", does=self.file_wanted.emit)
        self.leave_out = Verb("Leave some out", "Ctrl+L", does=self._open_trim)
        self.trim = RowList("what the plans ask: what is not ticked is left out", palette)
        self.trim.setFixedHeight(340)
        self.trim.ticked.connect(self._trim)
        self.trim.hide()
        self.also = label("", "caption", wrap=True)
        self.also.setAccessibleName("what else is left out")
        self.also.hide()
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(8)
        down.addWidget(label(_HEAD, "caption", wrap=True))
        for widget in (self.plans, self.fault, self.comeback):
            down.addWidget(widget)
        down.addLayout(row(self.find_book, 1))
        down.addLayout(Flow(self.add, self.leave_out))
        down.addWidget(self.how_many)
        down.addWidget(self.also)
        down.addWidget(self.trim)
        down.addStretch(1)

    def _draw(self) -> None:
        rows = [
            Row(each.name, each.title, each.about, each.size, ticked=each.name in self._ticked)
            for each in self._library
        ]
        rows += [
            Row(key, offered.name, offered.about, offered.size, ticked=key in self._ticked)
            for key, (_, offered) in self._files.items()
        ]
        rows += [
            Row(_COMEBACK, "Comeback", "Linked to the old job, with its plan", "asks which job",
                ticked=_COMEBACK in self._ticked),
            Row(_EMPTY, "Empty plan", "Write your own locations as you walk round",
                "0 locations", ticked=_EMPTY in self._ticked),
        ]  # fmt: skip
        if (register := self._register) is not None:
            rows.append(Row(_GAUGES, register.words, register.about,
                            ticked=self.gauges_taken is not None))  # fmt: skip
        self.plans.show_rows([each._replace(bold=bool(each.ticked)) for each in rows])
        for widget in (self.comeback, self.find_book):
            widget.setVisible(_COMEBACK in self._ticked)
        self.how_many.offer(self._planned())

    def _planned(self) -> dict[str, tuple[str, ...]]:
        """Return the lists of the ticked plans; of one that two of them have, the first's."""
        plans = [each for each in self._library if each.name in self._ticked]
        plans += [offered for key, (_, offered) in self._files.items() if key in self._ticked]
        lists: dict[str, tuple[str, ...]] = {}
        for each in plans:
            for name, words in each.lists.items():
                lists.setdefault(name, words)
        return lists

    def _tick(self, key: str, *, ticked: bool) -> None:
        if key == _GAUGES:
            self._take = ticked
        elif ticked:
            # The empty plan stands alone; a comeback may go with either.
            self._ticked -= {_EMPTY} if key != _EMPTY else self._ticked - {_COMEBACK}
            self._ticked.add(key)
        else:
            self._ticked.discard(key)
        self.show_fault("")
        self._draw()
        self.changed.emit()

    def _forget_before(self) -> None:
        self.before = None
        self.changed.emit()

    def _open_trim(self) -> None:
        self.trim.setVisible(self.trim.isHidden())
        if not self.trim.isHidden():
            self.trim.setFocus(Qt.FocusReason.OtherFocusReason)
            QTimer.singleShot(0, self.trim, lambda: reveal(self.trim))  # once it has its room

    def _trim(self, key: str, ticked: bool) -> None:
        self.left_out = self.left_out - {key} if ticked else self.left_out | {key}
        self.changed.emit()
