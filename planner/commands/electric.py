"""``strainwright electric``: the circuits of a job's live fences, what each takes and how far its far end is."""

from __future__ import annotations

import argparse
import json

from planner.commands.bar import Watched
from planner.files.job_file import read_job
from planner.job.derive import plan_job
from planner.jobpack.plan_json import circuit_record
from planner.surroundings.electric import Circuit


def run(chosen: argparse.Namespace) -> int:
    """Lists the circuits.

    Args:
        chosen: Parsed words: ``job``, ``json``, ``quiet``.

    Returns:
        0.

    Raises:
        PlannerError: The job cannot be opened or planned.
    """
    with Watched(quiet=chosen.quiet) as progress:
        plan = plan_job(read_job(chosen.job), progress=progress)
    if chosen.json:
        print(json.dumps([circuit_record(circuit) for circuit in plan.electric], ensure_ascii=False, allow_nan=False,
                         indent=1))
    else:
        print("\n".join(told(circuit) for circuit in plan.electric) or "No line of this job carries a live wire.")
    return 0


def told(circuit: Circuit) -> str:
    """One circuit as a person reads it on a terminal.

    Args:
        circuit: The circuit.
    """
    fed = ", ".join(circuit.energisers) or "no energiser marked"
    gives = f", {circuit.joules:g} J" if circuit.joules is not None else ""
    far = (f"; farthest place {circuit.far_end_m:.0f} m along the fence, on {circuit.far_end}"
           if circuit.far_end_m else "")
    return (f"{', '.join(circuit.lines)}\n"
            f"  fed from {fed}{gives}{far}\n"
            f"  {circuit.fence_m:.0f} m of live fence, {circuit.conductor_m:.0f} m of live wire, {circuit.joints} "
            f"joints, {circuit.gates} {'gate' if circuit.gates == 1 else 'gates'} with {circuit.lead_m:.0f} m of "
            "buried lead\n"
            f"  at least {circuit.joules_needed:.1f} J and {circuit.rods_needed} earth rods; advisory, measure at the "
            "far end")
