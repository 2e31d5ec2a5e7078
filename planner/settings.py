"""Settings: every default of the method that is not a property of a fence type, in one table.

The command line (``--set NAME=VALUE``), the job file, ``plan.json`` and the window's settings page all derive
from the fields below. Common-practice values are defaults to be edited, never rules.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import Field, dataclass, field, fields, replace
from typing import Any

from planner.errors import BadSetting
from planner.sources import COMMON_PRACTICE, Source

CORNER_SOURCES = Source("England FG2: any change; NRCS-type text: 20 deg; Irish grant job: 30 deg", place="they differ")
OWNERSHIP = Source("W. Edwards, Iowa State University Extension, estimated costs for livestock fencing", "", "table 6")
ELECTRIC = Source("J. Gerrish, quoted in Common fencing mistakes, Beef Magazine", "2001", "energizers and grounding: "
                  "1 joule a mile of fence, 3 ft of rod a joule, three rods of 6 ft at least 10 ft apart")
WALK = Source("Smith and others 1986, quoted by Gerrish, Peterson and Morrow, Distance cattle travel to water affects "
              "pasture utilization rate", place="at most 1 mile to water in rough country, 2 on the flat")
_STEEL = Source("textbook values for steel, E 200 GPa and 12e-6 per K")


def _number(default: float, unit: str, low: float, high: float, meaning: str, source: Source = COMMON_PRACTICE) -> Any:
    return field(default=default, metadata={
        "unit": unit, "low": low, "high": high, "meaning": meaning, "source": source})


def _text(default: str, meaning: str) -> Any:
    return field(default=default, metadata={"unit": "", "meaning": meaning, "source": COMMON_PRACTICE})


def _yes_no(default: bool, meaning: str) -> Any:
    return field(default=default, metadata={"unit": "", "meaning": meaning, "source": COMMON_PRACTICE})


@dataclass(frozen=True, slots=True)
class Settings:
    """Settings of one job. Units stand in the names; every field carries its meaning, limits and source."""

    # ground and length
    profile_step_m: float = _number(1.0, "m", 0.1, 50.0, "distance between ground levels along a line")
    sd_survey_m: float = _number(0.02, "m", 0.0, 100.0, "standard deviation of a surveyed corner")
    sd_rtk_m: float = _number(0.05, "m", 0.0, 100.0, "standard deviation of a corner fixed by RTK")
    sd_dgnss_m: float = _number(1.0, "m", 0.0, 100.0, "standard deviation of a corner fixed by differential GNSS")
    sd_handheld_m: float = _number(4.0, "m", 0.0, 100.0, "standard deviation of a corner fixed by a handheld")
    sd_traced_m: float = _number(5.0, "m", 0.0, 100.0, "standard deviation of a corner traced from an image")
    sd_unknown_m: float = _number(10.0, "m", 0.0, 100.0, "standard deviation of a corner of unknown origin")
    allow_ballpark: bool = _yes_no(False, "take datum operations of unknown accuracy; off unless said")
    # grade breaks and sections
    grade_tolerance_m: float = _number(0.15, "m", 0.01, 5.0, "how far the ground may leave a straight grade")
    corner_deg: float = _number(20.0, "deg", 0.0, 30.0, "turn above which a strain ends", CORNER_SOURCES)
    deviation_deg: float = _number(1.0, "deg", 0.0, 30.0, "turn above which a deviation post stands")
    break_end_deg: float = _number(12.0, "deg", 1.0, 90.0, "grade break above which a strain ends")
    cut_move_share: float = _number(0.15, "", 0.0, 0.5, "share of a part that a cut may move to reach a grade break")
    # mesh lean, friction, joins
    lean_window_m: float = _number(15.0, "m", 1.0, 200.0, "length over which a mesh follows the grade")
    friction_mu: float = _number(0.25, "", 0.0, 1.0, "friction of wire drawn round a post")
    far_end_ratio_min: float = _number(0.85, "", 0.1, 1.0, "least share of the pull that must reach the far end")
    undulating_deg_per_100m: float = _number(
        10.0, "deg", 0.0, 360.0, "vertical turning in 100 m above which ground counts as undulating")
    # straining
    usable_travel_m: float = _number(1.5, "m", 0.1, 20.0, "usable travel of the chain strainers in one bite")
    bites_allowed: int = _number(2, "", 1, 10, "bites that may be taken before a mid-run join is better")
    crimp_left_share: float = _number(0.5, "", 0.0, 1.0, "share of the crimp depth left after straining")
    tie_off_gap_m: float = _number(0.6, "m", 0.0, 5.0, "clear distance from clamp bar to end post after the pull")
    knot_tail_m: float = _number(0.15, "m", 0.0, 2.0, "tail of a termination knot")
    setting_temperature_c: float = _number(20.0, "degC", -30.0, 60.0, "wire temperature when strained")
    steel_modulus_gpa: float = _number(200.0, "GPa", 50.0, 250.0, "Young's modulus of the wire", _STEEL)
    steel_expansion_per_k: float = _number(12e-6, "1/K", 1e-6, 5e-5, "thermal expansion of the wire", _STEEL)
    end_yield_mm_per_kn: float = _number(0.0, "mm/kN", 0.0, 1000.0, "how far one end gives under load; 0 is rigid")
    # materials
    waste_wire: float = _number(0.02, "", 0.0, 0.5, "waste on plain and barbed wire")
    waste_mesh: float = _number(0.02, "", 0.0, 0.5, "waste on mesh and netting")
    waste_posts: float = _number(0.02, "", 0.0, 0.5, "waste on posts")
    waste_fixings: float = _number(0.10, "", 0.0, 1.0, "waste on ties, clips, staples and sleeves")
    order_confidence: float = _number(0.90, "", 0.5, 0.999, "chance that the ordered length is enough")
    min_useful_m: float = _number(10.0, "m", 0.0, 200.0, "shortest offcut worth keeping")
    roll_joins_allowed: bool = _yes_no(True, "rolls and coils may be joined inside a section")
    join_worth_m: float = _number(
        4.0, "m", 0.0, 200.0, "metres of material that one join is worth, where no price is known")
    roll_plan_seconds: float = _number(2.0, "s", 0.1, 600.0, "time the roll plan may look for a proven optimum")
    # money
    currency: str = _text("AUD", "currency of prices, an ISO 4217 code")
    tax_rate: float = _number(0.10, "", 0.0, 1.0, "tax on materials and labour")
    price_stale_days: int = _number(180, "d", 1, 3650, "age at which a price is flagged as stale")
    standard_fence: str = _text("", "fence type whose cost neighbours share; empty for the one planned")
    neighbour_share: float = _number(0.5, "", 0.0, 1.0, "share of the standard fence that a neighbour pays")
    # ownership
    interest_rate: float = _number(0.08, "", 0.0, 1.0, "interest a year on half the first cost", OWNERSHIP)
    life_woven_years: float = _number(20.0, "years", 1.0, 100.0, "life of a fence of mesh, netting or barbs", OWNERSHIP)
    life_plain_years: float = _number(25.0, "years", 1.0, 100.0, "life of a fence of plain or electric wire", OWNERSHIP)
    maintenance_woven: float = _number(
        0.08, "", 0.0, 1.0, "maintenance a year of mesh, netting or barbed wire, of the first cost", OWNERSHIP)
    maintenance_plain: float = _number(
        0.05, "", 0.0, 1.0, "maintenance a year of plain or electric wire, of the first cost", OWNERSHIP)
    # old fences
    removal_h_per_m: float = _number(0.06, "h/m", 0.0, 5.0, "person-hours that taking out a metre of old fence takes")
    # electric
    joules_per_km: float = _number(
        0.62, "J/km", 0.05, 10.0, "least output of an energiser for each km of live fence", ELECTRIC)
    earth_rod_m_per_joule: float = _number(0.914, "m/J", 0.1, 10.0, "earth rod in the ground for each joule", ELECTRIC)
    earth_rods_least: int = _number(3, "", 1, 100, "least number of earth rods", ELECTRIC)
    earth_rod_length_m: float = _number(1.83, "m", 0.5, 5.0, "length of an earth rod", ELECTRIC)
    feed_reach_m: float = _number(50.0, "m", 1.0, 2000.0, "how far from a live fence its energiser may stand")
    # carting
    trailer_payload_kg: float = _number(1500.0, "kg", 10.0, 100_000.0, "payload of the trailer that carts materials")
    drop_spacing_m: float = _number(400.0, "m", 20.0, 10_000.0, "distance between drop points along a line")
    # what is around a line
    boundary_confidence: float = _number(
        0.95, "", 0.5, 0.999, "chance at which a line counts as provably on one side of a boundary")
    flow_angle_deg: float = _number(
        30.0, "deg", 0.0, 90.0, "angle off square to the flow above which a crossing catches debris")
    flood_strain_high_m: float = _number(
        50.0, "m", 5.0, 2000.0, "longest strain where floods are frequent")
    flood_strain_medium_m: float = _number(
        100.0, "m", 5.0, 2000.0, "longest strain where floods come now and then")
    setback_m: float = _number(0.0, "m", 0.0, 1000.0, "distance asked from the bank top of any water; 0 for none")
    service_clear_m: float = _number(5.0, "m", 0.0, 200.0, "distance from a buried service within which a post waits")
    overhead_clear_m: float = _number(
        4.0, "m", 0.0, 200.0, "distance that rammers and loaders keep from an overhead line, in plan")
    power_beside_m: float = _number(50.0, "m", 1.0, 1000.0, "distance within which a fence runs beside a power line")
    power_parallel_m: float = _number(
        200.0, "m", 10.0, 10_000.0, "length beside a power line above which to ask its owner")
    clearing_width_m: float = _number(6.0, "m", 0.5, 100.0, "width of the strip cleared and driven along a line")
    clearing_limit_m: float = _number(0.0, "m", 0.0, 100.0, "width that local rules let be cleared; 0 where not known")
    clearing_checked_on: str = _text("", "day on which that was looked up, as 2026-03-31")
    haul_slope_deg: float = _number(15.0, "deg", 1.0, 60.0, "grade along a line above which carting is hard")
    haul_stop_deg: float = _number(20.0, "deg", 1.0, 60.0, "grade along a line above which a loaded trailer stays off")
    reuse_sound_share: float = _number(
        0.5, "", 0.0, 1.0, "share of sound posts below which an old fence is replaced rather than patched")
    # paddocks
    widest_machine_m: float = _number(0.0, "m", 0.0, 30.0, "widest machine that must reach every paddock; 0 for none")
    gate_slope_deg: float = _number(6.0, "deg", 0.5, 45.0, "grade along a gate opening above which a gate hangs badly")
    walk_to_water_m: float = _number(
        1600.0, "m", 10.0, 50_000.0, "straight distance that stock should have to water at most", WALK)
    # set-out
    eye_height_m: float = _number(1.6, "m", 0.1, 5.0, "height of the eye when sighting along pegs")
    peg_target_m: float = _number(1.0, "m", 0.1, 5.0, "height of the target on a peg")

    def sd_of(self, accuracy: str) -> float:
        """Standard deviation of a corner of an accuracy class. [m]

        Args:
            accuracy: survey, rtk, dgnss, handheld, traced or unknown.

        Raises:
            BadSetting: No such accuracy class.
        """
        if f"sd_{accuracy}_m" not in _BY_NAME:
            raise BadSetting(
                f"there is no accuracy class '{accuracy}'", remedy=f"use one of {', '.join(ACCURACY_CLASSES)}")
        return float(getattr(self, f"sd_{accuracy}_m"))

    def changed(self, values: Mapping[str, str | float | int | bool]) -> Settings:
        """These settings with some values replaced, each checked against its limits.

        Args:
            values: Setting name to new value; texts are parsed.

        Raises:
            BadSetting: A name is unknown, or a value is not a number or outside its limits.
        """
        checked: dict[str, Any] = {name: _checked(name, value) for name, value in values.items()}
        return replace(self, **checked)

    def as_dict(self) -> dict[str, float | int | bool | str]:
        """Name to value of every setting, in the order of the table."""
        return {f.name: getattr(self, f.name) for f in fields(self)}


_BY_NAME: dict[str, Field[Any]] = {f.name: f for f in fields(Settings)}
ACCURACY_CLASSES = tuple(n[3:-2] for n in _BY_NAME if n.startswith("sd_"))


def _checked(name: str, value: str | float | int | bool) -> float | int | bool | str:
    known = _BY_NAME.get(name)
    if known is None:
        near = [n for n in _BY_NAME if name.lower() in n] or list(_BY_NAME)
        raise BadSetting(
            "no such setting", where=f"setting '{name}'", remedy=f"did you mean one of {', '.join(near[:6])}")
    if isinstance(known.default, str):
        return _worded(name, str(value).strip())
    if isinstance(known.default, bool):
        return _yes_or_no(name, value)
    try:
        number = float(value)
    except ValueError:
        number = math.nan
    low, high = known.metadata["low"], known.metadata["high"]
    if not low <= number <= high:
        raise BadSetting(f"'{value}' is not a number from {low:g} to {high:g} {known.metadata['unit']}".rstrip(),
                         where=f"setting '{name}'", remedy="give one inside these limits")
    if isinstance(known.default, int):
        if number != int(number):
            raise BadSetting(
                f"'{value}' is not a whole number", where=f"setting '{name}'", remedy="give a whole number")
        return int(number)
    return number


def _worded(name: str, text: str) -> str:
    if name == "currency" and not re.fullmatch("[A-Z]{3}", text):
        raise BadSetting(f"'{text}' is no currency code", where="setting 'currency'",
                         remedy="give three capital letters, as AUD or NZD")
    return text


def _yes_or_no(name: str, value: object) -> bool:
    text = str(value).strip().lower()
    if text in {"1", "true", "yes", "on"}:
        return True
    if text in {"0", "false", "no", "off"}:
        return False
    raise BadSetting(f"'{value}' is neither yes nor no", where=f"setting '{name}'", remedy="say yes or no")
