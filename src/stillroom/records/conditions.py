"""How a house was when somebody last looked: its warmth, its height, its hours."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Condition:
    """How the house was when somebody last looked."""

    what: str
    value: float
    """In the unit."""
    unit: str
    as_written: str
    at: str
    """ISO time it was noted."""
    entry_no: int

    def age(self, now: datetime) -> str:
        """When it was noted, in words: "noted today 08:10".

        Parameters
        ----------
        now : datetime
            With its offset.
        """
        noted = datetime.fromisoformat(self.at).astimezone(now.tzinfo)
        days = (now.date() - noted.date()).days
        if days <= 0:
            return f"noted today {noted:%H:%M}"
        if days == 1:
            return f"noted yesterday {noted:%H:%M}"
        return f"noted {days} days ago" if days < 60 else f"noted on {noted:%Y-%m-%d}"
