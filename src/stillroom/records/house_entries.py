"""Bodies of entries that speak of the house itself: how it is, and what things cost there."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ConditionNoted:
    """How the house is: room or tap temperature, altitude, working hours. The last one noted stands."""

    what: str
    value: float
    unit: str
    as_written: str


@dataclass(frozen=True, slots=True)
class PriceNoted:
    """What one unit of something costs here. The last one noted stands."""

    of: str
    amount: str
    currency: str
    per: str
    as_written: str
