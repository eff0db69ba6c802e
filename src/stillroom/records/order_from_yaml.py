"""A customer's order from a file or a form: the same checks and the same sentences for both.

Takes only what an order must hold to be planned: bottles as number × content, two strengths on one basis, a
date. One without aim and declared strength is of a product without a dosed active; one with both and no extraction is
dosed with an extract that was bought. Does not know which
procedures, markets or kinds of product exist; the plan asks for those.
"""

import re
from collections.abc import Mapping

from stillroom.errors import BadEntry, worded
from stillroom.quantities.basis import carrier_kind
from stillroom.quantities.content import Content, content
from stillroom.quantities.fractions import percent_with_ratio
from stillroom.quantities.parse import parse
from stillroom.records.orders import NO_STRENGTH, Order, StatedStrength
from stillroom.records.reading_yaml import Written, read_yaml
from stillroom.records.sections import Section, Troubles, from_fields
from stillroom.records.written_values import code, iso_date, note, one_line, percentage, whole_number
from stillroom.substances.markers import marker_nature, usual_compound

KEYS = (
    "order",
    "customer",
    "product",
    "formula",
    "extraction",
    "kind",
    "market",
    "bottles",
    "aim",
    "declared at least",
    "due",
    "how sure",
    "notes",
)
"""The keys of an order, in the order they are written."""

LEAST_SURE_PERCENT, MOST_SURE_PERCENT = 50.0, 99.9
_BOTTLES = re.compile(r"(.+?)\s*(?:(?:bottle|jar|pot|tin|tube)s?\b)?\s*(?:×|x|X|\*|\bof\b)\s*(.+)", re.DOTALL)
OF_A_DOSE = ("extraction", "aim", "declared at least")
"""Keys that stand together, or not at all: a product without a dosed active has none of them."""


def order_from_yaml(source: str | bytes, name: str = "order.yaml") -> Order:
    """The order a file holds.

    Parameters
    ----------
    source : str or bytes
        The whole file.
    name : str
        What errors call the file.

    Returns
    -------
    Order
        The order.

    Raises
    ------
    BadEntry, UnknownName
        Something cannot be taken; the line is named.
    SeveralBadEntries
        More than one thing cannot be taken.
    """
    return order_of(read_yaml(source, name))


def order_from_fields(fields: Mapping[str, str]) -> Order:
    """The order a form holds.

    Parameters
    ----------
    fields : mapping of str to str
        What was typed, by field; the fields are named as the keys of a file ("declared at least").

    Returns
    -------
    Order
        The order.

    Raises
    ------
    BadEntry, UnknownName
        Something cannot be taken; the field is named.
    SeveralBadEntries
        More than one thing cannot be taken.
    """
    return order_of(from_fields(fields))


def stated_strength(text: str, where: str = "") -> StatedStrength:
    """A strength as an order states it: of the product by mass, what is counted, as which compound.

    Parameters
    ----------
    text : str
        As written, such as "0.25 % w/w total alkaloids as quinine", or "0.100 % w/w rosmarinic acid" where one
        compound is counted as itself.
    where : str
        File and line, or field.

    Returns
    -------
    StatedStrength
        The strength. [% w/w]

    Raises
    ------
    BadEntry
        The number or its basis cannot be taken.
    """
    words = " ".join(text.split())
    found = parse(words, want="ratio", basis_required=False, zero_allowed=False, where=where)
    basis, shown = found.basis, f"{found.number} {found.unit}"
    percent = found.value if found.unit == "%" else percent_with_ratio(found)[0]
    if percent > 100:
        raise BadEntry(
            "A strength cannot be more than 100 %", repr(words[:60]), "Check the number", where=where
        )
    if found.standard_uncertainty is not None:
        raise BadEntry(
            "An order states a strength, not a measurement",
            repr(words[:60]),
            "Leave the uncertainty out; 'how sure' says how certain it must be",
            where=where,
        )
    if basis.ratio not in (None, "w/w") or basis.matter == "dried":
        said = basis.ratio if basis.ratio != "w/w" else "dried"
        raise BadEntry(
            "A strength of an order is by mass, of the product as it is",
            worded("{said} in {words!r}", said=said, words=words[:60]),
            "Write it as % w/w",
            where=where,
        )
    if basis.carrier is not None and carrier_kind(basis.carrier) != "product":
        raise BadEntry(
            "A strength of an order is a strength of the product",
            worded("of {carrier}", carrier=basis.carrier),
            "Leave it out, or work out what it makes in the product",
            where=where,
        )
    compound = basis.reckoned_as or (usual_compound(basis.of) if basis.of else "")
    if basis.ratio is None or not basis.of or not compound:
        alone = _is_no_base(basis.reckoned_as or "")
        counted = basis.of or (basis.reckoned_as if alone and basis.reckoned_as else "total alkaloids")
        as_compound = "" if usual_compound(counted) else f" as {basis.reckoned_as or 'quinine'}"
        raise BadEntry(
            "A strength says its basis: w/w, what is counted and as which compound",
            repr(words[:60]),
            worded(
                "Write it like '{shown} w/w {counted}{as_compound}'",
                shown=shown.removesuffix(" w/w"),
                counted=counted,
                as_compound=as_compound,
            ),
            where=where,
        )
    return StatedStrength(percent, basis.of, compound, words)


def wanted_strength(text: str, where: str = "") -> StatedStrength:
    """A strength as somebody asks for it: as ``stated_strength`` reads it, counted as something of its own kind.

    Parameters
    ----------
    text : str
        As written.
    where : str
        File and line, or field.

    Raises
    ------
    BadEntry
        As there, or a compound that is no base is counted as one, or a base as another thing.
    """
    found = stated_strength(text, where)
    kinds = [_is_no_base(one) for one in (found.of, found.reckoned_as)]
    if None not in kinds and kinds[0] != kinds[1]:
        raise BadEntry(
            "A thing is counted as itself, or as one of its own kind",
            worded("{of} as {compound}", of=found.of, compound=found.reckoned_as),
            worded("Write it like '{percent:g} % w/w {of}'", percent=found.percent, of=found.of),
            where=where,
        )
    return found


def _is_no_base(name: str) -> bool | None:
    """Whether a marker is none of the alkaloids; None where nobody here knows it."""
    nature = marker_nature(name) if name else None
    return None if nature is None else "alkaloid" not in nature.group


def bottles(text: str, where: str = "") -> tuple[int, Content]:
    """How many bottles, tubes or tins of which content.

    Parameters
    ----------
    text : str
        As written, such as "50 × 100 mL", "50 bottles of 100 mL" or "12 × 30 g".
    where : str
        File and line, or field.

    Returns
    -------
    units : int
        Bottles. [1]
    each : Content
        Nominal content. [mL or g]

    Raises
    ------
    BadEntry
        One of the two is missing, zero, or could be read in two ways.
    """
    words = " ".join(text.split())
    parts = _BOTTLES.fullmatch(words)
    if parts is None:
        raise BadEntry(
            "Bottles are written as number × content",
            repr(words[:40]),
            "Write 50 × 100 mL, or 12 × 30 g",
            where=where,
        )
    units = whole_number(parts[1], where)
    if units == 0:
        raise BadEntry(
            "At least one bottle is filled", repr(words[:40]), "Write 50 × 100 mL, or 12 × 30 g", where=where
        )
    return units, content(parts[2], where)


def how_sure(text: str, where: str = "") -> float:
    """In how many of 100 such batches the extract must be enough.

    Parameters
    ----------
    text : str
        As written, such as "95 %".
    where : str
        File and line, or field.

    Returns
    -------
    float
        The percentage. [%]

    Raises
    ------
    BadEntry
        It lies outside 50 to 99.9 %.
    """
    percent = percentage(text, where)
    if not LEAST_SURE_PERCENT <= percent <= MOST_SURE_PERCENT:
        raise BadEntry(
            worded(
                "How sure it must be lies between {least_sure_percent:g} and {most_sure_percent:g} %",
                least_sure_percent=LEAST_SURE_PERCENT,
                most_sure_percent=MOST_SURE_PERCENT,
            ),
            repr(text[:40]),
            "95 % is usual",
            where=where,
        )
    return percent


def order_of(written: Written) -> Order:
    """The order of a mapping, whether a file or the fields of a form were written.

    Raises
    ------
    BadEntry, UnknownName
        Something cannot be taken; its place is named.
    SeveralBadEntries
        More than one thing cannot be taken.
    """
    troubles = Troubles()
    section = Section(written, "an order", KEYS, troubles)
    dosed = section.has(*OF_A_DOSE)
    if section.has("extraction") and not section.has("aim", "declared at least"):
        troubles.refuse(
            "An order that names its extraction says how strong the product is",
            "no 'aim' and no 'declared at least'",
            "Add both; or leave 'extraction' out, where no active is dosed",
            where=section.where_of("extraction"),
        )
        dosed = False
    units, each = section.read("bottles", bottles, (1, Content(1.0)))
    order = Order(
        code=section.read("order", code, ""),
        customer=section.read("customer", one_line, ""),
        product=section.read("product", one_line, ""),
        formula=section.read("formula", code, ""),
        extraction=section.read("extraction", code, "", needed=False),
        product_type=section.read("kind", one_line, "", needed=dosed),
        market=section.read("market", one_line, "", needed=dosed),
        units=units,
        nominal_ml=each.nominal_ml,
        nominal_g=each.nominal_g,
        aim=section.read("aim", wanted_strength, NO_STRENGTH, needed=dosed),
        at_least=section.read("declared at least", wanted_strength, NO_STRENGTH, needed=dosed),
        due=section.read("due", iso_date, ""),
        how_sure_percent=section.read("how sure", how_sure, 95.0, needed=False),
        notes=section.read("notes", note, "", needed=False),
    )
    if NO_STRENGTH not in (order.aim, order.at_least):
        _hold_together(order.aim, order.at_least, section, troubles)
    troubles.tell()
    return order


def _hold_together(
    aim: StatedStrength, at_least: StatedStrength, section: Section, troubles: Troubles
) -> None:
    where = section.where_of("declared at least")
    aimed, declared = (f"{one.of} as {one.reckoned_as}" for one in (aim, at_least))
    if aimed.casefold() != declared.casefold():
        troubles.refuse(
            "Aim and declared strength must have the same basis",
            f"{aimed} against {declared}",
            f"Write both as {aimed}",
            where=where,
        )
    elif at_least.percent > aim.percent:
        troubles.refuse(
            "The aim must reach what is declared at least",
            f"an aim of {aim.percent:g} % and {at_least.percent:g} % declared",
            "Raise the aim or declare less",
            where=where,
        )
