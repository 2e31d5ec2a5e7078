"""Strainwright: before a post goes in, know where every strain starts and ends.

The work in its eight steps, each a room of this package:

1. ``survey``     what was measured: fixes, boundaries, features, ground, datum
2. ``alignment``  the line: corners, gates, crossings
3. ``profile``    the ground under it: levels, grade breaks, rises and dips
4. ``sections``   strainer to strainer: strains, posts, mid-run joins
5. ``setout``     pegs that can be found and seen
6. ``loads``      tension, take-up, turns, uplift, ends (advisory)
7. ``materials``  what to buy, cut, cart and pay
8. ``jobpack``    one file for each person who needs one

``spec`` holds what is built, ``job`` what was decided, ``files`` reads and writes.
"""

import os

__version__ = "0.1.0"

# Other programs leave these pointing at their own, older databases; the libraries here bring their own.
for _name in ("PROJ_LIB", "PROJ_DATA", "GDAL_DATA", "GDAL_DRIVER_PATH"):
    os.environ.pop(_name, None)
os.environ["PROJ_NETWORK"] = "OFF"
