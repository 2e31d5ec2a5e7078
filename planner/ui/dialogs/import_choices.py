"""What a person chose in the import: grid, roles of lines and points, columns of facts. No widgets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from planner.survey.fixes import Accuracy, MeasuredLine, MeasuredPoint, Reading
from planner.ui.dialogs.import_roles import Role, usual_point_role, usual_role


@dataclass(frozen=True)
class Choices:
    """What a person chose.

    Attributes:
        fence: Fence type key of new lines.
        stated: Coordinate system of files that state none.
        accuracy: Accuracy class; None to take the reader's.
        as_walked: True to keep every fix of a walk.
        roles: File and line name to what it is taken as.
        point_roles: File, row and name of a point to what it is taken as.
        columns: File and meaning to the column that says each fact.
        share_edges: True when an edge that two outlines share becomes one line.
        close_m: Width of gaps between outlines to close as well; None to tell of them only. [m]
    """

    fence: str
    stated: str = ""
    accuracy: Accuracy | None = None
    as_walked: bool = False
    roles: Mapping[tuple[str, str], Role] = field(default_factory=dict)
    point_roles: Mapping[tuple[str, int, str], Role] = field(default_factory=dict)
    columns: Mapping[tuple[str, str], Mapping[str, str]] = field(default_factory=dict)
    share_edges: bool = False
    close_m: float | None = None

    def role_of(self, line: MeasuredLine) -> Role:
        """What a line is taken as."""
        return self.roles.get((line.file, line.name)) or usual_role(line)

    def point_role_of(self, point: MeasuredPoint) -> Role:
        """What a point is taken as."""
        return self.point_roles.get((point.file, point.row, point.name)) or usual_point_role(point)

    def columns_of(self, file: str, meaning: str) -> Mapping[str, str]:
        """Columns that were chosen for the facts of a meaning in a file."""
        return self.columns.get((file, meaning), {})

    def meanings_in(self, reading: Reading) -> list[Role]:
        """Meanings that something in a reading is taken as, in its order."""
        roles = [*map(self.role_of, reading.lines), *map(self.point_role_of, reading.points)]
        return [role for role in dict.fromkeys(roles) if role not in ("fence", "survey", "none")]

    def part_of(self, reading: Reading, role: Role) -> Reading:
        """What of a reading is taken as something."""
        return replace(reading, lines=tuple(line for line in reading.lines if self.role_of(line) == role),
                       points=tuple(point for point in reading.points if self.point_role_of(point) == role))

    def fences_of(self, reading: Reading) -> Reading:
        """Lines of a reading to be fenced, and the points along them: what stands there has a level as well."""
        return replace(reading, lines=self.part_of(reading, "fence").lines,
                       points=tuple(point for point in reading.points
                                    if self.point_role_of(point) not in ("none", "gate")))
