"""A marker, plant or ingredient of one's own from a file, a form or a command: the same checks for all three.

The first key says what it is: "marker: scopoletin". Only its name must be known (of an ingredient also its name on the
label); whatever else is left out is simply not known.
"""

import re
from collections.abc import Callable, Mapping
from typing import Literal, TypeAlias, TypeVar

from stillroom.errors import BadEntry, StillroomError, UnknownName, worded
from stillroom.quantities.numbers import NUMBER, number_in
from stillroom.quantities.parse import parse
from stillroom.records.reading_yaml import Written, read_yaml
from stillroom.records.sections import Section, Troubles, from_fields
from stillroom.records.written_values import OneOf, note, one_line, yes_or_no
from stillroom.substances.own import CHARGES, Charge, OwnContent, OwnIngredient, OwnMarker, OwnPlant

Kind: TypeAlias = Literal["marker", "plant", "ingredient"]
OwnThing: TypeAlias = OwnMarker | OwnPlant | OwnIngredient
Value = TypeVar("Value")
KEYS: dict[Kind, tuple[str, ...]] = {
    "marker": (
        "marker", "also called", "molar mass", "charge", "equivalents", "pka", "solubility", "cas",
        "goes over with steam", "loses by heat", "hardly in water", "source",
    ),
    "plant": (
        "plant", "part", "latin name", "also called", "holds", "loss on drying", "water takes out",
        "spirit takes out", "name on the label", "source",
    ),
    "ingredient": ("ingredient", "name on the label", "also called", "used as", "cas", "density", "source"),
}  # fmt: skip
"""The keys of each, in the order they are written; the first is its name."""
NEEDED: dict[Kind, tuple[str, ...]] = {
    "marker": ("marker",),
    "plant": ("plant",),
    "ingredient": ("ingredient", "name on the label"),
}
UNITS = {
    "molar mass": "g/mol",
    "density": "g/mL",
    "loss on drying": "%",
    "water takes out": "%",
    "spirit takes out": "%",
}
"""The unit a bare figure has, by key."""
FIGURES = ("molar mass", "density")
SEVERAL = ("also called", "holds", "pka", "solubility")
"""Keys that may have lines."""
CHOSEN: dict[str, tuple[str, ...]] = {
    "charge": ("not known", "base", "acid", "permanent charge", "none"),
    "goes over with steam": ("no", "yes"),
    "loses by heat": ("no", "yes"),
    "hardly in water": ("no", "yes"),
}
"""Keys that are chosen; the first stands where nobody chose."""
LEAST_G_MOL, MOST_G_MOL = 10.0, 100_000.0
MOST_EQUIVALENTS = 20.0
_TO = r"(?:%?\s*(?:to|bis|à|a|до|-|–|—|\.\.|…))"
_RANGE = re.compile(rf"\s*({NUMBER})\s*{_TO}\s*({NUMBER})\s*(\S.*?)\s*")
_HOLDS = re.compile(rf"\s*(.+?)\s*[:,]?\s+({NUMBER}\s*{_TO}\s*{NUMBER}\s*\S.*)", re.DOTALL)
_FIGURE = re.compile(rf"{NUMBER}\s*(?:%|‰|ppm|[mµ]?g/k?g)")
"""A share by mass: in the name of a marker it is a range that was not understood."""
_CAS = re.compile(r"[0-9]{2,7}-[0-9]{2}-[0-9]")


def own_from_yaml(source: str | bytes, name: str = "own.yaml") -> OwnThing:
    """What of one's own a file tells.

    Parameters
    ----------
    source : str or bytes
        The whole file.
    name : str
        What errors call the file.

    Raises
    ------
    BadEntry, UnknownName
        Something cannot be taken; the line is named.
    SeveralBadEntries
        More than one thing cannot be taken.
    """
    written = read_yaml(source, name)
    first = (written.pairs[0][0].text or "").strip().casefold() if written.pairs else ""
    for kind in KEYS:
        if first == kind:
            return _own(kind, written)
    raise UnknownName.among(first, "something of one's own", KEYS).at(name)


def own_from_fields(kind: Kind, fields: Mapping[str, str]) -> OwnThing:
    """What of one's own a form or a command tells; the place of each trouble is its field.

    Parameters
    ----------
    fields : mapping of str to str
        By the keys of the file; several of one thing stand on lines of their own, or are parted by semicolons.

    Raises
    ------
    BadEntry, UnknownName
        Something cannot be taken; the field is named.
    SeveralBadEntries
        More than one thing cannot be taken.
    """
    return _own(kind, from_fields({name: text for name, text in fields.items() if text.strip()}))


def own_to_fields(thing: OwnThing) -> dict[str, str]:
    """A thing of one's own as the fields of its form; what is not known is left out."""
    match thing:
        case OwnMarker():
            found = {
                "marker": thing.name,
                "also called": "; ".join(thing.also_called),
                "molar mass": _figure(thing.molar_mass_g_mol, "g/mol"),
                "charge": thing.charge,
                "equivalents": "" if thing.equivalents == 1.0 else _figure(thing.equivalents),
                "pka": "; ".join(_figure(one) for one in thing.pka),
                "solubility": thing.solubility,
                "cas": thing.cas,
                "goes over with steam": "yes" if thing.volatile else "",
                "loses by heat": "yes" if thing.heat_labile else "",
                "hardly in water": "yes" if thing.hardly_in_water else "",
                "source": thing.source,
            }
        case OwnPlant():
            found = {
                "plant": thing.name,
                "part": thing.part,
                "latin name": thing.latin_name,
                "also called": "; ".join(thing.also_called),
                "holds": "; ".join(
                    f"{one.marker} {_range((one.low_percent_dried or 0.0, one.high_percent_dried or 0.0))}".strip()
                    for one in thing.markers
                ),
                "loss on drying": _figure(thing.loss_on_drying_percent, "%"),
                "water takes out": _range(thing.by_water_percent),
                "spirit takes out": _range(thing.by_spirit_percent),
                "name on the label": thing.label_name,
                "source": thing.source,
            }
        case OwnIngredient():
            found = {
                "ingredient": thing.name,
                "name on the label": thing.label_name,
                "also called": "; ".join(thing.also_called),
                "used as": thing.what_for,
                "cas": thing.cas,
                "density": _figure(thing.density_g_ml, "g/mL"),
                "source": thing.source,
            }
    return {key: text for key, text in found.items() if text}


def _figure(value: float | None, unit: str = "") -> str:
    return "" if value is None else f"{value:.12g} {unit}".strip()


def _range(ends: tuple[float, float] | None) -> str:
    return "" if ends is None or not ends[1] else f"{ends[0]:.12g} to {ends[1]:.12g} %"


def _own(kind: Kind, written: Written) -> OwnThing:
    troubles = Troubles()
    section = Section(written, f"{'an' if kind == 'ingredient' else 'a'} {kind}", KEYS[kind], troubles)
    readers: dict[Kind, Callable[[Section], OwnThing]] = {
        "marker": _marker, "plant": _plant, "ingredient": _ingredient,
    }  # fmt: skip
    found = readers[kind](section)
    troubles.tell()
    return found


def _marker(section: Section) -> OwnMarker:
    return OwnMarker(
        name=section.read("marker", one_line, ""),
        also_called=_several(section, "also called", one_line),
        molar_mass_g_mol=_known(section, "molar mass", _molar_mass),
        charge=section.read("charge", _charge, "not known", needed=False),
        equivalents=section.read("equivalents", _equivalents, 1.0, needed=False),
        pka=_several(section, "pka", _pka),
        solubility=section.read("solubility", note, "", needed=False),
        cas=section.read("cas", _cas, "", needed=False),
        source=section.read("source", one_line, "", needed=False),
        volatile=section.read("goes over with steam", yes_or_no, False, needed=False),
        heat_labile=section.read("loses by heat", yes_or_no, False, needed=False),
        hardly_in_water=section.read("hardly in water", yes_or_no, False, needed=False),
    )


def _plant(section: Section) -> OwnPlant:
    return OwnPlant(
        name=section.read("plant", one_line, ""),
        part=section.read("part", one_line, "", needed=False),
        latin_name=section.read("latin name", one_line, "", needed=False),
        also_called=_several(section, "also called", one_line),
        markers=_several(section, "holds", _content),
        loss_on_drying_percent=_known(section, "loss on drying", _percent),
        by_water_percent=_known(section, "water takes out", _range_percent),
        by_spirit_percent=_known(section, "spirit takes out", _range_percent),
        label_name=section.read("name on the label", one_line, "", needed=False),
        source=section.read("source", one_line, "", needed=False),
    )


def _ingredient(section: Section) -> OwnIngredient:
    return OwnIngredient(
        name=section.read("ingredient", one_line, ""),
        label_name=section.read("name on the label", one_line, ""),
        also_called=_several(section, "also called", one_line),
        what_for=section.read("used as", one_line, "", needed=False),
        cas=section.read("cas", _cas, "", needed=False),
        density_g_ml=_known(section, "density", _density),
        source=section.read("source", one_line, "", needed=False),
    )


def _known(section: Section, key: str, reader: Callable[[str, str], Value]) -> Value | None:
    """What is written under a key, None where nothing is."""

    def read(text: str, where: str) -> Value | None:
        return reader(text, where)

    return section.read(key, read, None, needed=False)


def _several(section: Section, key: str, reader: Callable[[str, str], Value]) -> tuple[Value, ...]:
    """Several of one thing: a list, or one text with lines or semicolons between them."""

    def each(text: str, where: str) -> tuple[Value, ...]:
        parts = [one.strip() for one in re.split(r"[;\n]", text) if one.strip()]
        return tuple(reader(one, where) for one in parts)

    return tuple(one for part in section.read_list(key, each) for one in part)


def _molar_mass(text: str, where: str) -> float:
    bare = re.fullmatch(NUMBER, text.strip())
    value = parse(f"{text} g/mol" if bare else text, zero_allowed=False, where=where).in_unit("g/mol")
    if not LEAST_G_MOL <= value <= MOST_G_MOL:
        raise BadEntry(
            worded("A molar mass lies from {least:g} to {most:g} g/mol", least=LEAST_G_MOL, most=MOST_G_MOL),
            worded("{value:g} g/mol", value=value),
            "Write it like 192.17 g/mol",
            where=where,
        )
    return value


def _charge(text: str, where: str) -> Charge:
    words = " ".join(text.casefold().replace("-", " ").split()).removeprefix("a ").removeprefix("an ")
    also: dict[str, Charge] = {"permanent": "permanent charge", "permanently charged": "permanent charge",
                               "quaternary": "permanent charge", "neutral": "none"}  # fmt: skip
    return also.get(words) or OneOf(CHARGES, "what a marker is in water")(words, where)


def _equivalents(text: str, where: str) -> float:
    value = number_in(text, can_be=(0.0, MOST_EQUIVALENTS), where=where).value
    if not 0 < value <= MOST_EQUIVALENTS:
        raise BadEntry(
            worded(
                "One mole takes up more than 0 and at most {most:g} moles of titrant", most=MOST_EQUIVALENTS
            ),
            repr(text[:40]),
            "1 is usual",
            where=where,
        )
    return value


def _pka(text: str, where: str) -> float:
    value = number_in(text, can_be=(-3.0, 16.0), where=where).value
    if not -3.0 <= value <= 16.0:
        raise BadEntry("A constant in water lies from -3 to 16", repr(text[:40]), "Check it", where=where)
    return value


def _cas(text: str, where: str) -> str:
    line = one_line(text, where)
    digits = line.replace("-", "")
    right = bool(_CAS.fullmatch(line)) and digits[-1] == str(
        sum(at * int(digit) for at, digit in enumerate(reversed(digits[:-1]), start=1)) % 10
    )
    if not right:
        raise BadEntry(
            "A CAS number is three groups of digits, and its last digit checks the others",
            repr(line[:40]),
            "Write it like 92-61-5, or leave it out",
            where=where,
        )
    return line


def _percent(text: str, where: str) -> float:
    bare = re.fullmatch(NUMBER, text.strip())
    found = parse(f"{text} %" if bare else text, want="ratio", basis_required=False, where=where)
    percent = found.in_unit("%")
    if not 0.0 <= percent < 100.0 or found.basis.ratio not in (None, "w/w"):
        raise BadEntry(
            "A share by mass lies from 0 to below 100 %", repr(text[:40]), "Write it like 8 %", where=where
        )
    return percent


def _range_percent(text: str, where: str) -> tuple[float, float]:
    parts = _RANGE.fullmatch(f"{text} %" if re.search(r"\d\s*$", text) else text)
    low, high = (_percent(f"{parts[at]} {parts[3]}", where) for at in (1, 2)) if parts else (0.0, 0.0)
    if not 0.0 < low < high:
        raise BadEntry(
            "A range has a lower and a higher end above zero",
            repr(text[:40]),
            "Write it like 0.02 to 0.1 %",
            where=where,
        )
    return low, high


def _content(text: str, where: str) -> OwnContent:
    parts = _HOLDS.fullmatch(text)
    if parts is None and _FIGURE.search(text):
        raise BadEntry(
            "What a plant holds is a marker, and a lower and a higher end", repr(text[:60]),
            "Write it like scopoletin 0.002 to 0.01 %", where=where,
        )  # fmt: skip
    if parts is None:
        return OwnContent(one_line(text.strip(" :"), where))
    try:
        low, high = _range_percent(parts[2], where)
    except StillroomError as trouble:
        raise BadEntry(
            trouble.must, repr(text[:60]), "Write it like scopoletin 0.002 to 0.01 %", where=where
        ) from None
    return OwnContent(one_line(parts[1], where), low, high)


def _density(text: str, where: str) -> float:
    bare = re.fullmatch(NUMBER, text.strip())
    value = parse(f"{text} g/mL" if bare else text, want="density", zero_allowed=False, where=where).in_unit(
        "g/mL"
    )
    if not 0.3 <= value <= 20.0:
        raise BadEntry(
            "An ingredient weighs from 0.3 to 20 g/mL",
            worded("{value:g} g/mL", value=value),
            "Look at the point",
            where=where,
        )
    return value
