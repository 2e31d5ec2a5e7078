"""What is worth knowing of one section, every figure beside its limit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.ui.measures import Measures
from planner.ui.panels.figures import hands, plus_minus, share
from planner.ui.panels.pairs import Pair
from planner.wording import listed

if TYPE_CHECKING:
    from planner.job.plan import LinePlan
    from planner.sections.strains import Section, SectionEnd


@dataclass(frozen=True)
class SectionFacts:
    """One section in words and figures.

    Attributes:
        title: What it is.
        rows: Its figures.
        ends: Its two ends.
    """

    title: str
    rows: tuple[Pair, ...]
    ends: tuple[Pair, ...]


def facts_of(plan: LinePlan, section: Section, measures: Measures, assemblies: Mapping[str, str]) -> SectionFacts:
    """One section in words and figures.

    Args:
        plan: Plan of its line.
        section: The section.
        measures: How values are shown.
        assemblies: End assembly key to what it is called.
    """
    kind = "Gate" if section.is_gate else "Crossing" if section.is_crossing else "Section"
    rows = [Pair("Slope length", measures.length(section.slope_length_m), plus_minus(section.length_sd_m, measures))]
    if not section.is_gate and not section.is_crossing:
        rows += _strain_rows(plan, section, measures)
    ends = [_end_row("Start", section.start, measures, assemblies), _end_row("End", section.end, measures, assemblies)]
    return SectionFacts(f"{kind} {section.id}", tuple(rows), tuple(ends))


def _strain_rows(plan: LinePlan, section: Section, measures: Measures) -> list[Pair]:
    fence, settings = plan.fence, plan.inputs.settings
    run, pull = plan.joins[section.id], plan.pulls[section.id]
    wires = (fence.mesh.line_wires if fence.mesh else 0) + len([s for s in fence.strands if s.strain_n > 0])
    rows = [Pair(f"Pull of {wires} wires", measures.force(fence.pull_n), hands(fence.pull_n, measures)),
            Pair("The pull acts at", measures.small(fence.pull_height_m), "above ground")]
    if run.sub_runs:
        left = min(sub.far_end_ratio for sub in run.sub_runs)
        least = settings.far_end_ratio_min
        rows.append(Pair("Pull left at the far end", share(left), f"at least {share(least)}", left < least - 1e-9))
        worst = max(run.sub_runs, key=lambda sub: sub.slope_length_m / sub.length_limit_m)
        longest = worst.length_limit_m
        rows.append(Pair("Longest strain", measures.length(worst.slope_length_m), f"of {measures.figure(longest, 0)}",
                         worst.slope_length_m > longest + 1e-6,
                         f"The ground turns {worst.turning_deg_per_100m:.1f}° in 100 m; above "
                         f"{settings.undulating_deg_per_100m:g}° it counts as undulating."))
    if run.sub_runs and fence.mesh is not None:
        lean = max(sub.lean_max_deg for sub in run.sub_runs)
        limit = fence.mesh.lean_limit_deg
        rows.append(Pair("Picket lean, greatest", measures.angle(lean), f"of {limit:g}°", lean > limit + 1e-9))
    if pull.bites:
        allowed = settings.bites_allowed
        each = "each way" if len(run.sub_runs) == 2 else "greatest" if len(run.sub_runs) > 2 else ""
        rows += [Pair("Take-up", measures.length(pull.take_up_m, 2), each),
                 Pair("Clamp bar from end post", measures.length(pull.clamp_station_m, 2)),
                 Pair("Bites of the strainers", str(pull.bites), f"of {allowed}", pull.bites > allowed)]
    return rows


def _end_row(name: str, end: SectionEnd, measures: Measures, assemblies: Mapping[str, str]) -> Pair:
    why = listed(list(end.causes))
    turns = [f"turn {measures.angle(abs(end.turn_deg))}"] if abs(end.turn_deg) >= 0.1 else []
    turns += [f"break {measures.angle(end.break_deg)}"] if abs(end.break_deg) >= 0.1 else []
    pulls = [f"{end.directions} directions of pull"] if end.directions > 1 else []
    counted = [f"counted with {end.counted_with}"] if end.counted_with else []
    details = ", ".join([*turns, *pulls, *counted])
    return Pair(f"{name}: {why}" + (f" ({details})" if details else ""), assemblies.get(end.assembly, end.assembly))


def near_limits(plan: LinePlan, section: Section, facts: SectionFacts) -> str:
    """Why a section needs no more joins than it has, in a sentence.

    Args:
        plan: Plan of its line.
        section: The section.
        facts: The section in words.
    """
    run = plan.joins[section.id]
    if run.joins:
        where = "this mesh is" if plan.fence.mesh else "these wires are"
        return (f"Strained in {len(run.sub_runs)} sub-runs, as few as keep every limit; {where} joined between them.")
    return "Strained in one pull: every limit is kept without a mid-run join."
