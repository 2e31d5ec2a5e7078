"""Step 1, survey: what was measured. Fixes, boundaries, features, ground levels, datums, tracks."""
