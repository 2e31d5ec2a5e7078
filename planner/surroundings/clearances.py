"""What only people can settle before the first post: enquiries, agreements, permits, surveys. Dated, some run out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

KINDS: dict[str, str] = {
    "services": "Underground services asked for and marked",
    "overhead": "Overhead lines: approach distance agreed with their owner",
    "neighbour": "Neighbour agrees in writing to line, type and cost",
    "boundary": "Boundary marked by a licensed surveyor, or both owners agree to the line",
    "waterway": "Leave to work on a waterway",
    "clearing": "Leave to clear along the line",
    "road": "Road's owner agrees to work in its reserve",
    "protected": "Leave to work in or beside a protected area",
    "funding": "Funder has approved before work starts",
}
"""Kind to what has to be true, in the order in which a careful contractor settles them."""


@dataclass(frozen=True, slots=True)
class Clearance:
    """One of them, as far as it is settled.

    Attributes:
        kind: Key of ``KINDS``, or a word of one's own.
        about: What it is about, such as a neighbour or a line; empty for the whole job.
        settled: Day on which it was settled; None while it is open.
        reference: Number of the enquiry, the permit, the agreement.
        expires: Last day on which it holds; None where it does not run out.
        not_needed: Why it is not needed; empty where it is.
        note: What else was said.
    """

    kind: str
    about: str = ""
    settled: date | None = None
    reference: str = ""
    expires: date | None = None
    not_needed: str = ""
    note: str = ""

    def holds_on(self, day: date) -> bool:
        """Whether it is settled and has not run out.

        Args:
            day: The day.
        """
        if self.not_needed:
            return True
        return self.settled is not None and self.settled <= day and (self.expires is None or day <= self.expires)
