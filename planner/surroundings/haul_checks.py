"""Whether what is carted gets there: grades along the lines, and water on the tracks."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from planner.findings import Finding, Place
from planner.sources import COMMON_PRACTICE
from planner.surroundings.along import runs_of, spot_at
from planner.surroundings.situation import Planned, Situation
from planner.survey.feature_meanings import choice_of
from planner.units import Metre
from planner.wording import counted

RULES = {
    "haul-01": "a loaded trailer gets along the line",
    "haul-02": "no track on which materials are carted goes through water",
}
OVER_M: Metre = 10.0
"""Length over which a grade counts: shorter humps a trailer gets over. [m] Common practice, no source."""
_STEP_M = 1.0


def check_haul(situation: Situation) -> list[Finding]:
    """Steep metres along each line, and wet places on the tracks.

    Ground across a line is not known from its profile; a slope that falls to one side is not seen here.

    Args:
        situation: The situation.

    Source:
        15 and 20 deg: common practice, no source; what a vehicle's maker allows goes before them.
    """
    findings = [finding for planned in situation.lines for finding in _steep(planned, situation)]
    return [*findings, *_wet(situation)]


def _steep(planned: Planned, situation: Situation) -> Iterator[Finding]:
    settings, ground = situation.settings, planned.ground
    length = float(ground.chainage_m[-1])
    if length < OVER_M or float(np.ptp(ground.level_m)) == 0.0:
        return
    middle = np.linspace(OVER_M / 2, length - OVER_M / 2, int((length - OVER_M) / _STEP_M) + 2)
    rise = ground.level_at(middle + OVER_M / 2) - ground.level_at(middle - OVER_M / 2)
    grade = np.degrees(np.arctan(np.abs(rise) / OVER_M))
    runs = runs_of(middle, grade > settings.haul_slope_deg + 1e-9)
    if not runs:
        return
    worst = int(np.argmax(grade))
    steep = sum(min(high + OVER_M / 2, length) - max(low - OVER_M / 2, 0.0) for low, high in _joined(runs))
    stops = float(grade[worst]) > settings.haul_stop_deg + 1e-9
    yield Finding(
        "haul-01", "warning" if stops else "note",
        f"Steeper than {settings.haul_slope_deg:g} deg along the line for {steep:.0f} m, {grade[worst]:.0f} deg at "
        f"{middle[worst]:.0f} m: " + ("a loaded trailer does not go there." if stops else
                                      "carting with a loaded trailer needs a second look."),
        "Put drop points above and below it and carry or winch between them, or cart on another way; let nobody drive "
        "across the slope.", spot_at(planned, float(middle[worst])), COMMON_PRACTICE)


def _joined(runs: tuple[tuple[Metre, Metre], ...]) -> list[tuple[Metre, Metre]]:
    """Runs so near that the lengths their grades count over overlap are one."""
    joined = [runs[0]]
    for low, high in runs[1:]:
        if low - joined[-1][1] <= OVER_M:
            joined[-1] = (joined[-1][0], high)
        else:
            joined.append((low, high))
    return joined


def _wet(situation: Situation) -> Iterator[Finding]:
    if not situation.lines:
        return
    tracks = [(f, s) for f, s in situation.around.of("track") if choice_of(f, "haul") == "yes"]
    shapes = np.array([shape for _, shape in tracks], dtype=object)
    met: dict[int, list[tuple[str, object]]] = {}
    for number, water, shape in situation.around.near(shapes, "water", within_m=0.0):
        met.setdefault(number, []).append((water.name, shape))
    for number, waters in met.items():
        feature, track = tracks[number]
        first = shapely.get_point(shapely.shortest_line(track, waters[0][1]), 0)
        names = list(dict.fromkeys(f"'{name}'" for name, _ in waters if name))
        yield Finding(
            "haul-02", "note", f"The track '{feature.name}' goes through water, {' and '.join(names[:3])}, on the way "
            "that materials are carted." if names else f"The track '{feature.name}' goes through water in "
            f"{counted(len(waters), 'place')} on the way that materials are carted.",
            "Cart while it is dry, or know another way; say of the track that nothing is carted on it if that is so.",
            Place(x=round(float(first.x), 2), y=round(float(first.y), 2)), COMMON_PRACTICE)
