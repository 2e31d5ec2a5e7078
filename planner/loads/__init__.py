"""Step 6, loads: tension, take-up, turns and uplift, end assemblies, footings. Advisory, never a design."""
