"""From job format 1.2 to 1.3."""

from __future__ import annotations

from planner.files.migrations.step import Step

TABLES = ("strainwright_noticed",)
"""Tables that came with format 1.3."""

TO_1_3 = Step("1.2", "1.3", "what was noticed in files that were read stands in the notes alone",
              lambda content: content.with_tables(TABLES, after="1.3"))
