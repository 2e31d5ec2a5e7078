"""Symbols of the sheets by what they stand for, and what the legend says of each."""

from __future__ import annotations

from collections.abc import Mapping

SYMBOL_WORDS: Mapping[str, str] = {
    "end": "end assembly",
    "corner": "corner assembly",
    "gate": "gate",
    "junction": "another line meets here",
    "crossing": "water crossing, strained by itself",
    "rise": "rise post",
    "dip": "dip post, held down",
    "deviation": "post at a slight turn",
    "line post": "line post",
    "mid-run join": "join: strained both ways from here",
    "roll join": "one roll ends, the next begins",
    "mid-run join at a roll end": "join strained both ways, at a roll end",
    "sight peg": "peg for sight only",
    "control mark": "survey mark",
    "water": "water",
    "trees": "trees",
    "rock": "rock",
    "service": "buried or overhead service",
    "existing fence": "fence that stands already",
    "trough": "trough",
    "yard": "yards",
    "energiser": "energiser",
    "photo point": "photo point",
    "protected": "protected area",
}
"""In the order of the legend. The shapes are in the table of symbols, whose names and meanings these are."""
SYMBOL_OF_JOIN: Mapping[str, str] = {
    "mid-run": "mid-run join", "roll": "roll join", "both": "mid-run join at a roll end"}
"""Kind of a join to its symbol."""
SYMBOL_OF_FEATURE: Mapping[str, str] = {
    "water": "water", "flood": "water", "trees": "trees", "vegetation": "trees", "ground": "rock", "rock": "rock",
    "service": "service",
    "trough": "trough", "yard": "yard", "existing fence": "existing fence", "gate": "gate", "protected": "protected",
    "photo point": "photo point", "control point": "control mark", "energiser": "energiser"}
"""Meaning of a feature to its symbol, on the map and the sheets; boundaries, roads, tracks and paddocks have their line
and their name alone."""


def symbol_of_post(kind: str) -> str:
    """Symbol of a kind of post or peg.

    Args:
        kind: Kind of the post or peg.
    """
    return {"line": "line post", "join": "mid-run join", "sight": "sight peg"}.get(kind, kind)
