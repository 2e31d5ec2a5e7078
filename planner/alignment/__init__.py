"""Step 2, line: where the fence runs. Corners, gates, crossings."""
