"""Edits: one small frozen record for each thing a person decides. Each gives a new job; none changes an old one."""

from planner.job.edits.choices import (
    ChangeQuoteTerms,
    ChooseOption,
    DropOption,
    DropStage,
    KeepOption,
    KeepStage,
    RenameOption,
    RenameStage,
)
from planner.job.edits.edit import Edit
from planner.job.edits.features import AddFeature, ChangeFeature, RemoveFeature
from planner.job.edits.job_wide import (
    ChangePrices,
    ChangeSettings,
    KeepOwnFence,
    RenameJob,
    TakeBackWaiver,
    TakeIn,
    Waive,
)
from planner.job.edits.lines import (
    AddLine,
    ChangeLine,
    DeleteCorner,
    InsertCorner,
    MoveCorner,
    MoveStretch,
    RemoveLine,
)
from planner.job.edits.openings import (
    AddCrossing,
    AddGate,
    ChangeCrossing,
    ChangeGate,
    RemoveCrossing,
    RemoveGate,
)
from planner.job.edits.records import ChangeRecords, DropClearance, KeepClearance
from planner.job.edits.shared_lines import ShareEdges

__all__ = [
    "AddCrossing", "AddFeature", "AddGate", "AddLine", "ChangeCrossing", "ChangeFeature", "ChangeGate", "ChangeLine",
    "ChangePrices", "ChangeQuoteTerms", "ChangeRecords", "ChangeSettings", "ChooseOption", "DeleteCorner",
    "DropClearance", "DropOption", "DropStage", "Edit", "InsertCorner", "KeepClearance", "KeepOption", "KeepOwnFence",
    "KeepStage", "MoveCorner", "MoveStretch", "RemoveCrossing", "RemoveFeature", "RemoveGate", "RemoveLine",
    "RenameJob", "RenameOption", "RenameStage", "ShareEdges", "TakeBackWaiver", "TakeIn", "Waive",
]
