"""What has to be settled before the first post: how each stands, written down in place; the job issued for build."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from PySide6.QtWidgets import QLineEdit

from planner.errors import BadSetting
from planner.surroundings.before_start import ISSUED, Item, held_back_by
from planner.surroundings.clearances import KINDS, Clearance
from planner.ui.dialogs.cards_sheet import CardsSheet
from planner.ui.panels.cards import Card, Words, button
from planner.ui.panels.combo import Combo
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable
from planner.upkeep.typed import day_gone_by, typed_day

CAUTION = ("No list replaces asking. Many buried pipes and cables are on no register, private ones least of all. Rules "
           "on clearing, waterways, road reserves and boundaries are local: the bodies named here decide.")
OWN = "own"


class BeforeSheet(CardsSheet):
    """The list before the first post of the job in hand."""

    title = "Before the first post"
    wide, high = 1080, 640

    def build(self) -> None:
        """Puts the cards in: how the job stands, the list, one more thing."""
        self._build_standing()
        self._build_list()
        self._build_more()
        self.document.plan_changed.connect(self.show_job)

    def _build_standing(self) -> None:
        self.standing = Card("", self)
        self.held = Words(soft=False)
        self.who = QLineEdit(self)
        self.who.setPlaceholderText("Your name")
        self.who.setAccessibleName("Name of whoever issues the job for build")
        self.issue = button("Issue for build", self._issue, kind="main",
                            tip="Every sheet then says so, for as long as everything below holds")
        self.withdraw = button("Withdraw", self._withdraw, kind="quiet", name="No longer issued for build")
        self.standing.add(self.held)
        self.standing.add_row(self.who, self.issue, self.withdraw)
        self.cards.addWidget(self.standing)

    def _build_list(self) -> None:
        self.list_card = Card("What has to be true", self)
        self.list = RowTable("What has to be settled before the first post", (
            Column("what", lambda item: item.what, stretch=True, strong=True,
                   under=lambda item: " · ".join(part for part in (item.about, item.why) if part)),
            Column("how it stands", lambda item: item.state, loud=lambda item: not item.holds),
            Column("settled on", lambda item: _day(item.clearance.settled if item.clearance else None), edit=self._on,
                   tip="Day on which it was settled, as 2026-03-31; empty while it is open"),
            Column("holds until", lambda item: _day(item.clearance.expires if item.clearance else None),
                   edit=self._until, tip="Last day on which it holds; empty where it does not run out"),
            Column("number", lambda item: (item.clearance.reference if item.clearance else "") or "–",
                   typed=lambda item: item.clearance.reference if item.clearance else "", edit=self._number,
                   tip="Number of the enquiry, permit or agreement"),
            Column("not needed because", lambda item: (item.clearance.not_needed if item.clearance else "") or "–",
                   typed=lambda item: item.clearance.not_needed if item.clearance else "", edit=self._not_needed,
                   tip="Why it is not needed; empty where it is", spare=1),
        ), key=lambda item: (item.kind, item.about), most=9, parent=self)
        self.list.refused.connect(self.refusal.say)
        self.list.chosen.connect(lambda _: self._offer())
        self.today = button("Settled today", self._settled_today, tip="The one in hand is settled, with today's date")
        self.back = button("Take back", self._take_back, kind="quiet", name="Take back what was written down of it")
        self.nothing = Words("There is no plan yet, so nothing is known to be needed.")
        self.list_card.add(self.list, self.nothing)
        self.list_card.add_row(self.today, self.back)
        self.list_card.add(Words(CAUTION))
        self.cards.addWidget(self.list_card)

    def _build_more(self) -> None:
        self.more = Card("One more thing to settle", self)
        self.kind = Combo("What it is")
        self.kind.show_choices([*KINDS.items(), (OWN, "something else, in your own words")], "funding")
        self.kind.setMinimumContentsLength(34)
        self.about = QLineEdit(self)
        self.about.setPlaceholderText("Whom or what it is about")
        self.about.setAccessibleName("Whom or what it is about")
        self.add = button("Add", self._add, name="Add one more thing to settle")
        self.more.add_row(self.kind, self.about, self.add, stretch=1)
        self.cards.addWidget(self.more)

    # showing

    def show_job(self, *_: object) -> None:
        """Shows the list of the plan that is there."""
        plan = self.document.plan
        items = plan.before_start if plan is not None else ()
        self.list.show_rows(items)
        self.list.setVisible(bool(items))
        self.nothing.setVisible(not items)
        if items and self.list.key_in_hand is None:
            self.list.choose((items[0].kind, items[0].about), seen=False)
        self.today.setEnabled(bool(items))
        self._offer()
        issued = plan.issued if plan is not None else None
        held = held_back_by(items, plan.findings) if plan is not None else ()
        self.standing.title.setText(f"Issued for build on {issued.settled}{_by(issued)}" if issued is not None
                                    else "Not issued for build")
        left = sum(not item.holds for item in items)
        self.standing.aside.setText(f"{left} of {len(items)} open" if left else "")
        self.held.say("" if issued is not None else f"Held back by: {'; '.join(held)}." if held
                      else "Nothing holds it back." if items else "")
        written = any(clearance.kind == ISSUED for clearance in self.document.job.clearances)
        self.who.setVisible(issued is None)
        self.issue.setVisible(issued is None)
        self.issue.setEnabled(bool(items) and not held)
        self.withdraw.setVisible(written)

    def _offer(self) -> None:
        """What was written down of the one in hand can be taken back; nothing else can."""
        item = self._in_hand()
        self.back.setEnabled(item is not None and item.clearance is not None)

    # writing down

    def _clearance(self, item: Item) -> Clearance:
        """What is written down of it in the job as it is now: the list is that of the plan before."""
        return next((one for one in self.document.job.clearances if (one.kind, one.about) == (item.kind, item.about)),
                    Clearance(item.kind, item.about))

    def _keep(self, clearance: Clearance) -> None:
        from planner.job.edits import KeepClearance

        self.attempt(KeepClearance(clearance))
        self.refusal.say("")

    def _on(self, item: Item, text: str) -> None:
        self._keep(replace(self._clearance(item), settled=day_gone_by(text, item.what), not_needed=""))

    def _until(self, item: Item, text: str) -> None:
        said, last = self._clearance(item), typed_day(text, item.what)
        if last is not None and said.settled is not None and last < said.settled:
            raise BadSetting(f"{last} is before {said.settled}", where=item.what,
                             remedy="give the last day on which it holds")
        self._keep(replace(said, expires=last))

    def _number(self, item: Item, text: str) -> None:
        self._keep(replace(self._clearance(item), reference=text))

    def _not_needed(self, item: Item, text: str) -> None:
        self._keep(replace(self._clearance(item), not_needed="" if text == "–" else text))

    def _in_hand(self) -> Item | None:
        key = self.list.key_in_hand
        return next((item for item in self.list.rows if (item.kind, item.about) == key), None)

    def _settled_today(self) -> None:
        from planner.job.edits import KeepClearance

        item = self._in_hand()
        if item is not None:
            self.attempt_here(KeepClearance(replace(self._clearance(item), settled=date.today(), not_needed="")))

    def _take_back(self) -> None:
        from planner.job.edits import DropClearance

        item = self._in_hand()
        if item is not None:
            self.attempt_here(DropClearance(item.kind, item.about))

    def _add(self) -> None:
        from planner.job.edits import KeepClearance

        about = self.about.text().strip()
        kind = str(self.kind.currentData())
        made = Clearance(about) if kind == OWN else Clearance(kind, about)
        if self.attempt_here(KeepClearance(made)):
            self.about.clear()

    def _issue(self) -> None:
        from planner.job.edits import KeepClearance

        name = self.who.text().strip()
        if not name:
            self.refusal.say("Whoever issues the job for build gives a name; it stands on every sheet.")
            self.who.setFocus()
            return
        self.attempt_here(KeepClearance(Clearance(ISSUED, settled=date.today(), reference=name)))

    def _withdraw(self) -> None:
        from planner.job.edits import DropClearance

        self.attempt_here(DropClearance(ISSUED))


def _day(day: date | None) -> str:
    return "–" if day is None else day.isoformat()


def _by(issued: Clearance) -> str:
    return f" by {issued.reference}" if issued.reference else ""
