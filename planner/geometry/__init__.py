"""Plane and space: lines, bearings, offsets, chains. No word of the trade stands here."""
