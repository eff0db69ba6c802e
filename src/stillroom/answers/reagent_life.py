"""Until when a reagent may be used: every rule with its date, and the earliest of them named.

Promises that no rule is left out and none is guessed. A control test on the day beats any calendar.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.substances.reagents import day_of, last_day


@dataclass(frozen=True, slots=True)
class LifeRule:
    """One rule of a reagent's life."""

    says: str
    """Such as "its own life of 180 days"."""
    last_day: str
    """ISO date."""


def life_rules(
    *,
    made_on: str = "",
    own_life_days: int = 0,
    label_says: str | None = None,
    ingredients: Mapping[str, str] | None = None,
    opened_on: str = "",
    opened_life_days: int = 0,
    room_c: float | None = None,
    warm: tuple[float, int] | None = None,
) -> tuple[LifeRule, ...]:
    """Every rule that holds for a bottle, the earliest first.

    Parameters
    ----------
    made_on : str
        Day it was made here; "" for a bought one. [ISO date]
    own_life_days : int
        Life of its recipe; 0 where none is stated. [d]
    label_says : str or None
        Use-by date written when it came or was made. [ISO date]
    ingredients : mapping of str to str
        Lots it was made from, with their use-by dates. [ISO dates]
    opened_on : str
        Day it was opened, "" while closed. [ISO date]
    opened_life_days : int
        Life once opened; 0 where none is stated. [d]
    room_c : float or None
        Room temperature noted last. [°C]
    warm : (float, int) or None
        From which room temperature it keeps shorter [°C], and how long then [d].

    Returns
    -------
    tuple of LifeRule
        Empty where nobody gave it any. [records]

    Raises
    ------
    BadEntry
        A date is not a date.
    """
    found = []
    if label_says and not made_on:
        found.append(LifeRule("the date on its label", day_of(label_says).isoformat()))
    if made_on and own_life_days:
        found.append(LifeRule(f"its own life of {_days(own_life_days)}", last_day(made_on, own_life_days)))
    for lot, date in (ingredients or {}).items():
        found.append(LifeRule(f"made from {lot}, which ends then", day_of(date).isoformat()))
    if opened_on and opened_life_days:
        found.append(
            LifeRule(f"{_days(opened_life_days)} after it was opened", last_day(opened_on, opened_life_days))
        )
    if made_on and warm is not None and room_c is not None and room_c >= warm[0]:
        found.append(LifeRule(f"{_days(warm[1])} in a room of {room_c:g} °C", last_day(made_on, warm[1])))
    return tuple(sorted(found, key=lambda one: one.last_day))


def _days(days: int) -> str:
    return "one day, the day itself" if days == 1 else f"{days} days"
