"""After the plan: what was built against it, how far the work is, what inspections found, what a fence is worth."""
