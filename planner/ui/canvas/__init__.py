"""The map: backdrops and many lines drawn fast, the fence drawn over them, snapping, and the furniture of a map."""
