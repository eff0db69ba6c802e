"""The laboratory described: its address, who answers for what is sold, its currency, how it is reached."""

import re
from collections.abc import Mapping
from dataclasses import asdict, fields, replace
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.records.entries import HouseDescribed
from stillroom.records.entry_json import body_to_json
from stillroom.records.written_values import one_line
from stillroom.texts.catalogue import later, t

_RATE = re.compile(r"(\d{1,2}(?:[.,]\d+)?)\s*%")
HOUSE_LABELS = {
    "address": later("Address"),
    "responsible person": later("Responsible person"),
    "responsible address": later("Their address, where it is another"),
    "currency": later("Currency"),
    "telephone": later("Telephone"),
    "email": later("E-mail"),
    "tax": later("Tax on a price, with its rate"),
}
HOUSE_WORDS = tuple(one.name.replace("_", " ") for one in fields(HouseDescribed))
"""What can be said of the house: "address", "responsible person", ..."""


def describe_house(lab: Laboratory, said: Mapping[str, str], **sign: Unpack[Signed]) -> Done:
    """Write what is said of the house; what is not said stays as it was, and "none" takes a value away.

    Parameters
    ----------
    said : mapping of str to str
        By ``HOUSE_WORDS``: {"address": "4 Invented Lane, Nowhere"}.

    Raises
    ------
    UnknownName
        Nobody asks for that.
    BadEntry
        Nothing is said, a currency is no code of three letters, or an e-mail has no @.
    """
    for what in said:
        if what not in HOUSE_WORDS:
            raise UnknownName.among(what, "said of a laboratory", HOUSE_WORDS)
    told = {what: _read(what, text) for what, text in said.items() if text.strip()}
    if not told:
        raise BadEntry("Something is said of the laboratory", "nothing", "Write its address, or who answers")
    with lab.act("describe house", dict(said), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        stands = pen.look.house()
        body = replace(stands, **{what.replace(" ", "_"): value for what, value in told.items()})
        if asdict(body) == asdict(stands):
            return Done((pen.look.head.entry_no,), t("It stands like that already."))
        number = pen.enter(HouseDescribed(**body_to_json(body)))
        return Done((number,), t("Written: {what}.", what=", ".join(told)))


def _read(what: str, text: str) -> str:
    where = what.replace(" ", "-")
    value = one_line(", ".join(one.strip() for one in text.splitlines() if one.strip()), where)
    if value.casefold() == "none":
        return ""
    if what == "currency":
        if not (len(value) == 3 and value.isalpha()):
            raise BadEntry(
                "A currency is written with its three letters",
                repr(value[:20]),
                "Write it like EUR",
                where=where,
            )
        return value.upper()
    if what == "email" and "@" not in value:
        raise BadEntry(
            worded("An e-mail address has an {sign}", sign="@"), repr(value[:40]), "Check it", where=where
        )
    if what == "tax":
        tax_of(value)
    return value


def tax_of(text: str) -> tuple[str, float | None]:
    """What is added to a price, by its name here, and its rate [%]; nothing where nobody said.

    Parameters
    ----------
    text : str
        "VAT 20 %".

    Raises
    ------
    BadEntry
        It says no rate, or no name.
    """
    if not text:
        return "", None
    found = _RATE.search(text)
    name = " ".join(_RATE.sub("", text).split()).strip(" ,:")
    if not found or not name:
        raise BadEntry(
            "A tax is written with its name and its rate",
            repr(text[:40]),
            "Write it like VAT 20 %",
            where="tax",
        )
    return name, float(found[1].replace(",", "."))
