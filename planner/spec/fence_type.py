"""A fence type: one kind of fence, with every default that belongs to it."""

from __future__ import annotations

from dataclasses import dataclass

from planner.spec.end_assemblies import EndRules
from planner.spec.meshes import Mesh, Netting
from planner.spec.posts import PostRules
from planner.spec.wires import Strand
from planner.units import Metre, Newton


@dataclass(frozen=True, slots=True)
class LabourRates:
    """Person-hours by component on flat, prepared ground with materials on site.

    Attributes:
        set_out_per_m: Set-out and guide wire. [h/m]
        end: One end assembly, first direction of pull. [h]
        end_further: Each further direction of pull. [h]
        steel_post: One steel line post. [h]
        timber_post: One timber line post. [h]
        strand_per_m: Running out and straining one wire. [h/m]
        mesh_per_m: Running out and straining mesh. [h/m]
        netting_per_m: Hanging and clipping netting or apron. [h/m]
        fixing_per_post: Tying off one post, all wires. [h]
        mid_run_join: One mid-run strain and join. [h]
        roll_join: One roll join of mesh. [h]
        tie_off: One tie-off of all wires at an end of a section. [h]
        gate: Hanging one gate. [h]
        crossing: One floodgate or drop section. [h]
        hold_down: Footing or anchoring one rise or dip post. [h]
    """

    set_out_per_m: float
    end: float
    end_further: float
    steel_post: float
    timber_post: float
    strand_per_m: float
    mesh_per_m: float
    netting_per_m: float
    fixing_per_post: float
    mid_run_join: float
    roll_join: float
    tie_off: float
    gate: float
    crossing: float
    hold_down: float


@dataclass(frozen=True, slots=True)
class FenceType:
    """One kind of fence.

    Attributes:
        key: Short readable key, such as ``general-mesh``.
        name: What to call it on a sheet.
        use: Which stock and place it suits, one sentence.
        version: Version of this description, ``major.minor``.
        strands: Wires strained by themselves, bottom to top.
        mesh: Prefabricated mesh; None when there is none.
        nettings: Netting and aprons that hang on the wires.
        posts: Posts between strainers.
        ends: End assemblies.
        max_strain_flat_m: Longest run on even ground. [m]
        max_strain_undulating_m: Longest run on undulating ground. [m]
        labour: Person-hours by component.
        cautions: What the crew must know about this type, a sentence each.
        sources: Where its figures come from, a line each.
    """

    key: str
    name: str
    use: str
    version: str
    strands: tuple[Strand, ...]
    mesh: Mesh | None
    nettings: tuple[Netting, ...]
    posts: PostRules
    ends: EndRules
    max_strain_flat_m: Metre
    max_strain_undulating_m: Metre
    labour: LabourRates
    cautions: tuple[str, ...]
    sources: tuple[str, ...]

    @property
    def height_m(self) -> Metre:
        """Height of the top wire. [m]"""
        heights = [s.height_m for s in self.strands]
        if self.mesh is not None:
            heights.append(self.mesh.gap_below_m + self.mesh.height_m)
        return max(heights)

    @property
    def pull_n(self) -> Newton:
        """Pull of one section on its end: the sum of the strain of every line wire. [N]"""
        return sum(s.strain_n for s in self.strands) + (self.mesh.pull_n if self.mesh else 0.0)

    @property
    def pull_height_m(self) -> Metre:
        """Strain-weighted mean height at which that pull acts. [m]"""
        moment = sum(s.strain_n * s.height_m for s in self.strands)
        if self.mesh is not None:
            moment += self.mesh.pull_n * self.mesh.pull_height_m
        return moment / self.pull_n if self.pull_n > 0 else 0.0
