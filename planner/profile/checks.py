"""Checks of the profile: are the levels there, fine enough, quiet enough, and of one mind."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from planner.findings import Finding, Place, Severity
from planner.profile.grade_breaks import NOISE_TIMES, GradeChain
from planner.profile.ground_line import GroundLine, is_stale
from planner.sources import OWN_MODEL, Source
from planner.survey.ground import NONE, SOURCE_NAMES, TRACK, RecordedLevels
from planner.units import FOOT_M, Metre

RULES = {
    "profile-01": "no level is known anywhere: the line is planned flat",
    "profile-02": "part of the line has no levels of its own",
    "profile-03": "the terrain is too coarse for short dips and rises",
    "profile-04": "the walked heights are noisy",
    "profile-05": "the terrain levels are rounded",
    "profile-06": "the level jumps where its source changes",
    "profile-07": "the levels were taken before the line was moved",
    "profile-08": "walked heights and terrain disagree",
    "profile-09": "surveyed levels and terrain disagree",
    "profile-10": "the ground is steeper than 45 degrees",
    "profile-11": "the levels are too rough to tell dips and rises from noise",
    "profile-12": "a source of levels counts in feet",
}
"""Rule id to what it finds."""

COARSE_CELL_M = 5.0
"""Cell above which dips are missed. [m] Common practice, no source."""
NOISY_SHARE = 0.0025
"""Length that walked heights may add before they are called noisy, as a share of the walk. Common practice."""
DATUM_OFFSET_M = 3.0
"""Median difference of walked and terrain heights above which it is named. [m] Common practice, no source."""
WALKED_SPREAD_M = 6.0
"""Spread about terrain that is no more than a handheld's own height noise: half as much again as its 4 m in plan. [m]
Common practice, no source."""
SHORT_GAP_M = 30.0
"""Gap up to which bridging is no more than worth a note. [m] Common practice, no source."""
_HEIGHTS = Source("GNSS heights count from the ellipsoid, maps from mean sea level; they differ by up to 100 m",
                  place="geoid separation, from memory")
_STEEP_LENGTH_M = 2.0
_BLUNT_M = 0.5
"""Height of a dip or rise that may go unseen before it is said. [m] Common practice, no source."""


def check_profile(line_name: str, ground: GroundLine, recorded: RecordedLevels | None,
                  chain: GradeChain | None = None) -> list[Finding]:
    """What is worth a look in the profile of one line.

    Args:
        line_name: Name of the line.
        ground: Its profile.
        recorded: The record the profile was computed from; None when there is none.
        chain: Its straight grades; None to leave out what is said of them.
    """
    if not np.isfinite(ground.sd_m).any():
        stale = list(_stale(line_name, ground, recorded)) if recorded is not None else []
        return [*stale, Finding(
            "profile-01", "warning",
            "No ground level is known along the line: its length is that of the map, and its dips and rises are not "
            "known.",
            "Give a terrain raster, surveyed points with levels, or a track with heights.", Place(line=line_name))]
    found = [*_gaps(line_name, ground), *_steep(line_name, ground)]
    if chain is not None:
        found += _blunt(line_name, ground, chain)
    if recorded is not None:
        found += [*_stale(line_name, ground, recorded), *_coarse(line_name, recorded), *_noisy(line_name, recorded),
                  *_rounded(line_name, recorded), *_jumps(line_name, ground),
                  *(_in_feet(line_name, recorded) if recorded.quality.in_feet
                    else [*_walked_off(line_name, recorded), *_survey_off(line_name, ground, recorded)])]
    return found


def _blunt(line_name: str, ground: GroundLine, chain: GradeChain) -> Iterator[Finding]:
    """Levels so rough that the tolerance of the grades is theirs, not the one that was set."""
    tolerance = chain.tolerance_m
    if tolerance > _BLUNT_M and NOISE_TIMES * ground.noise_m >= tolerance:
        yield Finding(
            "profile-11", "warning" if tolerance > 2 * _BLUNT_M else "note",
            f"The levels are known to about {ground.noise_m:.2g} m only, so no dip or rise of less than "
            f"{tolerance:.2g} m gets a strainer, a rise post or a dip post.",
            "Say how well the points are known if they are better than that, or give a terrain raster.",
            Place(line=line_name))


def _gaps(line_name: str, ground: GroundLine) -> Iterator[Finding]:
    unknown = ground.source == NONE
    if not unknown.any():
        return
    # a step belongs to the gap when either of its ends does
    step = np.diff(ground.chainage_m)
    total = float(step[unknown[1:] | unknown[:-1]].sum())
    known_at = ground.chainage_m[~unknown]
    gaps = np.diff(known_at)
    inner = float(gaps.max()) if len(gaps) else 0.0
    ends = float(max(known_at[0], ground.chainage_m[-1] - known_at[-1]))
    longest = max(inner, ends)
    where = float(known_at[int(np.argmax(gaps))]) if inner >= ends else (0.0 if known_at[0] >= ends else known_at[-1])
    how = "straight between the levels on either side" if inner >= ends else "level with the last known place"
    severity: Severity = "note" if longest <= SHORT_GAP_M else "warning"
    yield Finding(
        "profile-02", severity,
        f"{total:.0f} m of the line's {ground.chainage_m[-1]:.0f} m have no level of their own; the longest gap, "
        f"{longest:.0f} m, is taken {how}, with a standard deviation up to {float(ground.sd_m[unknown].max()):.1f} m.",
        "Give levels for that part, or look at it on the ground.", _at(line_name, ground, where))


def _steep(line_name: str, ground: GroundLine) -> Iterator[Finding]:
    step, rise = np.diff(ground.chainage_m), np.diff(ground.level_m)
    steep = np.abs(rise) > step * (1 + 1e-9)
    length = float(step[steep].sum())
    if length >= _STEEP_LENGTH_M:
        worst = int(np.argmax(np.where(steep, np.abs(rise) / step, 0.0)))
        yield Finding(
            "profile-10", "warning",
            f"{length:.0f} m of the line are steeper than 45 degrees, up to "
            f"{np.degrees(np.arctan(abs(rise[worst]) / step[worst])):.0f} degrees.",
            "Check these levels; if they are right, go round or plan a drop there.",
            _at(line_name, ground, float(ground.chainage_m[worst])))


def _stale(line_name: str, ground: GroundLine, recorded: RecordedLevels) -> Iterator[Finding]:
    corners = np.column_stack((ground.x, ground.y))[ground.vertices]
    if is_stale(corners, recorded):
        known = np.isfinite(ground.sd_m) & (ground.source != NONE)
        share = float(known.mean())
        yield Finding(
            "profile-07", "warning",
            f"The line was moved after its levels were taken; {100 * share:.0f} % of its profile points still have "
            "one.",
            "Take the levels again with the terrain at hand.", Place(line=line_name), OWN_MODEL)


def _coarse(line_name: str, recorded: RecordedLevels) -> Iterator[Finding]:
    cell = recorded.quality.cell_m
    if cell is not None and cell > COARSE_CELL_M:
        yield Finding(
            "profile-03", "warning",
            f"Profile too coarse: the terrain has {cell:.3g} m cells, so a dip or rise shorter than about "
            f"{2 * cell:.0f} m does not show, and gullies are shallower than they are.",
            f"Walk the line for dips, or give terrain of {COARSE_CELL_M:.0f} m cells or finer.", Place(line=line_name))


def _noisy(line_name: str, recorded: RecordedLevels) -> Iterator[Finding]:
    q = recorded.quality
    if not (recorded.source == TRACK).any():  # nothing rests on walked heights
        return
    if q.walked_raw_m is None or q.walked_smooth_m is None or q.walked_noise_m is None or not q.walked_smooth_m > 0:
        return
    added = q.walked_raw_m / q.walked_smooth_m - 1.0
    if added > NOISY_SHARE:
        yield Finding(
            "profile-04", "note",
            f"Noisy heights: as walked they add up to {q.walked_raw_m:.0f} m of slope length, smoothed to "
            f"{q.walked_smooth_m:.0f} m ({100 * added:.1f} % less), noise {q.walked_noise_m:.2g} m; the smoothed ones "
            "are used where nothing better is known.",
            "Use terrain or surveyed levels where dips matter.", Place(line=line_name))


def _rounded(line_name: str, recorded: RecordedLevels) -> Iterator[Finding]:
    step = recorded.quality.quantum_m
    if step is not None:
        yield Finding(
            "profile-05", "warning" if step >= 0.5 else "note",
            f"Terrain levels are rounded to {step:.3g} m; the profile was smoothed within that, and grade breaks are "
            f"looked for within {2 * recorded.noise_m:.2f} m or more.",
            "Use terrain with decimals if there is any.", Place(line=line_name),
            Source("variance of a rounding error, step / sqrt(12)"))


def _jumps(line_name: str, ground: GroundLine) -> Iterator[Finding]:
    known = np.flatnonzero(ground.source != NONE)
    if len(known) < 4:
        return
    at, level, sd, source = (a[known] for a in (ground.chainage_m, ground.level_m, ground.sd_m, ground.source))
    step, grade = np.diff(at), np.diff(level) / np.diff(at)
    for k in np.flatnonzero((np.diff(source) != 0) & (step <= SHORT_GAP_M)):
        around = [grade[j] for j in (k - 1, k + 1) if 0 <= j < len(grade) and step[j] <= SHORT_GAP_M]
        expected = float(np.mean(around)) * step[k] if around else 0.0
        jump = float(level[k + 1] - level[k] - expected)
        limit = 3.0 * float(np.hypot(sd[k], sd[k + 1]))
        if abs(jump) > limit:
            yield Finding(
                "profile-06", "warning",
                f"The level jumps {abs(jump):.2f} m {'up' if jump > 0 else 'down'} within {step[k]:.1f} m where "
                f"{SOURCE_NAMES[source[k]]} levels end and {SOURCE_NAMES[source[k + 1]]} levels begin, more than three "
                f"standard deviations ({limit:.2f} m).",
                "Check that both heights count from the same level, and look there on the ground.",
                _at(line_name, ground, float(at[k])), OWN_MODEL)


def _in_feet(line_name: str, recorded: RecordedLevels) -> Iterator[Finding]:
    name, level = recorded.quality.in_feet, recorded.quality.in_feet_m or 0.0
    yield Finding(
        "profile-12", "error",
        f"The {'levels of the terrain' if name == 'terrain' else name} look like feet: {level:.0f} in the middle is "
        f"{level * FOOT_M:.0f} m, which the other source has; taken as metres, every rise and "
        "fall is three times too steep.",
        "Say --columns level-unit=ft when the file is read, or turn its levels into metres; set the finding aside if "
        "they are metres.", Place(line=line_name), OWN_MODEL)


def _walked_off(line_name: str, recorded: RecordedLevels) -> Iterator[Finding]:
    off, spread = recorded.quality.walked_off_m, recorded.quality.walked_spread_m
    if off is None or spread is None:
        return
    side = "above" if off > 0 else "below"
    if abs(off) > DATUM_OFFSET_M and spread < max(DATUM_OFFSET_M / 2, abs(off) / 4):
        yield Finding(
            "profile-08", "note",
            f"The walked heights lie {abs(off):.1f} m {side} the terrain all along (spread {spread:.1f} m): the two "
            "count from different levels, most likely ellipsoid and mean sea level; slopes and lengths are not "
            "touched, and walked heights are moved to the terrain where it ends.",
            "Say which height is wanted if heights themselves matter.", Place(line=line_name), _HEIGHTS)
    elif abs(off) > DATUM_OFFSET_M or spread > WALKED_SPREAD_M:
        yield Finding(
            "profile-08", "warning",
            f"Walked heights and terrain disagree: walked ones lie {abs(off):.1f} m {side} the terrain in the middle, "
            f"with a spread of {spread:.1f} m.",
            "Check the terrain's place and unit, and the track.", Place(line=line_name))


def _survey_off(line_name: str, ground: GroundLine, recorded: RecordedLevels) -> Iterator[Finding]:
    q = recorded.quality
    if q.survey_off_m is None or q.survey_spread_m is None or q.survey_worst_m is None or q.survey_worst_at_m is None:
        return
    terrain = ground.sd_m[ground.source == SOURCE_NAMES.index("terrain")]
    sd = float(np.median(terrain)) if len(terrain) else 1.0
    if abs(q.survey_off_m) > 3 * sd:
        side = "above" if q.survey_off_m > 0 else "below"
        yield Finding(
            "profile-09", "warning",
            f"Surveyed levels lie {abs(q.survey_off_m):.2f} m {side} the terrain, more than three of its standard "
            f"deviations ({3 * sd:.2f} m); the terrain was moved to them.",
            "Check that both heights count from the same level.", Place(line=line_name), OWN_MODEL)
    if abs(q.survey_worst_m) > 3 * float(np.hypot(sd, q.survey_spread_m)):
        yield Finding(
            "profile-09", "warning",
            f"One surveyed level lies {abs(q.survey_worst_m):.2f} m "
            f"{'above' if q.survey_worst_m > 0 else 'below'} where the others and the terrain put it.",
            "Check that point.", _recorded_place(line_name, ground, recorded, q.survey_worst_at_m), OWN_MODEL)


def _recorded_place(line_name: str, ground: GroundLine, recorded: RecordedLevels, at_m: Metre) -> Place:
    if len(recorded.at_m) != len(ground.chainage_m):  # moved since: the record's own distances mean nothing here
        return Place(line=line_name)
    return _at(line_name, ground, float(np.interp(at_m, recorded.at_m, ground.chainage_m)))


def _at(line_name: str, ground: GroundLine, chainage: Metre) -> Place:
    x, y = ground.place_at(chainage)
    return Place(line=line_name, chainage_m=round(float(chainage), 2), x=round(float(x), 2), y=round(float(y), 2))
