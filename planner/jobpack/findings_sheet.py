"""The findings sheet: what is worth a look before the first post, worst first."""

from __future__ import annotations

from collections import Counter

from planner.findings import Finding
from planner.job.noticed import other_notes
from planner.jobpack.basis import Basis, without_folders
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.records import Page
from planner.jobpack.page.table import TICK, Column, Row, Table

_WORDS = {"error": "ERROR", "warning": "Warning", "note": "note"}


def findings_pages(basis: Basis) -> tuple[Page, ...]:
    """Every finding with its place, its remedy and its source; those waived last, with the reason.

    Args:
        basis: Basis of the sheets.
    """
    flow = Flow(Form("A4", landscape=True), "To look at")
    open_ones = [f for f in basis.plan.findings if not f.waived]
    waived = [f for f in basis.plan.findings if f.waived]
    count = Counter(f.severity for f in open_ones)
    flow.text(f"{count['error']} errors, {count['warning']} warnings, {count['note']} notes. An error stops a good "
              "job, a "
              "warning costs money, a note is for information.", size_pt=9.0, weight="semibold")
    if open_ones:
        flow.table(Table((
            Column("How bad", weight="bold", grow=0), Column("Where", grow=0.6, least=24.0),
            Column("What was found", grow=3), Column("What to do", grow=2.2), Column("Limit from", grow=1),
            Column("Rule", grow=0), Column("Done", "middle", grow=0)),
            tuple(_row(basis, f) for f in open_ones), size_pt=7.4))
    if waived:
        flow.heading("Set aside")
        flow.table(Table((
            Column("How bad", grow=0), Column("Where", grow=0.6, least=24.0), Column("What was found", grow=3),
            Column("Set aside because", weight="semibold", grow=2.2), Column("Rule", grow=0)),
            tuple(Row((f.severity, where_text(basis, f), basis.said(f.message), f.waived, f.rule))
                  for f in waived), size_pt=7.4))
    notes = other_notes(basis.plan.job)
    if notes:
        flow.heading("What the import said")
        for note in notes:
            flow.text(without_folders(note), size_pt=7.6, bullet="–")
    return flow.pages()


def where_text(basis: Basis, finding: Finding) -> str:
    """Where a finding stands, in a few words.

    Args:
        basis: Basis of the sheets.
        finding: The finding.
    """
    place = finding.place
    parts = [place.line, place.section,
             basis.measures.length(place.chainage_m, 0) if place.chainage_m is not None else
             f"{place.x:.0f} E {place.y:.0f} N" if place.x is not None and place.y is not None else "",
             without_folders(f"{place.file} row {place.row}" if place.file and place.row else place.file)]
    return ", ".join(part for part in parts if part) or "whole job"


def _row(basis: Basis, finding: Finding) -> Row:
    return Row((_WORDS[finding.severity], where_text(basis, finding), basis.said(finding.message),
                basis.said(finding.remedy), str(finding.source), finding.rule, TICK),
               "strong" if finding.severity == "error" else "plain")
