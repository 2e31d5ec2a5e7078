"""The job: what was measured and decided, its edits and history, and everything derived from it."""
