"""Colours of the map: by meaning, in light, dark and high contrast; never told by colour alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtGui import QColor


@dataclass(frozen=True)
class MapColours:
    """Colours of everything on the map, as ``#rrggbb``.

    Attributes:
        name: light, dark or contrast.
        ground: Paper.
        ink: Fence, figures and symbols.
        faint: Furniture of the map.
        grid: Grid lines.
        accent: What is in hand.
        soft: Band under what is in hand.
        card: Ground of labels.
        on_accent: Letters on the accent.
        sections: Tones that sections take in turn, all readable on the ground.
        lines: Role of a layer to its colour.
        shade: Darkest and brightest of the terrain shading.
    """

    name: str
    ground: str
    ink: str
    faint: str
    grid: str
    accent: str
    soft: str
    card: str
    on_accent: str
    sections: tuple[str, ...]
    lines: Mapping[str, str]
    shade: tuple[str, str]

    def line(self, role: str) -> QColor:
        """Colour of a layer's role, or the plain one where the role is not known; ``#...`` stands for itself."""
        return QColor(role if role.startswith("#") else self.lines.get(role, self.lines["plain"]))


LIGHT = MapColours(
    "light", ground="#fbfaf4", ink="#22302a", faint="#7c7a6c", grid="#e3dfcf", accent="#c26d14", soft="#f6dcb4",
    card="#fbfaf4", on_accent="#ffffff", sections=("#2b5a45", "#7a5628", "#44574a", "#8b4a2f"),
    lines={"plain": "#6b7268", "fence": "#22302a", "boundary": "#55605a", "water": "#3f7fae", "vegetation": "#5d8a4c",
           "track": "#8d7a5a", "service": "#8a4d7d", "existing fence": "#4f5a55", "contour": "#d9ccaa",
           "index contour": "#bda776", "yard": "#7a5628", "trough": "#2f6c97", "ground": "#7d7158", "trees": "#4c7a3c",
           "flood": "#5b8ea8", "road reserve": "#8a6a4a", "paddock": "#7f8a6c", "gate": "#4f5a55",
           "protected": "#7c5a2c", "photo point": "#55605a", "control point": "#7c7a6c", "energiser": "#8a4d7d"},
    shade=("#c9c3ad", "#fffdf6"))
DARK = MapColours(
    "dark", ground="#1d2421", ink="#e9e6da", faint="#9aa29b", grid="#2b3430", accent="#f0a246", soft="#5a431f",
    card="#29322e", on_accent="#1d2421", sections=("#86bd9c", "#d3a86b", "#b4c3b5", "#dd9678"),
    lines={"plain": "#97a099", "fence": "#e9e6da", "boundary": "#aab3ac", "water": "#6fb0de", "vegetation": "#86b573",
           "track": "#b5a27e", "service": "#c891bd", "existing fence": "#b9c2bb", "contour": "#4a4836",
           "index contour": "#6d6747", "yard": "#d3a86b", "trough": "#8bc2e8", "ground": "#b3a98d", "trees": "#9ac588",
           "flood": "#7fb0c8", "road reserve": "#c3a17d", "paddock": "#a3ad90", "gate": "#b9c2bb",
           "protected": "#d0a66c", "photo point": "#aab3ac", "control point": "#9aa29b", "energiser": "#c891bd"},
    shade=("#131816", "#37403b"))
CONTRAST = MapColours(
    "contrast", ground="#ffffff", ink="#000000", faint="#333333", grid="#c8c8c8", accent="#a03c00", soft="#ffd9a8",
    card="#ffffff", on_accent="#ffffff", sections=("#000000", "#5a3200", "#003d27", "#6b1f00"),
    lines={"plain": "#303030", "fence": "#000000", "boundary": "#000000", "water": "#00458a", "vegetation": "#1f5a10",
           "track": "#5a4310", "service": "#6b0f58", "existing fence": "#202020", "contour": "#b9a878",
           "index contour": "#7f6a2c", "yard": "#5a3200", "trough": "#00458a", "ground": "#4a3c14", "trees": "#1f5a10",
           "flood": "#00458a", "road reserve": "#5a3200", "paddock": "#2f3d1c", "gate": "#202020",
           "protected": "#5a3200", "photo point": "#202020", "control point": "#333333", "energiser": "#6b0f58"},
    shade=("#cfcfcf", "#ffffff"))
THEMES: Mapping[str, MapColours] = {"light": LIGHT, "dark": DARK, "contrast": CONTRAST}
