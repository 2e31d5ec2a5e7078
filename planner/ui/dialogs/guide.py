"""The guide: how a job is planned, step by step; its steps and keys come from the window's own tables."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from PySide6.QtWidgets import QTextBrowser

from planner.ui.actions import keys_of, tools
from planner.ui.dialogs.sheet import Sheet
from planner.ui.theme import Theme
from planner.ui.way_state import STATE_WORDS, STEPS, StepKey

HOW: Mapping[StepKey, str] = {
    "survey": "Bring in a boundary, a walked track, survey points or terrain, or drop the files on the window. Look at "
              "the grid they stand in and how well their corners are known: every length carries that with it.",
    "line": "Draw the fence or take it from the survey. Move corners on the map or type them in the table; place gates "
            "and crossings where they belong. Small turns become deviation posts, larger ones end a strain.",
    "profile": "See how the ground rises and dips under the line. Without terrain or levels the line is planned flat, "
               "and says so.",
    "sections": "Each strain from strainer to strainer, why it ends where it does, and where it is joined in the "
                "middle so that the pull still reaches the far end.",
    "setout": "The pegs to drive before the first post: ends, bends, rises, dips and joins, each seen from the last.",
    "loads": "What the wires do to ends, bends and dips, and what holds them. Advisory: think about each of them on "
             "the spot.",
    "materials": "What to buy, how rolls and coils are cut, what each costs, how it is carted. Load a price list, or "
                 "type prices in.",
    "jobpack": "Choose what is written: sheets to print, tables for the store, pegs for the handheld, files for other "
               "programs.",
}


class Guide(Sheet):
    """The guide."""

    title = "Guide"
    wide, high = 720, 660

    def fill(self) -> None:
        """Puts the guide in."""
        self.page = QTextBrowser(self)
        self.page.setAccessibleName("Guide")
        self.page.setHtml(guide_page(self.window_of_work.look))
        self.column.addWidget(self.page, 1)


def guide_page(look: Theme) -> str:
    """The guide as a page.

    Args:
        look: The theme.
    """
    head = f'style="color:{look.accent}"'
    steps = "".join(f"<h3 {head}>{number} {escape(step.title)}</h3><p><b>{escape(step.asks)}</b> "
                    f"{escape(HOW[step.key])} <i>Alt+{number}</i></p>" for number, step in enumerate(STEPS, 1))
    words = "; ".join(f"{meaning}: {sign}" for (_, meaning), sign in zip(
        STATE_WORDS.items(), ("a hollow post", "a plain post", "a post with a cap", "a leaning post"), strict=True))
    tool_rows = "".join(f"<tr><td><b>{escape(row.rail)}</b></td><td><i>{escape(keys_of(row)[0])}</i></td>"
                        f"<td>{escape(row.tip)}</td></tr>" for row in tools())
    return ("<h2>How a job is planned</h2><p>The posts along the top are the eight steps of the work, in order. Each "
            f"stands as its step stands ({escape(words)}) and shows its figure. Choose one: its page comes up at the "
            "right and what it is about lights up on the map and the strip.</p>"
            f"{steps}<h2>Tools</h2><table cellpadding='4'>{tool_rows}</table>"
            "<h2>What the program does by itself</h2><p>It plans again after every change, in the background. Every "
            "change can be taken back. A copy of an unsaved job is kept while you work, and offered at the next start "
            "should the machine stop. Nothing is fetched from anywhere.</p>"
            "<h2>Caution</h2><p>Loads and holding figures are advisory. Local codes, licensed surveyors and engineers "
            "go before them. Ask where cables and pipes lie before you drive a post. A wire under strain can kill: "
            "stand clear of its line, and wear eye protection.</p>")
