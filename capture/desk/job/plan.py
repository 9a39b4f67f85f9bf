"""Plan at the bench: locations and checks in walking order, and every change of them."""

from collections.abc import Callable, Mapping

from PySide6.QtCore import QTimer

from capture.desk.bench import Work
from capture.desk.job.alike import alike, alike_words, is_to_be_looked_up, next_to_look_up
from capture.desk.job.changing import changing
from capture.desk.job.form import Form
from capture.desk.job.never import never_form, offer_photos
from capture.desk.job.page import Page
from capture.desk.job.plan_forms import (
    check_fields,
    hold_fields,
    limit_fields,
    location_fields,
    offer_plan,
)
from capture.desk.job.plan_ids import follow_names
from capture.desk.job.said_plan import location_of, open_limits, plan_detail, plan_rows, unsaid
from capture.desk.job.typed_plan import (
    ASKED_OF,
    assumed_words,
    check_added,
    hold_added,
    limit_changes,
    limit_title,
    location_added,
    moved,
    renamed,
)
from capture.desk.look.controls import Verb
from capture.desk.look.field import Field, LineField
from capture.desk.look.row import Row
from capture.desk.look.tick import TickField
from store.change import Change
from store.plan import Plan
from store.round import Round

Made = Callable[[dict[str, str]], Change]
_BESIDE_FORM, _MOST = 130, 16_777_215  # Qt's own largest height
_ALWAYS = {"location", "kind", "question", "id", "caution", "reason"}


class PlanPage(Page):
    """Every change is an entry; what was there before stays legible in the book."""

    name = "Plan"

    def build(self) -> None:
        """Two lines of verbs; a form for each change that needs words."""
        self._only_open = False
        self._waited = ""  # the check whose limit is being looked up
        desk = self.desk
        self._add_form("location", "A location that the plan lacks", location_fields(), "Add it",
                       location_added)  # fmt: skip
        self._add_form("check", "A check that a location lacks", check_fields(), "Add it",
                       lambda texts: check_added(texts, self._plan.job))  # fmt: skip
        self._add_form("hold", "A hold point that the plan lacks", hold_fields(), "Add it",
                       hold_added)  # fmt: skip
        follow_names(self, lambda: self.known)
        names = {"name": LineField("What it is called from now on"), "reason": LineField("Why")}
        self._add_form("rename", "", names, "Rename it",
                       lambda texts: renamed(texts, location_of(self.rows.key)))  # fmt: skip
        limit = self.add_form("limit", Form(desk, "", limit_fields(), "Set the limit", self._limit,
                                            blame={"say why": "reason"}))  # fmt: skip
        limit.done.connect(self._go_on)
        self.add_form("never", never_form(self, lambda: location_of(self.rows.key)))
        self.form("check").fields["kind"].edited.connect(self._ask_kind)
        self._ask_kind()
        self.limit = Verb("Limit", "L", does=self._open_limit)
        self.rename = Verb("Rename", "R", does=self._open_rename)
        self.up = Verb("Earlier", "U", does=lambda: self._move(-1))
        self.down = Verb("Later", "D", does=lambda: self._move(1))
        self.never = Verb("Never fitted", "N", does=self._open_never)
        self.only = Verb("Limits to look up", "F", does=self._filter)
        self.check = Verb("Add check", "K", does=self._open_check)
        self.add_verbs(
            Verb("Add location", "A", does=self._open_location), self.check, self.limit,
            self.rename, self.up, self.down,
        )  # fmt: skip
        self.add_verbs(
            self.never, Verb("Add hold point", "H", does=lambda: self.open_form("hold")), self.only
        )

    # --- what a page says of itself -------------------------------------------------------

    def rows_of(self, known: Round) -> list[Row]:
        """Return locations and their checks."""
        many = open_limits(known)
        self.only.setEnabled(bool(many) or self._only_open)
        self.only.set_words("The whole plan" if self._only_open
                            else f"Limits to look up: {many}")  # fmt: skip
        return plan_rows(known, only_open=self._only_open)

    def detail_of(self, known: Round, key: str) -> str:
        """Return a location or a check in full, without what its row shows whole."""
        row = self.rows.row_at(self.rows.currentRow())
        whole = plan_detail(known, key)
        return whole if self.rows.is_cut(row) else unsaid(whole, row)

    def nothing(self) -> str:
        """Say what to do next."""
        if self._only_open:
            return "No limit is still to be looked up."
        return "The plan is empty: add the first location (A), then what is checked there (K)."

    def arm(self, known: Round, key: str) -> None:
        """Offer a limit for a check, the rest for a location."""
        for verb in (self.rename, self.up, self.down, self.never, self.check):
            verb.setEnabled(bool(key))
        self.check.setEnabled(bool(known.plan.locations))
        self.limit.setEnabled("." in key)

    def go_to(self, key: str) -> None:
        """Show the row of a key, in the whole plan where the list has not got it."""
        if self._only_open and key not in self.rows.row_keys():
            self._filter()
        super().go_to(key)

    def resized(self, *, form: bool) -> None:
        """Leave two rows in sight above a form."""
        self.rows.setMaximumHeight(_BESIDE_FORM if form else _MOST)
        QTimer.singleShot(0, self.rows, self.rows.reveal)  # once it has its height

    # --- private --------------------------------------------------------------------------

    @property
    def _plan(self) -> Plan:
        assert self.known is not None  # noqa: S101 - a page is shown with a book only
        return self.known.plan

    def _add_form(
        self, name: str, title: str, fields: Mapping[str, Field], verb: str, made: Made
    ) -> None:
        def asks(texts: dict[str, str]) -> Work:
            return changing([made(texts)], texts.get("reason", ""))

        self.add_form(name, Form(self.desk, title, fields, verb, asks))

    def _limit(self, texts: dict[str, str]) -> Work:
        key, plan = self.rows.key, self._plan
        keys = (key, *alike(plan, key)) if texts.get("also") else (key,)
        changes = [each for one in keys for each in limit_changes(texts, one, plan)]
        return changing(changes, texts["reason"], assumed_words(texts, key, plan))

    def _open_location(self) -> None:
        offer_plan(self.form("location").fields, self._plan)
        after = {"after": location_of(self.rows.key)} if self.rows.key else {}
        self.open_form("location", texts=after)

    def _open_check(self) -> None:
        offer_plan(self.form("check").fields, self._plan)
        self.open_form("check", texts={"location": location_of(self.rows.key)})

    def _open_rename(self) -> None:
        at = self._plan.location(location_of(self.rows.key))
        self.open_form("rename", f"Rename {at.id}", {"name": at.name})

    def _open_never(self) -> None:
        offer_photos(self.form("never"), self.known, location_of(self.rows.key))
        self.open_form("never", f"{location_of(self.rows.key)} was never fitted on this block")

    def _open_limit(self) -> None:
        _, check = self._plan.characteristic(self.rows.key)
        form = self.form("limit")
        others = alike(self._plan, self.rows.key)
        left = {"of"} if check.kind != "coverage" else set()
        left |= {"decides"} if not check.wear_limit else set()
        left |= {"also"} if not others else set()
        form.show_only(set(form.fields) - left)
        also = form.fields["also"]
        assert isinstance(also, TickField)  # noqa: S101 - it is made so
        also.set_words(alike_words(others))
        self._waited = self.rows.key if is_to_be_looked_up(check) else ""
        self.open_form("limit", limit_title(self.rows.key, check),
                       {"decides": check.judged_by, "also": ""})  # fmt: skip

    def _go_on(self) -> None:
        """Go to the next limit that is to be looked up, where this one was."""
        if self._waited and self.known is not None:
            self.rows.choose(next_to_look_up(self.known, self._waited))

    def _ask_kind(self) -> None:
        form = self.form("check")
        form.show_only(_ALWAYS | set(ASKED_OF[form.fields["kind"].text()]))

    def _move(self, steps: int) -> None:
        change = moved(self._plan, location_of(self.rows.key), steps)
        if change is None:
            end = "first" if steps < 0 else "last"
            self.desk.told.emit(f"{location_of(self.rows.key)} is the {end} one already")
        else:
            self.act(changing([change], ""))

    def _filter(self) -> None:
        self._only_open = not self._only_open
        self.show_round(self.known)
