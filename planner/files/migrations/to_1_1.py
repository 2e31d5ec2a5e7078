"""From job format 1.0 to 1.1."""

from __future__ import annotations

from planner.files.migrations.step import Step

TABLES = ("strainwright_corners", "strainwright_quote_terms", "strainwright_options", "strainwright_option_lines",
          "strainwright_option_fences", "strainwright_stages", "strainwright_stage_lines")
"""Tables that came with format 1.1."""

TO_1_1 = Step("1.0", "1.1", "quote terms are the usual ones, there are no options and stages yet, and how well the "
              "corners of fitted lines are known follows from their accuracy class",
              lambda content: content.with_tables(TABLES, after="1.1"))
