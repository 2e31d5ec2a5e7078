"""The register of outputs: what the job pack can hold, in the order it is written. One of the three plug-in points."""

from __future__ import annotations

from planner.files.writers.drawing_file import write_lines_dxf
from planner.files.writers.earth_file import write_lines_kml
from planner.files.writers.line_files import write_lines_geojson, write_lines_gpkg
from planner.files.writers.peg_files import write_pegs_csv, write_pegs_gpx
from planner.files.writers.shapefile_set import write_lines_shp
from planner.jobpack.materials_table import write_materials_csv
from planner.jobpack.materials_workbook import write_materials_xlsx
from planner.jobpack.output import Output
from planner.jobpack.plan_json import write_plan_json

OUTPUTS: tuple[Output, ...] = (
    Output("plan.json", "other programs, and whoever checks the figures", write_plan_json),
    Output("materials.xlsx", "the rural store and the office; change a price and the totals follow",
           write_materials_xlsx),
    Output("materials.csv", "the rural store", write_materials_csv),
    Output("pegs.csv", "whoever sets the line out", write_pegs_csv),
    Output("pegs.gpx", "whoever finds the pegs with a handheld", write_pegs_gpx),
    Output("lines.geojson", "other people's programs", write_lines_geojson),
    Output("lines.kml", "globe viewers", write_lines_kml),
    Output("lines.gpkg", "other people's programs", write_lines_gpkg),
    Output("lines.dxf", "surveyors' and designers' drawing programs", write_lines_dxf),
    Output("lines.shp", "other people's programs; its other files and posts, joins and pegs stand beside it",
           write_lines_shp),
)
