"""Step 5, set-out: pegs with short names, and the extra pegs that let one be seen from the last."""
