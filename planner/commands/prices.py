"""``strainwright prices``: a price list loaded into a job."""

from __future__ import annotations

import argparse
from dataclasses import replace

from planner.commands.check import told
from planner.errors import PriceTrouble
from planner.files.job_file import read_job, state_of, write_job
from planner.files.readers.price_list import read_price_list
from planner.job.derive import catalogue_of
from planner.materials.prices import PriceList


def run(chosen: argparse.Namespace) -> int:
    """Loads a price list; prices of the same item and pack are replaced, others stay.

    Args:
        chosen: Parsed words: ``job``, ``csv``.

    Returns:
        0.

    Raises:
        PlannerError: The job or the price list cannot be read, no row of the list can be used, or the job cannot be
            written.
    """
    was = state_of(chosen.job)
    job = read_job(chosen.job)
    prices, troubles = read_price_list(chosen.csv, catalogue_of(job).items)
    if not prices.prices:
        if troubles:
            print(told(troubles))
        raise PriceTrouble("no row of it can be used" if troubles else "there is no row with a price in it",
                           where=str(chosen.csv), remedy="mend the rows; the job keeps the prices it had")
    merged = PriceList({**job.prices.prices, **prices.prices})
    write_job(chosen.job, replace(job, prices=merged), was=was)
    print(f"{len(prices.prices)} prices loaded from {chosen.csv} into {chosen.job}; it now holds {len(merged.prices)}.")
    if troubles:
        print(told(troubles))
    return 0
