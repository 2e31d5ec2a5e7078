"""The panels at the right of the window: one a step of the work."""
