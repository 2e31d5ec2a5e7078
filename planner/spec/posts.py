"""Line posts: spacing, pattern and length."""

from __future__ import annotations

from dataclasses import dataclass

from planner.units import Metre


@dataclass(frozen=True, slots=True)
class PostRules:
    """Posts between strainers.

    Attributes:
        spacing_m: Greatest panel on even ground. [m] Slope distance.
        spacing_uneven_m: Greatest panel on undulating ground and on curves. [m]
        pattern: Post families in turn along a panel run, such as four steel and one timber.
        rise_family: Family of a rise post.
        dip_family: Family of a dip post.
        deviation_family: Family of a deviation post.
        embedment_m: Depth of a line post in the ground. [m]
        deep_extra_m: Extra length of rise, dip and deviation posts. [m]
        head_m: How far a post stands above the top wire. [m]
        droppers_per_panel: Droppers hung on the wires in each panel.
        dropper_item: Item key of the dropper; empty when none.
        side_light_n: Side force up to which a deviation post needs no help. [N]
        side_heavy_n: Side force above which it must be a stayed post. [N]
        dropper_clip_item: Item key of what fixes one wire to one dropper; empty when none.
    """

    spacing_m: Metre
    spacing_uneven_m: Metre
    pattern: tuple[str, ...]
    rise_family: str
    dip_family: str
    deviation_family: str
    embedment_m: Metre
    deep_extra_m: Metre
    head_m: Metre
    droppers_per_panel: int
    dropper_item: str
    side_light_n: float
    side_heavy_n: float
    dropper_clip_item: str = ""
