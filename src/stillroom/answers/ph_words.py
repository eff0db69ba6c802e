"""A pH as a person writes it, how far it may be off, its band, what it was read with; and what a mixture holds."""

import re

from stillroom.answers import ph_of_mixture
from stillroom.answers.buffer_weighed import ReadBy
from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.quantities.entry import entry, without_sign
from stillroom.quantities.numbers import number_in
from stillroom.substances.acids import protolytes
from stillroom.texts.catalogue import later

PH_CAN_BE = (0.0, 14.0)
READ_BY: dict[str, str] = {"strip": later("a strip"), "meter": later("a meter")}
_BAND = re.compile(r"\s*(?P<low>[\d.,]+)\s*(?:to|-|–)\s*(?P<high>[\d.,]+)\s*")
_PART = re.compile(r"\s*(?P<name>.+?)\s+(?P<amount>[\d.,]+\s*\S.*)")


def ph_shown(text: str, where: str) -> float:
    """What was written as a pH, whether there is such a one or not.

    Raises
    ------
    BadEntry
        It is no number.
    """
    if not text:
        raise BadEntry("A pH is needed", "nothing", 'Write "7.0"', where=where)
    return number_in(re.sub(r"^\s*pH\s*", "", text, flags=re.IGNORECASE), can_be=PH_CAN_BE, where=where).value


def ph_in(text: str, where: str) -> float:
    """A pH as a person writes it.

    Raises
    ------
    BadEntry
        It is none.
    """
    value = ph_shown(text, where)
    if not is_ph(value):
        raise BadEntry("A pH lies between 0 and 14", repr(text[:30]), "Look at the point", where=where)
    return value


def is_ph(value: float) -> bool:
    """Whether a number can be a pH.

    Parameters
    ----------
    value : float
        As it was written. [1]
    """
    return PH_CAN_BE[0] <= value <= PH_CAN_BE[1]


def ph_apart(text: str, where: str) -> float:
    """How far a reading of pH may be off, in steps of pH: "0.2", "± 0,2".

    Raises
    ------
    BadEntry
        It is none, or more than anybody reads wrong.
    """
    value = number_in(
        re.sub(r"\s*pH$", "", without_sign(text), flags=re.IGNORECASE), can_be=(0.0, 2.0), where=where
    ).value
    if not 0.0 < value <= 2.0:
        raise BadEntry(
            "The doubt of a reading lies above 0 and up to 2",
            repr(text[:30]),
            "Look at the point",
            where=where,
        )
    return value


def band_in(text: str) -> tuple[float, float] | None:
    """A band of pH, "4.5 to 5.5"; None where there is none."""
    if not text.strip():
        return None
    hit = _BAND.fullmatch(text)
    if hit is None:
        raise BadEntry("A band of pH has two ends", repr(text[:30]), 'Write "4.5 to 5.5"', where="band")
    low, high = (ph_in(hit[end], "band") for end in ("low", "high"))
    if low >= high:
        raise BadEntry(
            "A band of pH goes from the lower to the higher",
            repr(text[:30]),
            "Change them round",
            where="band",
        )
    return low, high


def buffers_in(text: str, where: str) -> tuple[float, ...]:
    """Buffers of a calibration: "4.01, 6.86".

    Raises
    ------
    BadEntry
        One of them is no figure.
    """
    parts = (one.strip(" ,;") for one in re.split(r"[;,]?\s+(?:(?:and|&)\s+)?|;", text + " "))
    return tuple(number_in(one, can_be=(0.0, 14.0), where=where).value for one in parts if one)


def read_with(kind: str, meter_buffers: tuple[float, ...], ph: float) -> tuple[ReadBy, str]:
    """What a pH is read with, and how its meter was calibrated, in words.

    Parameters
    ----------
    kind : str
        "strip" or "meter". [text]
    meter_buffers : tuple of float
        Buffers of the calibration. [1]
    ph : float
        Around which the calibration must reach. [1]

    Raises
    ------
    BadEntry
        It is neither.
    """
    kind = kind.strip().casefold()
    if kind not in READ_BY:
        raise BadEntry("A pH is read by strip or meter", repr(kind[:20]), "Choose one", where="read-by")
    if kind == "strip":
        return "strip", ""
    if not meter_buffers:
        return "meter, not calibrated here", "not calibrated, as far as was said"
    told = " and ".join(f"{one:g}" for one in sorted(meter_buffers))
    if len(meter_buffers) >= 2 and min(meter_buffers) - 0.3 <= ph <= max(meter_buffers) + 0.3:
        return "meter", f"calibrated with {told}"
    return "meter, not calibrated here", f"calibrated with {told}, which does not reach around {ph:g}"


def mixture_in(text: str, where: str) -> dict[str, Answer]:
    """Acids, bases and strong ions of a mixture, each with its strength [mol/L], by the name the chemistry has for it.

    Parameters
    ----------
    text : str
        Between semicolons: "citric acid 10 mmol/L; sodium 12 mmol/L".

    Raises
    ------
    BadEntry, UnknownName
        A part is not known, or has no strength.
    """
    names = {
        **{one: one for one in protolytes()},
        **dict.fromkeys(ph_of_mixture.CATION_NAMES, ph_of_mixture.CATIONS),
        **dict.fromkeys(ph_of_mixture.ANION_NAMES, ph_of_mixture.ANIONS),
    }
    found: dict[str, Answer] = {}
    for part in (one for one in text.split(";") if one.strip()):
        hit = _PART.fullmatch(part)
        name = " ".join(hit["name"].casefold().split()) if hit else part.strip().casefold()
        if name not in names:
            raise UnknownName.among(name, "a weak acid, a base or a strong ion", names).at(where)
        if hit is None:
            raise BadEntry(
                "Each part has its strength",
                part.strip(),
                worded('Write "{called} 10 mmol/L"', called=name),
                where=where,
            )
        key = names[name]
        more = entry(hit["amount"], want="concentration", zero_allowed=True, where=where).in_unit("mol/L")
        before = found[key].value if key in found else 0.0
        found[key] = reading(name, before + more, "mol/L", "as asked")
    return found
