"""The set-ups of cooling, read as a person writes them: the liquid, how strong, what drips back or its heater.

Promises the heat of each. What drips back is measured by volume, cold unless somebody says otherwise; spirit gives more
heat the weaker it is, so its strength counts.
"""

import re
from dataclasses import dataclass

from stillroom.answers.cooled import SetUp, load_by_heater
from stillroom.answers.cooled_load import load_by_boil_up, load_by_cold_boil_up, load_by_spirit_boil_up
from stillroom.answers.spirit_strength import BASIS
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.quantities.entry import entry
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.strength_words import read_strength
from stillroom.substances.condensed import Condensed, condensed
from stillroom.substances.spirit_strengths import volume_percent_20c_of

ASKED = "as asked"
CAUGHT, CAUGHT_C = "temperature of what is caught", 20.0
TAKEN_PERCENT = 74.0
"""What spirit that nobody measured is taken to drip back with: the vapour over some 20 % v/v. [% v/v]."""
MOST_SET_UPS = 12
HOT = ("boiling", "hot")
SPIRITS = ("spirit", "alcohol")
_SET_UP = re.compile(
    r"\s*(?:(?P<many>\d+)\s*[×x*]\s*)?(?P<name>[A-Za-z][A-Za-z -]*?)"
    r"(?:\s+(?:of\s+)?(?P<strength>[\d.,]+\s*%\s*(?:[vw]/[vw])?),?)?\s+(?P<load>[\d.,]+\s*[^\s%\d].*)"
)


@dataclass(frozen=True, slots=True)
class SetUpSaid:
    """A set-up as somebody wrote it."""

    name: str
    """Such as "ethanol set-up 2"."""
    liquid: Condensed
    percent: Answer | None
    """Strength of spirit that drips back; None of another liquid. [% v/v]"""
    load: Quantity
    """What drips back, or its heater."""


def set_ups_in(text: str, where: str) -> tuple[SetUpSaid, ...]:
    """Every set-up that was said, in the order of the water.

    Parameters
    ----------
    text : str
        Between semicolons or on lines: "2 × ethanol 12 mL/min; acetone 300 W". [text]
    where : str
        The field. [text]

    Raises
    ------
    StillroomError
        There is none, or one cannot be read.
    """
    parts = [one for one in re.split(r"[;\n]|,\s", text) if one.strip()]
    if not parts:
        raise BadEntry(
            "At least one set-up is needed",
            "none",
            'Write "ethanol 12 mL/min" or "acetone 300 W"',
            where=where,
        )
    made: list[SetUpSaid] = []
    for part in parts:
        hit = _SET_UP.fullmatch(part)
        if hit is None:
            raise BadEntry(
                "A set-up is a liquid with its boil-up or its heater", part.strip()[:60],
                'Write "ethanol 12 mL/min", "spirit 86 % v/v 12 mL/min", "acetone 300 W" or "4 × ethanol 12 mL/min"',
                where=where,
            )  # fmt: skip
        try:
            liquid = condensed(hit["name"])
            percent = _strength(hit["strength"], hit["name"], liquid)
        except StillroomError as error:
            raise error.at(where) from error
        load = entry(hit["load"], want=("flow", "power"), where=where)
        for _ in range(int(hit["many"] or 1)):
            if len(made) >= MOST_SET_UPS:
                raise BadEntry(
                    worded("At most {most_set_ups} set-ups are taken", most_set_ups=MOST_SET_UPS),
                    part.strip(),
                    where=where,
                )
            number = 1 + sum(one.liquid.name == liquid.name for one in made)
            made.append(SetUpSaid(f"{liquid.name} set-up {number}", liquid, percent, load))
    return tuple(made)


def caught_in(text: str, where: str) -> Answer | None:
    """How warm what drips back is when its volume is taken; None where it is boiling [°C]."""
    if text.casefold().strip() in HOT:
        return None
    value = entry(text, "°C", where=where).in_unit("°C")
    if not 0.0 <= value <= 40.0:
        raise BadEntry(
            "What drips back is caught between 0 and 40 °C, or boiling", text, 'Write "20 °C" or "boiling"',
            where=where,
        )  # fmt: skip
    return reading(CAUGHT, value, "°C", ASKED)


def set_up(said: SetUpSaid, share: Answer, caught: Answer | None) -> SetUp:
    """A set-up with the heat its condenser takes.

    Parameters
    ----------
    share : Answer
        Of a heater that boils the liquid. [1]
    caught : Answer or None
        How warm what drips back is when its volume is taken; None where it is boiling. [°C]

    Raises
    ------
    BadEntry
        It is spirit that is caught boiling, whose density is not known.
    """
    name, liquid = said.name, said.liquid
    if said.load.dimension == "power":
        power = reading(f"heater of {name}", said.load.in_unit("W"), "W", ASKED)
        return SetUp(name, liquid, load_by_heater(name, power, share))
    drips = reading(f"boil-up of {name}", said.load.in_unit("mL/min"), "mL/min", ASKED)
    return SetUp(name, liquid, _heat(name, liquid, drips, said.percent, caught))


def _heat(
    name: str, liquid: Condensed, drips: Answer, percent: Answer | None, caught: Answer | None
) -> Answer:
    if caught is None:
        if percent is not None and percent.value < 100.0:
            raise BadEntry(
                "The density of boiling spirit is not known",
                worded("{percent:.4g} % v/v, caught boiling", percent=percent.value),
                "Catch it in a cooled cylinder, and say how warm it is there",
                where="caught-at",
            )
        return load_by_boil_up(name, liquid, drips)
    if percent is not None:
        return load_by_spirit_boil_up(name, liquid, drips, percent, caught)
    return load_by_cold_boil_up(name, liquid, drips, caught)


def _strength(text: str | None, name: str, liquid: Condensed) -> Answer | None:
    """Of spirit, by volume; None of another liquid."""
    if liquid.name != "ethanol":
        if text:
            raise BadEntry("Only spirit has a strength here", text, "Leave it out")
        return None
    what = "strength of what drips back"
    if not text:
        if name.casefold().strip() in SPIRITS:
            return assumed(
                what, TAKEN_PERCENT, "%", "the vapour over some 20 % v/v: the careful side", basis=BASIS
            )
        return reading(what, 100.0, "%", ASKED, basis=BASIS)
    return reading(what, volume_percent_20c_of(read_strength(text, where="set-ups")), "%", ASKED, basis=BASIS)
