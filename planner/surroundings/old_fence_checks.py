"""Fences that stand and are to be reused: whether anybody has looked, and what was seen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import shapely

from planner.findings import Finding, Place
from planner.materials.ownership import upkeep_of
from planner.sources import COMMON_PRACTICE
from planner.surroundings.old_fences import old_fences_of, sound_posts
from planner.surroundings.situation import Situation
from planner.survey.feature_meanings import choice_of, number_of
from planner.survey.features import Feature

WORTH_KEEPING = 10
"""Fewer sound posts than this are not worth a word. Common practice, no source."""
RULES = {
    "oldfence-01": "an old fence that is reused has been looked at",
    "oldfence-02": "enough posts of an old fence that is reused are sound",
    "oldfence-03": "ends and wires of an old fence that is reused hold",
    "oldfence-04": "an old fence that is reused has years left",
    "oldfence-05": "an old fence that is taken out, or reused, lies along a line to be built",
    "oldfence-06": "sound posts of a fence that is taken out are not thrown away",
}


def check_old_fences(situation: Situation) -> list[Finding]:
    """What speaks against reusing fences that stand, and what becomes of those that are taken out.

    Args:
        situation: The situation.

    Source:
        Half of the posts: common practice, no source. Lives: as the settings say.
    """
    fences = [(feature, shape, choice_of(feature, "fate")) for feature, shape in situation.around.of("existing fence")]
    if all(fate == "stays" for _, _, fate in fences):
        return []
    along = old_fences_of(situation)
    met = {stretch.fence for stretches in along.values() for stretch in stretches}
    found: list[Finding] = []
    for feature, shape, fate in fences:
        if fate == "is reused":
            found += _reused(feature, shape, situation, rebuilt=feature.name in met)
        if fate != "stays":
            found += _counted(feature, shape, fate, met=feature.name in met)
    return found


def _place(shape: Any) -> Place:
    point = shapely.get_point(shapely.get_geometry(shape, 0), 0) if shape.geom_type != "Point" else shape
    return Place(x=round(float(point.x), 2), y=round(float(point.y), 2))


def _counted(feature: Feature, shape: Any, fate: str, *, met: bool) -> Iterator[Finding]:
    """Whether a line stands on it or takes it out, and what is left over of it."""
    who = f"The old fence '{feature.name}'"
    if not met:
        what = "its posts are counted for none" if fate == "is reused" else "taking it out is counted nowhere"
        yield Finding(
            "oldfence-05", "note", f"{who}: {fate}, but no line to be built runs along it, so {what}.",
            "Draw the new line along it, or say that it stays.", _place(shape), COMMON_PRACTICE)
    spare = int(sound_posts(feature))
    if fate == "is pulled out" and spare >= WORTH_KEEPING:
        yield Finding(
            "oldfence-06", "note", f"{who}: taking it out frees about {spare} sound posts, which are not taken off the "
            "order.", "Keep them for repairs, or say that the fence is reused where the new line stands on it.",
            _place(shape), COMMON_PRACTICE)


def _reused(feature: Feature, shape: Any, situation: Situation, *, rebuilt: bool) -> Iterator[Finding]:
    settings, place = situation.settings, _place(shape)
    who = f"The old fence '{feature.name}'"
    if not feature.fact("seen"):
        yield Finding(
            "oldfence-01", "warning", f"{who} is to be reused, and nobody has written down in what condition it is.",
            "Walk it: count sound posts, look at ends and wires, and write them down with the day.", place,
            COMMON_PRACTICE)
    sound = number_of(feature, "posts sound")
    if sound is not None and sound < 100.0 * settings.reuse_sound_share - 1e-9:
        yield Finding(
            "oldfence-02", "warning", f"{who}: {sound:g} % of its posts are sound, fewer than the "
            f"{100.0 * settings.reuse_sound_share:g} % below which patching costs as much as building.",
            "Plan a new fence there, and keep the sound posts for it.", place, COMMON_PRACTICE)
    failed, wires = number_of(feature, "ends failed") or 0.0, choice_of(feature, "wires")
    if (failed or wires == "failed") and not rebuilt:  # a new line along it brings its own wires and ends
        what = " and ".join(filter(None, (
            f"{failed:g} of its ends {'has' if failed == 1 else 'have'} failed" if failed else "",
            "its wires have failed" if wires == "failed" else "")))
        yield Finding(
            "oldfence-03", "warning", f"{who}: {what}, so that it holds no strain as it stands.",
            "Plan new ends or new wires there, or a new fence; strain nothing against an end that has moved.", place,
            COMMON_PRACTICE)
    built = number_of(feature, "built")
    if built is not None:
        age, life, kind = situation.today.year - int(built), *_life(feature, situation)
        if age > life:
            yield Finding(
                "oldfence-04", "note", f"{who} is {age} years old, past the {life:g} years that {kind} is counted to "
                "last.", "Weigh what a few more years are worth against building it new.", place, COMMON_PRACTICE)


def _life(feature: Feature, situation: Situation) -> tuple[float, str]:
    """Years that it is counted to last, and as what; a fence of a type that is not known gets the longer life."""
    settings, fence = situation.settings, situation.catalogue.fences.get(feature.fact("type"))
    if fence is None:
        return max(settings.life_woven_years, settings.life_plain_years), "a fence"
    return upkeep_of(fence, settings).life_years, fence.name
