"""The window: map, strip, way bar, panels and tools over a job; nothing below it knows Qt widgets."""
