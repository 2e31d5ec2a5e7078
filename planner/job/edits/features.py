"""Edits of features: water, trees, rock, services, existing fences, boundaries."""

from __future__ import annotations

from dataclasses import dataclass, replace

from planner.errors import JobTrouble
from planner.job.job import Job
from planner.survey.features import Feature


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


@dataclass(frozen=True)
class ChangeFeature:
    """Puts a feature in the place of another: its name, meaning, facts or shape were changed."""

    feature: Feature
    instead: Feature

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"change {self.feature.meaning} {self.feature.name}".rstrip()

    def apply(self, job: Job) -> Job:
        """The job with the feature changed."""
        if self.feature not in job.features:
            raise JobTrouble(f"'{self.feature.name}' is not marked", remedy="choose one that is")
        if self.feature == self.instead:
            return job
        at = job.features.index(self.feature)
        return replace(job, features=(*job.features[:at], self.instead, *job.features[at + 1:]))
