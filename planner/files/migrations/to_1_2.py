"""From job format 1.1 to 1.2."""

from __future__ import annotations

from planner.files.migrations.step import Step

TABLES = ("strainwright_line_facts", "strainwright_option_facts", "strainwright_clearances", "strainwright_progress",
          "strainwright_as_built", "strainwright_inspections", "strainwright_losses", "strainwright_built")
"""Tables that came with format 1.2."""

TO_1_2 = Step("1.1", "1.2", "nothing is written down yet of clearances, progress, inspections and losses, nor on "
              "which side of their lines wires hang",
              lambda content: content.with_tables(TABLES, after="1.2"))
