"""A laboratory from a file: people, scales and other apparatus, prices.

Every instrument says its smallest step in its own unit; the standard uncertainty of one reading is that step where
none is written, as on the page.
"""

import re
from collections.abc import Mapping
from dataclasses import replace

from stillroom.errors import BadEntry, worded
from stillroom.quantities.money import Money
from stillroom.quantities.numbers import number_in
from stillroom.quantities.parse import parse
from stillroom.quantities.rounding import to_decimals
from stillroom.quantities.units import CURRENCIES
from stillroom.records.laboratory import Laboratory, Price
from stillroom.records.people import GLASS, Apparatus, Person
from stillroom.records.reading_yaml import Written, read_yaml
from stillroom.records.sections import Section, Troubles, from_fields, members_of, once_each
from stillroom.records.written_values import OneOf, code, one_line, yes_or_no
from stillroom.reference.tables import table

DESCRIBED = ("address", "responsible person", "responsible address", "currency", "telephone", "email", "tax")
KEYS = ("laboratory", "practice", "altitude", *DESCRIBED, "people", "scales", "apparatus", "prices")
PERSON_KEYS = ("code", "name", "may release")
APPARATUS_KEYS = (
    "code",
    "kind",
    "name",
    "smallest step",
    "unit",
    "standard uncertainty",
    "largest",
    "made of",
)
_DAYS = re.compile(r"([\d.,]+)(?:\s*(?:to|-|–)\s*([\d.,]+))?\s*(?:days?|d)")
_PACKS = re.compile(r"(?:(?:in )?packs? of )(.+)")
PRICE_KEYS = ("of", "price", "value")
KINDS = ("scale", "burette", "measure", "thermometer", "heater", "vessel", *GLASS)
UNITS = {"mass": "g", "volume": "mL", "temperature": "°C", "power": "W"}
KIND = OneOf(KINDS, "a kind of apparatus")
UNIT = OneOf(tuple(UNITS.values()), "a unit of an apparatus")
LOWEST_M, HIGHEST_M = -450.0, 6_000.0


def laboratory_from_yaml(source: str | bytes, name: str = "laboratory.yaml") -> Laboratory:
    """The laboratory a file describes.

    Parameters
    ----------
    source : str or bytes
        The whole file.
    name : str
        What errors call the file.

    Returns
    -------
    Laboratory
        The laboratory.

    Raises
    ------
    BadEntry, UnknownName
        Something cannot be taken; the line is named.
    SeveralBadEntries
        More than one thing cannot be taken.
    """
    return laboratory_of(read_yaml(source, name))


def laboratory_of(written: Written) -> Laboratory:
    """The laboratory of a mapping.

    Raises
    ------
    BadEntry, UnknownName
        Something cannot be taken; its place is named.
    SeveralBadEntries
        More than one thing cannot be taken.
    """
    troubles = Troubles()
    section = Section(written, "a laboratory", KEYS, troubles)
    people = [
        (_person(one, troubles), one.where) for one in members_of(section.value("people"), "code", troubles)
    ]
    apparatus = [
        (_apparatus(one, "scale" if key == "scales" else None, troubles), one.where)
        for key in ("scales", "apparatus")
        for one in members_of(section.value(key), "code", troubles)
    ]
    prices = [
        (_price(one, troubles), one.where) for one in members_of(section.value("prices"), "of", troubles)
    ]
    laboratory = Laboratory(
        name=section.read("laboratory", one_line, ""),
        people=tuple(person for person, _ in people),
        apparatus=tuple(one for one, _ in apparatus),
        prices=tuple(price for price, _ in prices if price is not None),
        practice=section.read("practice", yes_or_no, False, needed=False),
        altitude_m=section.read("altitude", _altitude, None, needed=False),
        described=tuple(
            (key, section.read(key, one_line, "", needed=False)) for key in DESCRIBED if section.has(key)
        ),
    )
    if not section.has("people"):
        section.miss("people")
    codes = [(person.code, where) for person, where in people] + [
        (one.code, where) for one, where in apparatus
    ]
    once_each(codes, "person and apparatus", troubles)
    once_each([(price.of, where) for price, where in prices if price is not None], "priced thing", troubles)
    troubles.tell()
    return laboratory


def apparatus_from_fields(fields: Mapping[str, str]) -> Apparatus:
    """An instrument from the fields of a form; the place of each trouble is its field.

    Parameters
    ----------
    fields : mapping of str to str
        By the keys of the file. [text]

    Returns
    -------
    Apparatus
        The instrument. [record]

    Raises
    ------
    BadEntry, UnknownName
        Something cannot be taken.
    SeveralBadEntries
        More than one thing cannot be taken.
    """
    troubles = Troubles()
    found = _apparatus(from_fields(fields), None, troubles)
    troubles.tell()
    return found


def price_from_text(of: str, text: str, where: str) -> Price:
    """What one unit of something costs.

    Parameters
    ----------
    of : str
        Substance or packaging item. [text]
    text : str
        As written, such as "12.50 EUR/kg". [text]
    where : str
        File and line, or field. [text]

    Returns
    -------
    Price
        The price. [record]

    Raises
    ------
    BadEntry
        It says no currency, or not for how much.
    """
    return replace(_money(text, where), of=one_line(of, "of"))


def _person(written: Written, troubles: Troubles) -> Person:
    section = Section(written, "a person", PERSON_KEYS, troubles)
    return Person(
        section.read("code", code, ""),
        section.read("name", one_line, ""),
        section.read("may release", yes_or_no, False, needed=False),
    )


def _apparatus(written: Written, kind: str | None, troubles: Troubles) -> Apparatus:
    what = "a scale" if kind else "an apparatus"
    section = Section(written, what, APPARATUS_KEYS, troubles)
    named = section.read("code", code, "")
    found_kind: str = section.read("kind", KIND, kind or "", needed=kind is None)
    shows = found_kind not in GLASS
    unit = section.read("unit", UNIT, "g" if kind else "", needed=False)
    step = "smallest step" if shows else "largest"
    if not unit and section.has(step):
        unit = section.read(step, _unit_of, "")

    def in_its_unit(text: str, where: str) -> float:
        return _in_unit(text, unit, where)

    smallest_step = section.read("smallest step", in_its_unit, 0.0) if unit and shows else 0.0
    known = section.read("standard uncertainty", in_its_unit, smallest_step, needed=False) if unit else 0.0
    apparatus = Apparatus(
        code=named,
        kind=found_kind,
        name=section.read("name", one_line, named, needed=False),
        smallest_step=smallest_step,
        unit=unit,
        standard_uncertainty=known,
    )
    if unit and section.has("largest"):
        apparatus = replace(apparatus, largest=section.read("largest", in_its_unit, 0.0))
    if section.has("made of"):
        apparatus = replace(apparatus, material=section.read("made of", _material, ""))
    if not section.has(step) and not (unit and shows):
        section.miss(step)
    return apparatus


def _material(text: str, where: str) -> str:
    known = tuple(one.key for one in table("vessel_materials").rows)
    return OneOf(known, "what a measuring vessel is made of")(text, where)


def _in_unit(text: str, unit: str, where: str) -> float:
    """A number above zero in a unit; a bare number is in it already, and a step of one K is one of 1 °C."""
    try:
        value = number_in(text, where=where).value
    except BadEntry:
        found = parse(text, zero_allowed=False, basis_required=False, where=where)
        same_step = {found.unit, unit} <= {"°C", "K"}
        value = found.value if same_step else found.in_unit(unit)
    if value <= 0:
        raise BadEntry("A number above zero is needed here", repr(text[:40]), "Check it", where=where)
    return value


def _unit_of(text: str, where: str) -> str:
    found = parse(text, want=tuple(UNITS), negative_allowed=True, where=where)
    return UNITS[found.dimension]


def _altitude(text: str, where: str) -> float | None:
    height_m = parse(text, want="length", negative_allowed=True, where=where).in_unit("m")
    if not LOWEST_M <= height_m <= HIGHEST_M:
        raise BadEntry(
            worded(
                "A laboratory stands between {lowest_m:g} and {highest_m:g} m above the sea",
                lowest_m=LOWEST_M,
                highest_m=HIGHEST_M,
            ),
            repr(text[:40]),
            "Write it in metres",
            where=where,
        )
    return height_m


def _price(written: Written, troubles: Troubles) -> Price | None:
    section = Section(written, "a price", PRICE_KEYS, troubles)
    of = section.read("of", one_line, "")
    read = section.read(
        "price" if section.has("price") or not section.has("value") else "value", _money, None
    )
    return None if read is None else replace(read, of=of)


def _money(text: str, where: str) -> Price:
    money, *rest = (one.strip() for one in text.split(";"))
    price = replace(_money_alone(money, where), as_written=" ".join(text.split()))
    for one in rest:
        price = _sold(price, one, where)
    return price


def _sold(price: Price, text: str, where: str) -> Price:
    """A price with how a thing is sold: "packs of 500 g", "4 to 8 days"."""
    days, pack = _DAYS.fullmatch(text), _PACKS.fullmatch(text)
    if days:
        low, high = sorted(float(one.replace(",", ".")) for one in (days[1], days[2] or days[1]))
        if low > 0:
            return replace(price, low_days=low, high_days=high)
    if pack:
        content = parse(pack[1], zero_allowed=False, where=where)
        pieces = content.dimension.startswith("count") or price.per in ("piece", "pieces")
        return replace(price, pack=content.value if pieces else content.in_unit(price.per))
    raise BadEntry(
        "Behind a price stands how it is sold: its packs, or the days until it comes",
        repr(text[:40]),
        "Write it like 38 EUR/kg; packs of 500 g; 4 to 8 days",
        where=where,
    )


_PER = re.compile(r"\s+(?:per|an?)\s+|\s*/\s*", re.IGNORECASE)
_CURRENCY_FIRST = re.compile(r"(?P<currency>[A-Za-z]{3})\s*(?P<amount>\d[\d.,]*)(?P<of>/.+)")


def _money_alone(text: str, where: str) -> Price:
    said = _PER.sub("/", text)
    first = _CURRENCY_FIRST.fullmatch(said)
    if first and first["currency"].upper() in CURRENCIES:  # "EUR 38 per kg" is "38 EUR/kg"
        said = f"{first['amount']} {first['currency'].upper()}{first['of']}"
    found = parse(said, where=where)
    currency, slash, per = found.unit.partition("/")
    if not slash or not found.dimension.startswith(f"{currency} per "):
        raise BadEntry(
            "A price says its currency and for how much",
            repr(text[:40]),
            "Write it like 12.50 EUR/kg",
            where=where,
        )
    amount = to_decimals(found.value, max(found.decimals or 0, 0))
    return Price("", Money(amount, currency), per, " ".join(text.split()))
