"""Edits of features: water, trees, rock, services, existing fences, boundaries."""

from __future__ import annotations

from dataclasses import dataclass, replace

from planner.errors import JobTrouble
from planner.job.job import Feature, Job


@dataclass(frozen=True)
class AddFeature:
    """Marks something on the ground."""

    feature: Feature

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"mark {self.feature.meaning} {self.feature.name}".rstrip()

    def apply(self, job: Job) -> Job:
        """The job with the feature."""
        return replace(job, features=(*job.features, self.feature))


@dataclass(frozen=True)
class RemoveFeature:
    """Takes a mark away."""

    feature: Feature

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"unmark {self.feature.meaning} {self.feature.name}".rstrip()

    def apply(self, job: Job) -> Job:
        """The job without the feature."""
        if self.feature not in job.features:
            raise JobTrouble(f"'{self.feature.name}' is not marked", remedy="choose one that is")
        at = job.features.index(self.feature)
        return replace(job, features=(*job.features[:at], *job.features[at + 1:]))
