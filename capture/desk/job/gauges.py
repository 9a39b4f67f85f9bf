"""Gauges: the register, what is against one, and what rests on it."""

from pathlib import Path

from capture.desk import errands
from capture.desk.bench import Work
from capture.desk.job.changing import changing
from capture.desk.job.form import Form
from capture.desk.job.made_id import follow
from capture.desk.job.page import Page
from capture.desk.job.said_things import gauge_detail, gauge_rows
from capture.desk.job.typed_things import gauge_set, suspicion
from capture.desk.look.controls import Verb
from capture.desk.look.dialogs import ask_folder
from capture.desk.look.field import ChoiceField, Field, LineField
from capture.desk.look.row import Row
from capture.desk.start.folder import jobs_folder
from capture.desk.taken_over import Register, read_register, taking_over
from capture.desk.unfit import refuse_empty
from capture.words.quantities import count_text, given_text
from store.change import GaugeSet
from store.plan import Gauge
from store.round import Round


class GaugesPage(Page):
    """A gauge that may have been wrong leaves everything that rests on it unproven."""

    name = "Gauges"

    def build(self) -> None:
        """Add, change, suspect, clear, take over."""
        self.ask_folder = ask_folder
        self.add_form("add", Form(self.desk, "A gauge that the register lacks", _fields(new=True),
                                  "Enter it", lambda texts: self._set(texts, "")))  # fmt: skip
        self.add_form("change", Form(self.desk, "", _fields(new=False), "Enter it",
                                     lambda texts: self._set(texts, self.rows.key)))  # fmt: skip
        since = {
            "since": LineField("May have been wrong since", "the day, as 2026-11-03"),
            "reason": LineField("Why", "fell on the floor"),
        }
        self.add_form("suspect", Form(self.desk, "", since, "It is suspect", self._suspect,
                                      words="Everything read with it since then is unproven until "
                                      "it is read again or the gauge is cleared."))  # fmt: skip
        how = {"reason": LineField("How is it known that it was right?")}
        self.add_form("clear", Form(self.desk, "", how, "Clear it", self._clear))
        self.change = Verb("Change", "C", does=self._open_change)
        self.suspect = Verb("Suspect", "S", does=lambda: self._open("suspect", "may be wrong"))
        self.clear = Verb("Clear", "L", does=lambda: self._open("clear", "was right after all"))
        self.add_verbs(
            Verb("Add a gauge", "A", does=lambda: self.open_form("add")),
            self.change, self.suspect, self.clear,
            Verb("Take over from another job", "T", does=self.take_over),
        )  # fmt: skip
        new = self.form("add").fields
        follow(new["kind"], new["id"], self._ids)

    def rows_of(self, known: Round) -> list[Row]:
        """Return the register."""
        return gauge_rows(known, self.today)

    def detail_of(self, known: Round, key: str) -> str:
        """Return a gauge with what is unproven for it; itself only where its row is cut short."""
        whole = gauge_detail(known, key, self.today)
        row = self.rows.row_at(self.rows.currentRow())
        return whole if self.rows.is_cut(row) else whole.partition("\n")[2]

    def nothing(self) -> str:
        """Say what belongs here."""
        return (
            "No gauge is entered: without one, its error is not counted. Add one (A), or "
            "take over those of another job (T)."
        )

    def arm(self, known: Round, key: str) -> None:
        """Only what is suspect can be cleared."""
        state = next((each for each in known.gauges if each.gauge.id == key), None)
        self.change.setEnabled(state is not None)
        self.suspect.setEnabled(state is not None)
        self.clear.setEnabled(bool(state and state.suspect))

    def take_over(self, root: Path | None = None) -> None:
        """Enter the gauges of another job that this one lacks: from a folder, or asked for."""
        start = jobs_folder(self.desk.memory.books())
        root = root or self.ask_folder(self, "The folder of the job that has the gauges", start)
        if root is not None:
            errands.run(lambda: read_register(root), self._take_over,
                        lambda refused: self.desk.refused.emit(refused.sentence))  # fmt: skip

    def _take_over(self, register: Register) -> None:
        changes = taking_over(register, self.known.plan) if self.known else []
        if not changes:
            self.desk.told.emit(f"job {register.number} has no gauge that this one lacks")
            return
        count = count_text(len(changes), "gauge")
        left = f"; {count_text(register.suspect, 'suspect one')} left there"
        said = f"{count} of job {register.number} entered{left if register.suspect else ''}"
        self.act(changing(changes, f"taken over from job {register.number}"), said)

    def _ids(self) -> set[str]:
        return {gauge.id for gauge in self.known.plan.gauges} if self.known else set()

    def _open(self, form: str, words: str) -> None:
        self.open_form(form, f"{self.rows.key} {words}")

    def _open_change(self) -> None:
        gauge = self.known.plan.gauge(self.rows.key) if self.known else None
        if gauge is not None:
            self.open_form("change", f"{gauge.id} as it is now", gauge_texts(gauge))

    def _set(self, texts: dict[str, str], gauge_id: str) -> Work:
        assert self.known is not None  # noqa: S101 - a page is shown with a book only
        change = gauge_set(texts, self.known.plan, self.today, gauge_id)
        reason = texts.get("reason", "")
        return lambda journey: _entered(change, journey.change_plan(change, reason).seq)

    def _suspect(self, texts: dict[str, str]) -> Work:
        since, reason = suspicion(texts, self.today)
        gauge = self.rows.key
        return lambda journey: (
            f"{gauge} is suspect since {since}, "
            f"entry {journey.suspect_gauge(gauge, since=since, reason=reason).seq}"
        )

    def _clear(self, texts: dict[str, str]) -> Work:
        refuse_empty(texts, reason="how is it known that it was right?")
        gauge = self.rows.key
        return lambda journey: (
            f"{gauge} is cleared, entry {journey.clear_gauge(gauge, reason=texts['reason']).seq}"
        )


def gauge_texts(gauge: Gauge) -> dict[str, str]:
    """Return a gauge as the form shows it."""
    return {
        "kind": gauge.kind,
        "resolution": given_text(gauge.resolution),
        "permissible_error": given_text(gauge.permissible_error),
        "last_check": gauge.last_check,
        "due": gauge.due,
        "set_on": gauge.set_on,
        "marked": gauge.marked,
        "repeatability": given_text(gauge.repeatability) if gauge.repeatability else "",
        "repeats": str(gauge.repeats or ""),
        "difference": "yes" if gauge.difference else "",
        "reason": "",
    }


def _entered(change: object, entry: int) -> str:
    gauge = change.gauge.id if isinstance(change, GaugeSet) else "it"
    return f"{gauge} is entered as it is now, entry {entry}"


def _fields(*, new: bool) -> dict[str, Field]:
    last: dict[str, Field] = {"id": LineField("Id", "made of what it is; it stays")} if new else {}
    return {
        "kind": LineField("What it is", "outside micrometer 25-50"),
        "resolution": LineField("Read to, with its unit", "0.001 mm"),
        "permissible_error": LineField("May err by", "its maker's, or the last check's"),
        "last_check": LineField("Checked last, as 2026-03-31"),
        "due": LineField("Due again"),
        "set_on": LineField("Set on", "another gauge's id, or words"),
        "marked": LineField("Number engraved on it"),
        "repeatability": LineField("Repeats to", "standard deviation of single readings"),
        "repeats": LineField("Found in how many readings"),
        "difference": ChoiceField(
            "What it shows", (("", "a size"), ("yes", "bigger or smaller"))
        ),
        "reason": LineField("Why it is entered now"),
        **last,
    }  # fmt: skip
