"""The stocks of a blend, read as a person writes them: how strong, how much, fresh or recovered, its price.

Promises a stock for each row that says anything, or one sentence at its field. Wet plant is a row too: its grams and
the water in them.
"""

from collections.abc import Mapping
from dataclasses import replace

from stillroom.actions.dilute_entries import amount_in, have_in, known_by_in
from stillroom.answers.plain_sums import price_per_g, water_g
from stillroom.answers.spirit_blended import FRESH, PLANT, RECOVERED, StockAsked
from stillroom.answers.spirit_percent import spirit_mass_g
from stillroom.answers.spirit_strength import BASIS, OWN_DOUBT
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.quantities.basis import Basis
from stillroom.quantities.entry import entry, nothing_but
from stillroom.quantities.fractions import mass_fraction
from stillroom.quantities.units import unit

MOST_ROWS = 6
WHAT = (FRESH, RECOVERED, PLANT)
ASKED = "as asked"

_CAUSES = {
    OWN_DOUBT["alcoholometer"]: OWN_DOUBT["alcoholometer"],
    OWN_DOUBT["density"]: OWN_DOUBT["density"],
    OWN_DOUBT["label"]: OWN_DOUBT["label"] + " of {said}",
    OWN_DOUBT["certificate"]: OWN_DOUBT["certificate"] + " of {said}",
}
"""What the errors of two stocks rest on alike: one instrument, one label."""


def field_of(row: int, part: str = "") -> str:
    """Name of a field of a row: "stock-2-amount".

    Parameters
    ----------
    row : int
    part : str
        "amount", "what", "price", or "" for the strength.
    """
    return f"stock-{row}-{part}" if part else f"stock-{row}"


def stocks_in(fields: Mapping[str, str], temperature: Answer, thermometer: Answer) -> tuple[StockAsked, ...]:
    """Every stock that was said, in order.

    Parameters
    ----------
    fields : mapping of str to str
    temperature, thermometer : Answer
        Of the liquids, and what the thermometer may be off. [°C]

    Raises
    ------
    BadEntry
        A row is half filled in, cannot be read, or there is none.
    """
    rows = rows_said(fields)
    if not rows:
        raise BadEntry("A blend is made of something", "no stock", "Fill in a row", where=field_of(1))
    found = tuple(_stock(fields, row, temperature, thermometer) for row in rows)
    if all(one.what == PLANT for one in found):
        raise BadEntry("A blend holds some spirit", "plant only", "Fill in the spirit", where=field_of(1))
    return found


def rows_said(fields: Mapping[str, str]) -> tuple[int, ...]:
    """Numbers of the rows that say anything, in order.

    Parameters
    ----------
    fields : mapping of str to str
        As entered. [text]
    """
    return tuple(
        row
        for row in range(1, MOST_ROWS + 1)
        if fields.get(field_of(row), "") or fields.get(field_of(row, "amount"), "")
    )


def _stock(fields: Mapping[str, str], row: int, temperature: Answer, thermometer: Answer) -> StockAsked:
    strength, amount = fields.get(field_of(row), ""), fields.get(field_of(row, "amount"), "")
    for part, text, needed in (("", strength, "how strong it is"), ("amount", amount, "how much there is")):
        if not text:
            raise BadEntry(
                "Of a stock both are needed",
                worded("not {needed}", needed=needed),
                "Fill it in",
                where=field_of(row, part),
            )
    what = fields.get(field_of(row, "what"), "") or FRESH
    if what not in WHAT:
        raise BadEntry(
            worded("A stock is {what}", what=", ".join(WHAT)),
            repr(what[:40]),
            "Choose one",
            where=field_of(row, "what"),
        )
    if what == PLANT:
        return _plant(row, strength, amount)
    name = f"stock {row}"
    try:
        asked = {"have": strength, "have-in": "v/v"}
        have, words = have_in(asked, known_by_in(asked), temperature, thermometer)
    except StillroomError as error:
        raise error.at(field_of(row)) from error
    strong = _named_after(have.answer, name, f"{have.answer.value:.2f} % v/v")
    try:
        mass, _, _ = amount_in({"amount": amount, "amount-as": "at hand"}, strong, strong, temperature)
    except StillroomError as error:
        raise error.at(field_of(row, "amount")) from error
    price = _price(fields.get(field_of(row, "price"), ""), row, strong, temperature)
    return StockAsked(name, what, _named_after(mass, name), strong, f"{amount} of {words}", price)


def _plant(row: int, water: str, amount: str) -> StockAsked:
    """Fresh plant, of which only the water counts."""
    percent = entry(water, "%", by_definition=Basis(ratio="w/w"), zero_allowed=True, where=field_of(row))
    nothing_but(percent, ("water",), where=field_of(row))
    if percent.basis.ratio != "w/w" or not 0.0 < mass_fraction(percent) < 1.0:
        raise BadEntry(
            "Fresh plant has its water in % of its mass, above 0 and below 100",
            repr(water[:40]),
            'Write "78 %"',
            where=field_of(row),
        )
    grams = entry(amount, want="mass", where=field_of(row, "amount"))
    name = f"plant {row}"
    water_percent = 100 * mass_fraction(percent, silent=True)
    share = reading(f"{name}, water in it", water_percent, "%", ASKED, basis="w/w")
    plant = reading(f"{name}, by mass", grams.in_unit("g"), "g", ASKED)
    mass = reckoned(
        f"water of {name}", water_g, unit="g", inputs={"mass_g": plant, "water_percent": share},
        says="its mass times the water in it",
    )  # fmt: skip
    nothing = reading(f"ethanol in {name}", 0.0, "%", "there is none in fresh plant", basis=BASIS)
    return StockAsked(name, PLANT, mass, nothing, f"{amount} of fresh plant with {water_percent:g} % water")


def _price(text: str, row: int, strength: Answer, temperature: Answer) -> Answer | None:
    if not text:
        return None
    figure = any(one.isdigit() for one in text)
    found = entry(text, zero_allowed=True, where=field_of(row, "price")) if figure else None
    if found is None or not found.dimension.endswith((" per mass", " per volume")):
        raise BadEntry(
            "A price has money and an amount", repr(text[:40]), 'Write "14 EUR/L" or "16 EUR/kg"',
            where=field_of(row, "price"),
        )  # fmt: skip
    money, _, per = found.unit.partition("/")
    amount = unit(per).factor
    price = reading(f"price of stock {row}", found.value, found.unit, ASKED)
    if unit(per).dimension == "mass":
        grams = reading(f"a {per} of stock {row}", amount, "g", "by definition")
    else:
        volume = reading(f"a {per} of stock {row}", amount, "mL", "by definition")
        grams = reckoned(
            f"weight of a {per} of stock {row}", spirit_mass_g, unit="g",
            inputs={"volume_ml": volume, "volume_percent_20c": strength, "temperature_c": temperature},
            says="its volume times its density",
        )  # fmt: skip
    return reckoned(
        f"price of a gram of stock {row}", price_per_g, unit=f"{money}/g",
        inputs={"price": price, "grams": grams}, says="the price over the grams it is for",
    )  # fmt: skip


def _named_after(answer: Answer, stock: str, said: str = "") -> Answer:
    """The same answer with its leaves named after the stock: two labels are two errors, one label or instrument one."""
    if answer.leaf is not None:
        if answer.name.startswith(("temperature", "error of the thermometer", stock)):
            return answer
        cause = _CAUSES.get(answer.name, "").format(said=said)
        return replace(answer, name=f"{stock}: {answer.name}", leaf=replace(answer.leaf, cause=cause))
    inputs = tuple((name, _named_after(one, stock, said)) for name, one in answer.inputs)
    return replace(answer, inputs=inputs)
