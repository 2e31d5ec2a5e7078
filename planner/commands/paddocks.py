"""``strainwright paddocks``: the land that a job's fences enclose, and where its fences meet."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence

from planner.commands.bar import Watched
from planner.errors import JobTrouble
from planner.files.job_file import read_job, state_of, write_job
from planner.job.derive import plan_job
from planner.job.edits import ShareEdges
from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.job.shared_outlines import outlines_that_share
from planner.jobpack.land_json import node_record, paddock_record
from planner.jobpack.land_words import gate_words, meets, use_words, water_words, way_head, way_words
from planner.surroundings.network import Node
from planner.units import HECTARE_M2

_HEAD = ("paddock", "for", "ha", "around m", "gates", "water")
_NUMBERS = (2, 3)


def run(chosen: argparse.Namespace) -> int:
    """Lists the paddocks, and where fences meet when that is asked for; first makes single lines of outlines that run
    along each other, when that is asked for.

    Args:
        chosen: Parsed words: ``job``, ``ends``, ``share_edges``, ``json``, ``quiet``.

    Returns:
        0.

    Raises:
        PlannerError: The job cannot be opened, planned or written, or its outlines cannot share their edges.
    """
    was = state_of(chosen.job)
    job = read_job(chosen.job)
    after = _shared(job) if chosen.share_edges else job
    with Watched(quiet=chosen.quiet) as progress:
        plan = plan_job(after, progress=progress)
    if after is not job:
        write_job(chosen.job, after, was=was)
    if chosen.json:
        print(json.dumps(record(plan, ends=chosen.ends), ensure_ascii=False, allow_nan=False, indent=1))
    else:
        print(told(plan))
        if chosen.ends:
            print("\n" + ends_told(plan))
    return 0


def _shared(job: Job) -> Job:
    names = outlines_that_share(job)
    if not names:
        raise JobTrouble("no outlines of this job run along each other", remedy="leave --share-edges out")
    return ShareEdges(names).apply(job)


def record(plan: JobPlan, *, ends: bool) -> dict[str, object]:
    """What is listed, for other programs.

    Args:
        plan: The plan.
        ends: Whether the nodes of the network are wanted as well.
    """
    found: dict[str, object] = {"paddocks": [paddock_record(paddock) for paddock in plan.paddocks]}
    return {**found, "nodes": [node_record(node) for node in plan.nodes]} if ends else found


def told(plan: JobPlan) -> str:
    """The paddocks as a person reads them on a terminal.

    Args:
        plan: The plan.
    """
    paddocks = plan.paddocks
    if not paddocks:
        return "The lines of this job, and the fences that stand, enclose no land."
    rows = [(*_HEAD, way_head(plan).lower()), *(
        (p.name, use_words(p), f"{p.area_m2 / HECTARE_M2:.2f}", f"{p.perimeter_m:.0f}", gate_words(p), water_words(p),
         way_words(p)) for p in paddocks)]
    whole = sum(paddock.area_m2 for paddock in paddocks) / HECTARE_M2
    return f"{_table(rows)}\n{len(paddocks)} {'piece' if len(paddocks) == 1 else 'pieces'} of land, {whole:.2f} ha"


def ends_told(plan: JobPlan) -> str:
    """Where fences meet, as a person reads it on a terminal.

    Args:
        plan: The plan.
    """
    met = [node for node in plan.nodes if meets(node)]
    if not met:
        return "No fences of this job meet."
    rows = [("what", "lines", "at", "pulls kN", "left over", "end"), *(_end_row(plan, node) for node in met)]
    return f"{_table(rows)}\nAdvisory: what an end carries depends on its ground; an engineer settles doubtful ones."


def _end_row(plan: JobPlan, node: Node) -> tuple[str, ...]:
    assembly = plan.catalogue.assemblies.get(node.assembly)
    left = f"{node.resultant_n / 1000.0:.1f} kN towards {node.resultant_deg:.0f} deg" if node.resultant_n > 1.0 else "–"
    return (node.kind, " and ".join(node.lines), f"{node.chainage_m:.1f} m",
            " + ".join(f"{arm.pull_n / 1000.0:.1f}" for arm in node.arms), left,
            assembly.description if assembly else node.assembly)


def _table(rows: Sequence[Sequence[str]]) -> str:
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    right = _NUMBERS if rows[0][:2] == _HEAD[:2] else ()
    return "\n".join("  ".join(cell.rjust(width) if k in right else cell.ljust(width)
                               for k, (cell, width) in enumerate(zip(row, widths, strict=True))).rstrip()
                     for row in rows)
