"""The words of the command line: what each command is called, what it takes and what that means."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import NoReturn

from planner import __version__

COULD_NOT = 2
"""Exit status of a command that could not do what it was asked for."""


class Words(argparse.ArgumentParser):
    """A parser that says what is wrong in one sentence."""

    def error(self, message: str) -> NoReturn:
        """Ends the program with one sentence and the status of what could not be done."""
        sys.stderr.write(f"{self.prog}: {message}; see '{self.prog} --help'.\n")
        raise SystemExit(COULD_NOT)


def all_words() -> tuple[Words, tuple[str, ...]]:
    """The parser of the whole command line, and the names of its commands in the order in which it lists them."""
    parser = Words(prog="strainwright", description="Plans rural stock fences before a post goes in. Loads are "
                     "advisory: local codes, licensed surveyors and engineers go before them.")
    parser.add_argument("--version", action="version", version=f"strainwright {__version__}")
    parser.add_argument("--quiet", action="store_true", help="show no progress bar")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", parser_class=Words)
    for add in (_demo, _plan, _pack, _check, _fences, _prices, _features,
                _divide, _traverse, _setback, _straighten, _fit, _compare, _clearances, _electric, _log, _terms,
                _paddocks, _crossings, _lines):
        add(commands)
    for command in commands.choices.values():
        command.add_argument("--quiet", action="store_true", default=argparse.SUPPRESS, help="show no progress bar")
    return parser, tuple(commands.choices)


def _demo(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("demo", help="plan the sample farm and write its job pack")
    it.add_argument("--to", type=Path, default=Path("demo-pack"), metavar="FOLDER",
                    help="where to write (default ./demo-pack)")


def _plan(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("plan", help="read lines from files and plan them into a job")
    it.add_argument("sources", nargs="+", type=Path, metavar="SOURCE",
                    help="track, route, line, ring or survey points: GPX, Shapefile (also zipped), GeoPackage, "
                    "GeoJSON, FlatGeobuf, KML, KMZ, GML, DXF or CSV")
    it.add_argument("--job", type=Path, required=True, help="job file, NAME.job.gpkg; made when it is not there")
    it.add_argument("--ground", action="append", type=Path, default=[], metavar="FILE",
                    help="terrain raster or survey points with levels; may be repeated, best first")
    it.add_argument("--fence", default="", metavar="KEY", help="fence type (see 'strainwright fences')")
    it.add_argument("--crs", default="", metavar="CODE",
                    help="coordinate system of sources that state none, and working grid of a new job: EPSG:7855")
    it.add_argument("--wires-on", choices=("left", "right"), default="",
                    help="side of the posts on which the wires of the lines hang, looking along them")
    it.add_argument("--set", action="append", default=[], metavar="NAME=VALUE", help="change a setting; repeatable")
    it.add_argument("--accuracy", default="", metavar="CLASS",
                    help="accuracy class of the lines, and of points whose source does not tell: survey, rtk, "
                    "dgnss, handheld, traced or unknown")
    it.add_argument("--columns", default="", metavar="x=3,y=2,...",
                    help="columns of a CSV: x, y, level, name, code, width, line, by name or number; also "
                    "angles=packed-dms, level-unit=ft, unit=mm (of a drawing), layer=NAME, size=any")
    it.add_argument("--as-walked", action="store_true", help="keep every fix of a track instead of fitting straights")
    it.add_argument("--share-edges", action="store_true",
                    help="rings of paddocks become a network in which a shared edge is one fence")
    it.add_argument("--close-gaps", type=_distance, default=None, metavar="M",
                    help="with --share-edges: close gaps and overlaps between paddocks up to this width")
    it.add_argument("--replace", action="store_true", help="throw away the job's present lines first")


def _pack(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("pack", help="write the job pack")
    it.add_argument("job", type=Path, metavar="JOB")
    it.add_argument("--to", type=Path, required=True, metavar="FOLDER", help="where to write")
    it.add_argument("--only", default="", metavar="NAME,...", help="only these files of the job pack, as plan.json")
    it.add_argument("--units", choices=("metric", "imperial"), default="metric", help="units of the sheets")
    it.add_argument("--paper", choices=("A4", "A3"), default="A4",
                    help="paper of maps, long sections and cutting plans; lists stay on A4")


def _check(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("check", help="list what is worth a look, worst first")
    it.add_argument("job", type=Path, metavar="JOB")
    it.add_argument("--json", action="store_true", help="as JSON")


def _fences(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("fences", help="list the fence types, or explain one in full")
    it.add_argument("key", nargs="?", default="", metavar="KEY")
    it.add_argument("--json", action="store_true", help="as JSON")


def _prices(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("prices", help="load a price list into a job")
    it.add_argument("job", type=Path, metavar="JOB")
    it.add_argument("--csv", type=Path, required=True, metavar="FILE",
                    help="item, unit, pack, price, supplier, date, tax class")


def _compare(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("compare", help="set jobs, or the options of one job, side by side")
    it.add_argument("jobs", nargs="+", type=Path, metavar="JOB")
    it.add_argument("--units", choices=("metric", "imperial"), default="metric", help="units of lengths and areas")
    it.add_argument("--to", type=Path, default=None, metavar="FILE.pdf", help="write the comparison as a sheet too")


def _terms(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("terms", help="terms of the quote, options and stages, as a text file to change by hand")
    it.add_argument("job", type=Path, metavar="JOB")
    it.add_argument("--write", type=Path, default=None, metavar="FILE.toml", help="write what the job has")
    it.add_argument("--read", type=Path, default=None, metavar="FILE.toml", help="take in what the file says")


def _divide(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("divide", help="divide a paddock into parts of equal or given areas")
    it.add_argument("boundary", metavar="BOUNDARY", help="file with the paddock, or a closed line of the job")
    it.add_argument("--name", default="", help="which paddock of a file with several")
    it.add_argument("--parts", type=int, default=None, metavar="N", help="so many equal parts")
    it.add_argument("--areas", default="", metavar="HA,...", help="area of each part in order; one may be 'rest'")
    it.add_argument("--bearing", default="", metavar="DEG|best",
                    help="bearing of the fences, from grid north; best (the default) is that of least new fence")
    it.add_argument("--from-point", default="", metavar="X,Y", help="fences from a point, such as a trough, in the "
                    "job's grid")
    it.add_argument("--from-feature", default="", metavar="NAME",
                    help="fences from a point of the job, such as a trough")
    it.add_argument("--lane-width", type=_figure, default=None, metavar="M",
                    help="fences off a lane of this width, through the middle unless --lane says where")
    it.add_argument("--lane", default="", metavar="LINE", help="line of the job along which the lane runs")
    it.add_argument("--lane-side", choices=("centre", "left", "right"), default="centre",
                    help="where the lane lies from its line")
    it.add_argument("--left-parts", type=int, default=None, metavar="N", help="how many parts lie left of the lane")
    _job_of_lines(it)


def _setback(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("setback", help="find the cheapest fence outside a set-back from water or vegetation")
    it.add_argument("features", type=Path, metavar="FEATURES", nargs="?", default=None,
                    help="file with streams, lakes or vegetation; left out with --feature")
    it.add_argument("--name", action="append", default=[], help="only this feature of the file; repeatable")
    it.add_argument("--feature", action="append", default=[], metavar="NAME",
                    help="a feature of the job instead of a file's, with its width and what was drawn; repeatable")
    it.add_argument("--distance", type=_figure, required=True, metavar="M", help="set-back: least distance")
    it.add_argument("--give", type=_figure, required=True, metavar="M", help="how much farther the line may be")
    it.add_argument("--bank", choices=("left", "right", "both", "around"), required=True,
                    help="which bank of a stream, looking the way it is drawn; or once round")
    it.add_argument("--baseline", choices=("centreline", "edge", "bank-top"), default="",
                    help="what is drawn and the set-back counted from; asked where a feature of the job does not say")
    it.add_argument("--half-width", type=_figure, default=None, metavar="M",
                    help="from a drawn centreline to the edge the set-back is counted from")
    it.add_argument("--paddock", default="", metavar="LINE", help="closed line of the job that is not to be left")
    it.add_argument("--start", default="", metavar="E,N", help="where the line must start")
    it.add_argument("--end", default="", metavar="E,N", help="where the line must end")
    it.add_argument("--gate-at", type=_figure, action="append", default=[], metavar="M",
                    help="a gate on each line across from this distance along the stream; repeatable")
    it.add_argument("--corner-cost", type=_figure, default=450.0, metavar="N", help="price of a corner (450)")
    it.add_argument("--metre-cost", type=_figure, default=9.0, metavar="N", help="price of a metre of fence (9)")
    it.add_argument("--land-cost", type=_figure, default=0.0, metavar="N", help="value of a hectare given up (0)")
    it.add_argument("--fineness", type=int, default=1, metavar="N", help="0 coarse and quick, 1 usual, 2 fine and slow")
    _job_of_lines(it)


def _traverse(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("traverse", help="run bearings and distances into a line, and find what does not close")
    it.add_argument("legs", type=Path, metavar="LEGS.csv", help="bearing, distance; for a curve radius, hand, arc or "
                    "chord; with headings, or in that order")
    it.add_argument("--start", required=True, metavar="E,N", help="east and north of the start, in metres")
    it.add_argument("--units", choices=("m", "ft", "chain"), default="m", help="unit of distances that state none")
    it.add_argument("--packed-dms", action="store_true", help="92.1420 means 92 degrees, 14 minutes, 20 seconds")
    it.add_argument("--close", default="", metavar="start|none|E,N",
                    help="where it should end; its start, when it comes near it, unless said")
    it.add_argument("--adjust", action="store_true", help="share the misclose out by the compass rule")
    it.add_argument("--arc-within", type=_figure, default=0.05, metavar="M", help="how far chords may leave an arc")
    it.add_argument("--arc-step", type=_figure, default=None, metavar="M",
                    help="longest stretch of arc under one chord")
    it.add_argument("--name", default="", help="name of the line; that of the file unless said")
    it.add_argument("--accuracy", choices=("survey", "rtk", "dgnss", "handheld", "traced", "unknown"), default="",
                    help="accuracy class of its corners")
    _job_of_lines(it)


def _job_of_lines(it: Words) -> None:
    it.add_argument("--job", type=Path, required=True, help="job file, NAME.job.gpkg; made when it is not there")
    it.add_argument("--fence", default="", metavar="KEY", help="fence type (see 'strainwright fences')")
    it.add_argument("--crs", default="", metavar="CODE", help="coordinate system of what states none: EPSG:7855")
    it.add_argument("--ground", action="append", type=Path, default=[], metavar="FILE",
                    help="terrain raster or survey points with levels; may be repeated, best first")


def _straighten(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("straighten", help="give traced lines the fewest corners within a tolerance of them")
    it.add_argument("source", type=Path, metavar="SOURCE", help="file with lines or polygons")
    it.add_argument("--tolerance", type=_distance, required=True, metavar="M", help="how far off the line may run")
    it.add_argument("--fixed", default="", metavar="N,...", help="corners that stay where they are, counted from 1")
    _job_of_lines(it)


def _fit(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("fit", help="fit a noisy track to corners and straights, and add it to a job")
    it.add_argument("track", type=Path, metavar="TRACK", help="file with tracks or lines")
    it.add_argument("--tolerance", type=_distance, default=None, metavar="M",
                    help="the fewest straights with 95 %% of the fixes this near; else the likeliest corners")
    _job_of_lines(it)


def _features(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("features", help="read water, trees, services, ground and more into a job, or list them")
    it.add_argument("sources", nargs="*", type=Path, metavar="SOURCE", help="files with lines, polygons or points")
    it.add_argument("--job", type=Path, required=True, help="job file, NAME.job.gpkg; made when it is not there")
    it.add_argument("--meaning", default="", metavar="KEY",
                    help="what all of it means; else what its layers, types, codes and names suggest")
    it.add_argument("--fact", action="append", default=[], metavar="FACT=COLUMN",
                    help="column that says a fact; else the column called like it; repeatable")
    it.add_argument("--set", action="append", default=[], metavar="FACT=VALUE",
                    help="what holds where the column says nothing; repeatable")
    it.add_argument("--columns", default="", metavar="x=3,y=2,...", help="columns of a CSV, and more (see 'plan')")
    it.add_argument("--crs", default="", metavar="CODE", help="coordinate system of what states none: EPSG:7855")
    it.add_argument("--remove", action="append", default=[], metavar="NAME",
                    help="take features of this name out of the job; repeatable")


def _figure(text: str) -> float:
    from planner.numerals import decimal_of

    number = decimal_of(text)
    if number is None:
        raise argparse.ArgumentTypeError(f"'{text}' is no number; give one such as 12.5 or 12,5")
    return float(number)


def _distance(text: str) -> float:
    number = _figure(text)
    if not 0.0 < number < 1e6:
        raise argparse.ArgumentTypeError(f"'{text}' is no distance in metres")
    return number


def _clearances(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("clearances", help="what has to be settled before the first post")
    it.add_argument("job", type=Path, metavar="JOB")
    it.add_argument("--settle", default="", metavar="KIND", help="it is settled: services, neighbour, waterway ...")
    it.add_argument("--not-needed", default="", metavar="KIND", help="it is not needed; --note says why")
    it.add_argument("--add", default="", metavar="KIND", help="one more thing to settle, in your own words")
    it.add_argument("--take-back", default="", metavar="KIND", help="take back what was written down of it")
    it.add_argument("--issue", default="", metavar="NAME", help="issue the job for build, with your name")
    it.add_argument("--about", default="", metavar="WHOM", help="whom or what it is about, as the list names it")
    it.add_argument("--on", default="", metavar="DATE", help="day on which it was settled (today)")
    it.add_argument("--until", default="", metavar="DATE", help="last day on which it holds")
    it.add_argument("--number", default="", metavar="TEXT", help="number of the enquiry, permit or agreement")
    it.add_argument("--note", default="", metavar="TEXT", help="what else was said")


def _paddocks(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("paddocks", help="the land that the fences enclose: size, gates, water, way to the yards")
    it.add_argument("job", type=Path, metavar="JOB")
    it.add_argument("--ends", action="store_true", help="list where fences meet too, and what pulls there (advisory)")
    it.add_argument("--share-edges", action="store_true",
                    help="first make single lines of outlines that run along each other, and keep them in the job")
    it.add_argument("--json", action="store_true", help="as JSON")


def _electric(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("electric", help="what the live fences take: wire, leads, energiser, earths (advisory)")
    it.add_argument("job", type=Path, metavar="JOB")
    it.add_argument("--json", action="store_true", help="as JSON")


def _log(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("log", help="write down progress, what was built, inspections and losses; list them")
    it.add_argument("job", type=Path, metavar="JOB")
    kinds = it.add_subparsers(dest="what", metavar="WHAT", parser_class=Words)
    progress = kinds.add_parser("progress", help="how far a part of the work is")
    progress.add_argument("line", metavar="LINE")
    progress.add_argument("part", metavar="PART", help="ends, posts, wires or finished")
    progress.add_argument("percent", metavar="PERCENT")
    measured = kinds.add_parser("measured", help="tracks or points measured along what was built")
    measured.add_argument("files", nargs="+", type=Path, metavar="FILE")
    measured.add_argument("--line", default="", metavar="LINE", help="line that they belong to (the nearest)")
    measured.add_argument("--crs", default="", metavar="CODE", help="coordinate system of files that state none")
    measured.add_argument("--accuracy", default="", choices=("survey", "rtk", "dgnss", "handheld", "traced", "unknown"),
                          metavar="CLASS", help="accuracy class, where the file does not tell")
    inspection = kinds.add_parser("inspection", help="what a walk along a fence found")
    inspection.add_argument("line", metavar="LINE")
    for name, meaning in (("by", "who walked"), ("found", "what was found"), ("action", "what is to be done"),
                          ("cost", "what it costs"), ("kv", "voltage at the far end, kV"),
                          ("floodgate", "state of the floodgates")):
        inspection.add_argument(f"--{name}", default="", metavar="TEXT", help=meaning)
    inspection.add_argument("--done", action="store_true", help="nothing remains to be done")
    loss = kinds.add_parser("loss", help="fence lost to fire, flood or storm")
    loss.add_argument("line", metavar="LINE", help="fence line, or a standing fence that is marked")
    loss.add_argument("--from", dest="start", required=True, metavar="M")
    loss.add_argument("--to", dest="end", required=True, metavar="M")
    loss.add_argument("--cause", required=True, metavar="TEXT")
    for name, meaning in (("photos", "pictures taken before repair, and where they are"), ("hours", "hours spent")):
        loss.add_argument(f"--{name}", default="", metavar="TEXT", help=meaning)
    finished = kinds.add_parser("finished", help="a line is finished: from now on it is an asset")
    finished.add_argument("line", metavar="LINE")
    finished.add_argument("--cost", default="", metavar="AMOUNT", help="what it cost (what the plan says)")
    finished.add_argument("--life", default="", metavar="YEARS", help="how long it is expected to stand")
    for kind in (progress, measured, inspection, loss, finished):
        kind.add_argument("--on", default="", metavar="DATE", help="day of it (today)")
    for kind in (progress, inspection):
        kind.add_argument("--section", default="", metavar="ID", help="section, as A3 (the whole line)")
    for kind in (progress, loss):
        kind.add_argument("--note", default="", metavar="TEXT", help="what else was said")


def _crossings(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("crossings", help="where lines meet marked water without a crossing; place them")
    it.add_argument("job", type=Path, metavar="JOB")
    it.add_argument("--place", action="store_true", help="put the proposed crossing at each place")


def _lines(commands: argparse._SubParsersAction[Words]) -> None:
    it = commands.add_parser("lines", help="list the fence lines of a job, or change one")
    it.add_argument("job", type=Path, metavar="JOB")
    it.add_argument("--line", default="", metavar="NAME", help="the line to change")
    it.add_argument("--rename", default="", metavar="NAME", help="call it something else")
    it.add_argument("--fence", default="", metavar="KEY", help="give it another fence type")
    it.add_argument("--ground", action="append", default=[], metavar="FROM:TO:CLASS",
                    help="ground class between two chainages, as 250:520:ledge; repeatable")
    it.add_argument("--no-ground", action="store_true", help="forget the ground classes that were typed before")
    it.add_argument("--wires-on", default="", choices=("left", "right"), help="side on which its wires hang")
    it.add_argument("--remove", action="store_true", help="remove it from the job")
