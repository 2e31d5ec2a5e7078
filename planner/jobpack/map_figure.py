"""A small map of the job with north, scale and scale bar, for sheets that show one among other things."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import shapely

from planner.jobpack.basis import Basis
from planner.jobpack.map_drawing import draw_map
from planner.jobpack.map_view import MapView, map_frame, north_arrow, scale_bar, scale_to_fit
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.measures import scale_text
from planner.jobpack.page.records import Mark, Text, Window, box
from planner.survey.features import Feature
from planner.units import Metre

_TALL_MM = 60.0
"""Height of a map that leaves more room for names above and below what it shows. [mm]"""
Extent = tuple[Metre, Metre, Metre, Metre]


def map_figure(basis: Basis, flow: Flow, extent: Extent, *, height: float,
               names: Collection[str] | None = None, besides: Sequence[Feature] = ()) -> None:
    """Puts a map over the whole width.

    Args:
        basis: Basis of the sheets.
        flow: Where to put it.
        extent: West, south, east and north of what it must show. [m]
        height: Height of it. [mm]
        names: Meanings of the features that are called by name; all when None.
        besides: What the sheet marks on its map and the job does not hold.
    """
    west, south, east, north = extent
    flow.need(height)
    form = flow.form
    scale = scale_to_fit(extent, width=form.inner_width - 26.0, height=height - (18.0 if height >= _TALL_MM else 10.0))
    view = MapView(form.left, flow.y + 3.2, form.inner_width, height - 4.0, (west + east) / 2, (south + north) / 2,
                   scale)
    x, y = view.x, view.y
    drawn = draw_map(basis, view, detailed=False, lengths=False, names=names, besides=besides,
                     taken=[shapely.box(x, y, x + 32.0, y + 24.5)])
    corner: list[Mark] = [box(x + 1.5, y + 1.5, 30.0, 22.5, fill="#ffffff", edge=""),
                          *north_arrow(x + 6.5, y + 2.5, size=10.0),
                          Text(x + 12.0, y + 7.3, scale_text(scale), 8.0, "semibold"),
                          *scale_bar(view, basis.measures, x=x + 3.0, y=y + 17.8, most=26.0)]
    flow.put([Window(view.x, view.y, view.width, view.height, (*drawn.marks, *corner)), map_frame(view),
              *drawn.numbers], height + 1.5)
