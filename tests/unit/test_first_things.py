"""Units, sources, findings, errors, progress, and the files that come with the program."""

from __future__ import annotations

import pickle

import pytest

from planner import shipped, units
from planner.errors import Cancelled, FileTrouble, GridTrouble, PlannerError
from planner.findings import Finding, Place, worst_first
from planner.progress import Part, Unwatched
from planner.shipped import resources, sample_data
from planner.sources import COMMON_PRACTICE, Source

# units


def test_factors_as_the_agreements_define_them():
    """CGPM 1901; international yard and pound agreement 1959; US survey foot 1200/3937 m."""
    assert units.KGF_N == 9.80665
    assert (units.FOOT_M, units.INCH_M, units.POUND_KG) == (0.3048, 0.0254, 0.45359237)
    assert pytest.approx(66 * units.FOOT_M, abs=1e-12) == units.CHAIN_M
    assert pytest.approx(units.CHAIN_M / 100) == units.LINK_M
    assert pytest.approx(0.3048006096, abs=1e-10) == units.US_SURVEY_FOOT_M
    assert pytest.approx(4.4482216152605, rel=1e-12) == units.POUND_FORCE_N
    assert pytest.approx(6894.757293168, rel=1e-10) == units.PSI_PA
    assert pytest.approx(units.PSI_PA / 144, rel=1e-12) == units.PSF_PA


def test_conversions_for_a_person():
    assert units.kgf(9.80665) == 1.0
    assert units.degrees(3.141592653589793) == 180.0


# errors


@pytest.mark.parametrize(
    ("trouble", "text"),
    [
        (PlannerError("it broke"), "it broke."),
        (PlannerError("it broke", where="a.gpx"), "a.gpx: it broke."),
        (PlannerError("it broke", remedy="mend it"), "it broke; mend it."),
        (FileTrouble("it broke", where="a.gpx", remedy="mend it"), "a.gpx: it broke; mend it."),
    ],
)
def test_a_trouble_is_one_sentence(trouble: PlannerError, text: str):
    assert str(trouble) == text


def test_every_trouble_is_a_planner_error_and_a_stop_is_none():
    assert issubclass(GridTrouble, PlannerError)
    assert not issubclass(Cancelled, PlannerError)


# findings


def finding(rule: str, severity="note", message="m", waived="", **place) -> Finding:
    return Finding(rule, severity, message, "r", Place(**place), waived=waived)


def test_findings_stand_in_the_order_in_which_to_take_them():
    wanted = [finding("z-01", "error"), finding("a-01", "warning"), finding("a-01", "warning", line="A"),
              finding("a-01", "warning", line="A", chainage_m=0.0),
              finding("a-01", "warning", line="A", chainage_m=9.0), finding("a-02", "warning"),
              finding("a-01", "note", file="x", row=2), finding("a-01", "note", file="x", row=10),
              finding("a-01", "error", waived="meant so")]
    assert worst_first(wanted[::-1]) == wanted
    assert worst_first(wanted) == wanted


def test_a_contractor_speaks_first_of_what_kills_then_of_land_stock_water_ground_and_money():
    spoken = ["electric-04", "boundary-03", "paddock-01", "line-04", "electric-01", "water-01", "loads-01",
              "materials-04", "line-01", "nothing-01"]
    assert [f.rule for f in worst_first([finding(rule) for rule in sorted(spoken)])] == spoken
    assert worst_first([finding("service-01"), finding("line-01", "error")])[0].severity == "error"


def test_a_waived_finding_keeps_all_else():
    first = finding("a-01", "error", line="A")
    assert first.waive("meant so") == finding("a-01", "error", line="A", waived="meant so")
    assert first.waived == ""
    assert first.source is COMMON_PRACTICE


def test_findings_cross_to_another_process():
    assert pickle.loads(pickle.dumps(finding("a-01", line="A"))) == finding("a-01", line="A")


# sources


@pytest.mark.parametrize(
    ("source", "text"),
    [(Source("Book"), "Book"), (Source("Book", "1990"), "Book, 1990"), (Source("Book", place="p. 3"), "Book, p. 3"),
     (Source("Book", "1990", "p. 3"), "Book, 1990, p. 3")],
)
def test_a_source_in_words(source: Source, text: str):
    assert str(source) == text


# progress


class Watching:
    def __init__(self) -> None:
        self.seen: list[tuple[float, str]] = []
        self.stop = False

    def report(self, fraction: float, text: str) -> None:
        self.seen.append((round(fraction, 9), text))

    def stop_if_cancelled(self) -> None:
        if self.stop:
            raise Cancelled


def test_a_part_reports_into_its_stretch_of_the_whole():
    whole = Watching()
    part = Part(Part(whole, 0.5, 1.0), 0.2, 0.4)
    for fraction in (0.0, 0.5, 1.0):
        part.report(fraction, "x")
    assert whole.seen == [(0.6, "x"), (0.65, "x"), (0.7, "x")]


def test_a_part_stops_when_the_whole_does():
    whole = Watching()
    part = Part(whole, 0.0, 1.0)
    part.stop_if_cancelled()
    whole.stop = True
    with pytest.raises(Cancelled):
        part.stop_if_cancelled()


def test_nobody_waits():
    Unwatched().report(0.5, "x")
    Unwatched().stop_if_cancelled()


# shipped


def test_what_comes_with_the_program_is_there():
    assert (resources() / "items.toml").is_file()
    assert (resources() / "plan.schema.json").is_file()
    assert (sample_data() / "boundary.shp").is_file()


def test_a_program_installed_without_its_folders_says_so(tmp_path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(shipped, "_PACKAGE", tmp_path / "planner")
    with pytest.raises(FileTrouble, match=r"the folder 'sample_data' .* is missing; install the program again"):
        sample_data()


def test_an_installed_programs_own_folder_comes_first(tmp_path, monkeypatch: pytest.MonkeyPatch):
    for folder in ("planner/_resources", "resources"):
        (tmp_path / folder).mkdir(parents=True)
    monkeypatch.setattr(shipped, "_PACKAGE", tmp_path / "planner")
    assert resources() == tmp_path / "planner" / "_resources"
