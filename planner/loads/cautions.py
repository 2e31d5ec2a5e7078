"""What can hurt people: cautions for the sheets that go outside, in our own words, each with its source."""

from __future__ import annotations

from dataclasses import dataclass

from planner.sources import COMMON_PRACTICE, FROM_MEMORY, Source
from planner.spec.fence_type import FenceType

_FORESTRY = Source("FISA 104 Fencing, UK forestry safety guide")
_BTCV = Source("BTCV Fencing handbook", place="wire handling")
_FIELD_DAY = Source("NSW South East Local Land Services field day notes", "2017")
_FARM_SAFETY = Source("New Zealand farm health and safety notes", "2014")


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to mind.

    Attributes:
        key: Short readable key, such as ``recoil``.
        text: What to do, a sentence or two.
        source: Where it comes from.
    """

    key: str
    text: str
    source: Source


ADVISORY = Caution(
    "advisory",
    "Loads here are advisory: worked out from stated assumptions, not a design by a licensed engineer. "
    "Where a failure could hurt someone, have it designed.",
    COMMON_PRACTICE)

CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "stand-clear",
        "Keep out of the line of pull. Never stand on, over or astride a wire under tension, and keep "
        "everyone back by the length that could whip.",
        _FORESTRY),
    Caution(
        "first-end",
        "Anchor the strainer, then fix one end of the wire before any tension goes on; hold the free end so "
        "that it cannot spring back. Leave two full turns or more on a ratchet.",
        _FORESTRY),
    Caution(
        "cutting",
        "Hold high tensile or spring wire on both sides of the place before you cut it. Pay it out from a "
        "dispenser, and leave a coil's ties on until it is clamped in.",
        _BTCV),
    Caution(
        "joins",
        "Knots suit mild wire; join high tensile wire with sleeves or connectors made for it.",
        _FORESTRY),
    Caution(
        "protection",
        "Wear eye protection (EN 166) and gloves whenever wire is handled, and ear protection beside a post "
        "driver: hard wire recoils worse than soft.",
        _FIELD_DAY),
    Caution(
        "two-people",
        "Strain with two people in sight or call of each other. Working alone, agree a time at which "
        "someone comes looking.",
        COMMON_PRACTICE),
    Caution(
        "overhead-lines",
        "Wire that flicks up need not touch an overhead line to pass on its current: coming near is enough. "
        "Keep loaders, drivers and long posts well away from lines, too.",
        _FARM_SAFETY),
    Caution(
        "buried-services",
        "Have buried pipes and cables located before the first hole. They do not all run straight or at one "
        "depth; private ones are in no register.",
        Source("USDA-NRCS California, Fence 382A", "2015", "utilities check before digging")),
    Caution(
        "cool-weather",
        "Check tensions again in cool weather. Wires strained hard in summer have pulled corners out of the "
        "ground in winter.",
        Source("US conservation district fencing note", "2013")),
    Caution(
        "fire",
        "No cutting, grinding or welding on days of fire ban, and have water at hand on others.",
        COMMON_PRACTICE),
)

BARBED_NEVER_ELECTRIFIED = Caution(
    "barbed-electric",
    "Never electrify barbed wire: who is caught on it cannot get off.",
    Source("USDA-NRCS Maine, Fence 382", "2014"))
LIGHTNING = Caution(
    "lightning",
    "Earth wires on timber posts against lightning, about every 150 ft (45 m) on dry ground and 300 ft "
    "(90 m) on moist.",
    FROM_MEMORY)


def cautions_for(fence: FenceType) -> tuple[Caution, ...]:
    """The cautions that a fence's sheets carry, most urgent first, the advisory note last.

    Args:
        fence: Fence type.

    Returns:
        The general cautions; for fences with barbed wire, that it is never electrified.
    """
    barbed = (BARBED_NEVER_ELECTRIFIED,) if any(strand.kind == "barbed" for strand in fence.strands) else ()
    return (*CAUTIONS, *barbed, LIGHTNING, ADVISORY)
