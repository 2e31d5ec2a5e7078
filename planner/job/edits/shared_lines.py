"""An edit that makes single fence lines of the outlines of neighbouring paddocks: a shared edge is built once."""

from __future__ import annotations

from dataclasses import dataclass

from planner.job.job import Job


@dataclass(frozen=True)
class ShareEdges:
    """Puts a network of single lines in the place of some outlines; gates, crossings and levels go along.

    Attributes:
        names: Names of closed lines of one fence type.
    """

    names: tuple[str, ...]

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"share the edges of {len(self.names)} outlines"

    def apply(self, job: Job) -> Job:
        """The job with the network; the very same job when no edge is shared."""
        from planner.job.shared_outlines import with_shared_edges  # the window is painted before shapes are loaded

        return with_shared_edges(job, self.names)
