"""Actions: everything the window can do, in one table; menus, tool rail, the sheet of keys and tests derive from it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget

from planner.ui.way_state import STEPS

Menu = Literal["Job", "Change", "Draw", "Look", "Steps", "Help"]
Needs = Literal["nothing", "job", "lines", "plan", "undo", "redo"]


@dataclass(frozen=True, slots=True)
class ActionRow:
    """One thing the window can do.

    Attributes:
        id: Name in the code.
        text: What menus call it.
        menu: Menu it stands in.
        tip: What it does, in one sentence.
        shortcut: Keys, as Qt writes them; several are separated by a semicolon.
        needs: What must be there for it to be enabled.
        rail: Short word on the tool rail; empty for what is no tool.
        apart: True when a line stands above it in its menu.
    """

    id: str
    text: str
    menu: Menu
    tip: str
    shortcut: str = ""
    needs: Needs = "nothing"
    rail: str = ""
    apart: bool = False


MENUS: tuple[Menu, ...] = ("Job", "Change", "Draw", "Look", "Steps", "Help")
ACTIONS: tuple[ActionRow, ...] = (
    ActionRow("new", "New job on a blank grid", "Job", "Starts a job with nothing in it.", "Ctrl+N"),
    ActionRow("open", "Open a job…", "Job", "Opens a job file.", "Ctrl+O"),
    ActionRow("sample", "Open the sample job", "Job", "Opens a small farm that shows everything.", ""),
    ActionRow("import", "Bring in files…", "Job",
              "Reads tracks, lines, rings, points or terrain from files into this job.", "Ctrl+I"),
    ActionRow("save", "Save", "Job", "Saves the job into its file.", "Ctrl+S", "job", apart=True),
    ActionRow("save_as", "Save as…", "Job", "Saves the job into another file.", "Ctrl+Shift+S", "job"),
    ActionRow("rename", "Rename the job…", "Job", "Gives the job another name on its sheets.", "", "job"),
    ActionRow("settings", "Settings…", "Job", "Units, colours, size of text, and the settings of this job.", "Ctrl+,",
              apart=True),
    ActionRow("terms", "Terms of the quote…", "Job",
              "Mark-up, labour rates, extras, and what the quote says.", "Ctrl+E", "job", apart=True),
    ActionRow("options", "Options and stages…", "Job",
              "Ways to build the job side by side, and which lines are built when.", "Ctrl+G", "job"),
    ActionRow("before", "Before the first post…", "Job",
              "What has to be settled first, how it stands, and the job issued for build.", "Ctrl+B", "job"),
    ActionRow("records", "Work and upkeep…", "Job",
              "Progress, tracks of what was built, inspections, fences that stand, losses.", "Ctrl+U", "job"),
    ActionRow("close_job", "Close the job", "Job", "Goes back to the first page.", "Ctrl+W", "job", apart=True),
    ActionRow("quit", "Quit", "Job", "Closes the window.", "Ctrl+Q"),
    ActionRow("undo", "Undo", "Change", "Takes the last change back.", "Ctrl+Z", "undo"),
    ActionRow("redo", "Do again", "Change", "Does again what was taken back.", "Ctrl+Shift+Z; Ctrl+Y", "redo"),
    ActionRow("remove_line", "Remove the line in hand", "Change", "Removes the fence line in hand from the job.", "",
              "lines", apart=True),
    ActionRow("tool_draw", "Draw a line", "Draw", "Draws a fence line: click corners, or type bearing and distance.",
              "D", "job", "Draw"),
    ActionRow("tool_corners", "Move, add and delete corners", "Draw", "Drags corners; a click on a straight adds one.",
              "C", "lines", "Corners"),
    ActionRow("tool_gate", "Place a gate", "Draw", "Puts a gate into a line.", "G", "lines", "Gate"),
    ActionRow("tool_crossing", "Place a crossing", "Draw", "Hangs a span of its own across water.", "X", "lines",
              "Crossing"),
    ActionRow("tool_feature", "Mark something on the ground", "Draw",
              "Marks water, trees, rock, services or an old fence.", "F", "job", "Feature"),
    ActionRow("tool_setback", "Set back from water", "Draw", "Finds the cheapest line outside a set-back.", "S", "job",
              "Set back", apart=True),
    ActionRow("tool_divide", "Divide a paddock", "Draw", "Divides a paddock into parts of wanted areas.", "V", "lines",
              "Divide"),
    ActionRow("tool_straighten", "Straighten a line", "Draw", "Fits the fewest straights to a wandering line.", "T",
              "lines", "Straight"),
    ActionRow("tool_traverse", "Type bearings and distances", "Draw", "Makes a line of typed legs, with its misclose.",
              "B", "job", "Bearings"),
    ActionRow("tool_measure", "Measure", "Draw", "Measures length, bearing, area and grade; changes nothing.", "M",
              "job", "Measure"),
    ActionRow("tool_none", "Put the tool down", "Draw", "Gives the mouse back to the map.", "", "job", apart=True),
    ActionRow("look_all", "All of it", "Look", "Shows the whole job.", "Ctrl+0", "job"),
    ActionRow("look_line", "The line in hand", "Look", "Shows the whole of the line in hand.", "Ctrl+L", "lines"),
    ActionRow("zoom_in", "Nearer", "Look", "Enlarges the map.", "Ctrl++; Ctrl+=", "job"),
    ActionRow("zoom_out", "Farther", "Look", "Makes the map smaller.", "Ctrl+-", "job"),
    ActionRow("backdrop", "Terrain shading", "Look", "Shows or hides the shading of the terrain.", "Ctrl+D", "job"),
    ActionRow("backdrop_image", "Lay an image under the map…", "Look",
              "Lays a georeferenced image under the lines for this session; the job file does not hold it.", "",
              "job"),
    ActionRow("backdrop_tiles", "Lay a folder of map tiles under the map…", "Look",
              "Lays map tiles from a folder under the lines for this session; the job file does not hold them.",
              "", "job"),
    ActionRow("backdrop_none", "Take images and tiles away", "Look",
              "Takes away every image and folder of tiles laid under the map; their files stay.", "", "job"),
    ActionRow("theme", "Other colours", "Look", "Goes through light, dark and high contrast.", "Ctrl+T", apart=True),
    ActionRow("text_larger", "Larger text", "Look", "Makes all text larger.", "Ctrl+Shift+."),
    ActionRow("text_smaller", "Smaller text", "Look", "Makes all text smaller.", "Ctrl+Shift+,"),
    ActionRow("next_area", "Next part of the window", "Look",
              "Takes the keyboard to the next of way bar, map, strip, panel and foot line.", "F6", apart=True),
    ActionRow("last_area", "Part of the window before", "Look", "Takes the keyboard back to the part before.",
              "Shift+F6"),
    *(ActionRow(f"step_{step.key}", step.title, "Steps", step.asks, f"Alt+{number}", "job")
      for number, step in enumerate(STEPS, 1)),
    ActionRow("guide", "Guide", "Help", "How a job is planned, step by step.", "F1"),
    ActionRow("shortcuts", "Keys", "Help", "Every key on one sheet.", "Ctrl+/; Ctrl+?"),
    ActionRow("messages", "What was said", "Help", "Every message since the window opened."),
    ActionRow("about", "About Strainwright", "Help", "Version, licences and where its figures come from."),
)


@dataclass(frozen=True, slots=True)
class Condition:
    """What is there now, for enabling actions.

    Attributes:
        job: A job is in hand.
        lines: It has lines.
        plan: A plan of it is there.
        undo: What would be undone; empty for nothing.
        redo: What would be done again; empty for nothing.
    """

    job: bool = False
    lines: bool = False
    plan: bool = False
    undo: str = ""
    redo: str = ""

    def meets(self, needs: Needs) -> bool:
        """Whether what an action needs is there.

        Args:
            needs: What it needs.

        Example:
            >>> Condition(job=True).meets("lines"), Condition(undo="draw Hill").meets("undo")
            (False, True)
        """
        return needs == "nothing" or bool(getattr(self, needs))


def keys_of(row: ActionRow) -> tuple[str, ...]:
    """The keys of an action, each as Qt writes it.

    Args:
        row: The action.
    """
    return tuple(part.strip() for part in row.shortcut.split("; ") if part.strip())


def tools() -> tuple[ActionRow, ...]:
    """The actions that stand on the tool rail, from the top."""
    return tuple(row for row in ACTIONS if row.rail)


class Actions:
    """The table as Qt actions, joined to what they do.

    Args:
        window: Window in which the keys hold.
        does: Action id to what it does; exactly one for each row of the table.
    """

    def __init__(self, window: QWidget, does: Mapping[str, Callable[[], object]]) -> None:
        self._rows = {row.id: row for row in ACTIONS}
        self.by_id: dict[str, QAction] = {}
        for row in ACTIONS:
            action = QAction(row.text, window)
            action.setObjectName(row.id)
            action.setShortcuts([QKeySequence(key) for key in keys_of(row)])
            action.setShortcutContext(Qt.ShortcutContext.WindowShortcut)
            action.setToolTip(tip_of(row))
            action.setStatusTip(row.tip)
            if row.rail:
                action.setCheckable(True)
            action.triggered.connect(lambda _=False, do=does[row.id]: do())
            window.addAction(action)
            self.by_id[row.id] = action

    def __getitem__(self, name: str) -> QAction:
        return self.by_id[name]

    def meet(self, now: Condition) -> None:
        """Enables what can be done now, and names what undo and redo would do."""
        for name, action in self.by_id.items():
            action.setEnabled(now.meets(self._rows[name].needs))
        for name, text in (("undo", now.undo), ("redo", now.redo)):
            row = self._rows[name]
            self.by_id[name].setText(f"{row.text}: {text}" if text else row.text)
            self.by_id[name].setToolTip(f"{row.text}: {text} ({keys_of(row)[0]})" if text else tip_of(row))

    def of_menu(self, menu: Menu) -> Iterable[tuple[ActionRow, QAction]]:
        """The actions of one menu, from the top."""
        return ((row, self.by_id[row.id]) for row in ACTIONS if row.menu == menu)


def tip_of(row: ActionRow) -> str:
    """What a pointer resting on an action is told.

    Args:
        row: The action.
    """
    keys = keys_of(row)
    return f"{row.tip} ({keys[0]})" if keys else row.tip
