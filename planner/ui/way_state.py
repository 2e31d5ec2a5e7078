"""How each step of the work stands: nothing yet, fine, something to look at, wrong; and its headline figure."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

from planner.findings import Finding
from planner.ui.measures import Measures, count, money

if TYPE_CHECKING:
    from planner.job.job import Job
    from planner.job.plan import JobPlan

StepKey = Literal["survey", "line", "profile", "sections", "setout", "loads", "materials", "jobpack"]
State = Literal["nothing", "fine", "look", "wrong"]
NOTHING_YET = "nothing yet"


class Step(NamedTuple):
    """One step of the work.

    Attributes:
        key: Name in the code; findings of the step have rule ids that begin with it.
        title: What it is called.
        asks: The question it answers, for tips and the guide.
    """

    key: StepKey
    title: str
    asks: str


STEPS: tuple[Step, ...] = (
    Step("survey", "Survey", "What was measured, and how well is it known?"),
    Step("line", "Line", "Where does the fence run, and what stands in it?"),
    Step("profile", "Profile", "How does the ground rise and dip under it?"),
    Step("sections", "Sections", "Where does each strain start, end and join?"),
    Step("setout", "Set-out", "Which pegs are driven before the first post?"),
    Step("loads", "Loads", "What do wires, turns and dips do to ends and posts?"),
    Step("materials", "Materials", "What is to be bought, cut and carted, and for how much?"),
    Step("jobpack", "Job pack", "Which sheets and files does each person need?"),
)
_ALSO_IN: Mapping[str, StepKey] = {
    "traverse": "survey", "register": "survey", "feature": "survey", "ground": "survey",
    "service": "line", "boundary": "line", "clearing": "line", "network": "line", "paddock": "line", "gate": "line",
    "division": "line", "water": "line", "tree": "line", "oldfence": "line", "option": "line", "stage": "sections",
    "electric": "loads", "haul": "materials", "before": "jobpack", "built": "jobpack"}
"""Heads of rule ids that name no step, and the step that their findings belong to."""
STATE_WORDS: Mapping[State, str] = {
    "nothing": NOTHING_YET, "fine": "fine", "look": "something to look at", "wrong": "wrong"}


@dataclass(frozen=True, slots=True)
class StepState:
    """How one step stands.

    Attributes:
        step: The step.
        state: Its state.
        figure: Its headline figure.
        open_findings: Its findings that are not waived, notes left out.
    """

    step: Step
    state: State
    figure: str
    open_findings: int = 0

    @property
    def words(self) -> str:
        """All of it in words, for tips and for those who do not see the bar."""
        found = f"; {count(self.open_findings, 'finding')} to look at" if self.open_findings else ""
        return f"{self.step.title}: {self.figure}; {STATE_WORDS[self.state]}{found}"


def step_of(rule: str) -> StepKey:
    """The step to which a rule belongs; the survey for one that names none and is not known to belong elsewhere.

    Args:
        rule: Rule id, such as ``sections-02``.

    Example:
        >>> step_of("setout-01"), step_of("line-12"), step_of("paddock-01")
        ('setout', 'line', 'line')
    """
    head = rule.partition("-")[0]
    return next((step.key for step in STEPS if step.key == head), _ALSO_IN.get(head, "survey"))


def findings_of(key: StepKey, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings of one step, in their order.

    Args:
        key: The step.
        findings: All of a plan.
    """
    return tuple(finding for finding in findings if step_of(finding.rule) == key)


def way_states(job: Job, plan: JobPlan | None, measures: Measures, *, pack_written: str = "") -> tuple[StepState, ...]:
    """How the eight steps stand.

    Args:
        job: The job now.
        plan: Its plan; None while there is none.
        measures: How values are shown.
        pack_written: When the job pack of this very job was written; empty when it was not.
    """
    rows: list[StepState] = []
    for step in STEPS:
        figure = _figure(step.key, job, plan, measures, pack_written)
        found = findings_of(step.key, plan.findings) if plan is not None else ()
        state: State = "fine" if figure else "nothing"
        opened = [f for f in found if not f.waived and f.severity != "note"]
        if figure and any(f.severity == "error" for f in opened):
            state = "wrong"
        elif figure and opened:
            state = "look"
        shown = figure or ("not yet" if step.key == "jobpack" else NOTHING_YET)
        rows.append(StepState(step, state, shown, len(opened)))
    return tuple(rows)


def _figure(key: StepKey, job: Job, plan: JobPlan | None, measures: Measures, pack_written: str) -> str:
    """The headline of a step; empty when there is nothing in it yet."""
    if key == "survey":
        sources = _sources(job)
        return count(sources, "source") if sources else ""
    if key == "line" and plan is None:
        return count(len(job.lines), "line") if job.lines else ""
    if key == "jobpack":
        return pack_written
    return _OF_PLAN[key](plan, measures) if plan is not None and plan.lines else ""


def _sources(job: Job) -> int:
    """Files that the job was read from."""
    files = {line.origin.rpartition(", row ")[0] for line in job.lines} | {p.file for p in job.points}
    files |= {feature.origin.rpartition(", row ")[0] for feature in job.features} | set(job.grounds)
    return len(files - {""})


def _length(plan: JobPlan, measures: Measures) -> str:
    return measures.length(sum(float(line.ground.chainage_m[-1]) for line in plan.lines), 0)


def _breaks(plan: JobPlan, _: Measures) -> str:
    return count(sum(max(0, len(line.chain.stations) - 2) for line in plan.lines), "break")


def _strains(plan: JobPlan, _: Measures) -> str:
    return count(sum(not section.is_gate for line in plan.lines for section in line.sections), "strain")


def _pegs(plan: JobPlan, _: Measures) -> str:
    return count(sum(len(line.pegs) for line in plan.lines), "peg")


def _pull(plan: JobPlan, measures: Measures) -> str:
    strained = [line.fence.pull_n for line in plan.lines if line.pulls]
    return f"{measures.force(max(strained), 1)} pull" if strained else "no pull"


def _cost(plan: JobPlan, _: Measures) -> str:
    cost = plan.estimate
    if cost.rows and cost.subtotal > 0:
        return money(cost.total, cost.currency) if cost.complete else f"over {money(cost.total, cost.currency)}"
    return count(len(plan.materials), "item")


_OF_PLAN: Mapping[str, Callable[[JobPlan, Measures], str]] = {
    "line": _length, "profile": _breaks, "sections": _strains, "setout": _pegs, "loads": _pull, "materials": _cost}
