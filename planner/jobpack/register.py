"""The register of outputs: what the job pack can hold, in the order it is written. One of the three plug-in points."""

from __future__ import annotations

from planner.files.writers.line_files import write_lines_geojson, write_lines_gpkg
from planner.files.writers.peg_files import write_pegs_csv, write_pegs_gpx
from planner.jobpack.materials_table import write_materials_csv
from planner.jobpack.output import Output
from planner.jobpack.plan_json import write_plan_json

OUTPUTS: tuple[Output, ...] = (
    Output("plan.json", "other programs, and whoever checks the figures", write_plan_json),
    Output("materials.csv", "the rural store", write_materials_csv),
    Output("pegs.csv", "whoever sets the line out", write_pegs_csv),
    Output("pegs.gpx", "whoever finds the pegs with a handheld", write_pegs_gpx),
    Output("lines.geojson", "other people's programs", write_lines_geojson),
    Output("lines.gpkg", "other people's programs", write_lines_gpkg),
)
