"""Spirit that is diluted for a customer: what it takes of which stock, and the recipe it is made by.

Promises masses that close, by the strength of the stock as it was read last. Says nothing of licence and duty.
"""

from dataclasses import dataclass
from math import ceil

from stillroom.errors import StillroomError
from stillroom.planning.offering.small_work import SmallWork, Stretch, Used
from stillroom.questions.offer_otherwise import Diluted
from stillroom.questions.offer_shelf import Shelf, StockSpirit
from stillroom.questions.spirit_amounts import want_words
from stillroom.records.mixtures import WATER, mixture
from stillroom.records.procedures import Procedure
from stillroom.reference.tables import row
from stillroom.substances.spirits import spirit_to_volume
from stillroom.texts.catalogue import t

USUAL_STOCK = StockSpirit("spirit 96 %", 96.0)
"""What is bought where the shelf holds nothing as strong."""
AT_ONCE_ML = 5000.0
"""What the usual minutes of a dilution are for. [mL]"""
DILUTE, READ = "mix to strength", "read strength"


@dataclass(frozen=True, slots=True)
class Parts:
    """What a dilution takes.

    ``spirit_g``, ``water_g``, ``volume_ml``: [g, g, mL at 20 °C]
    """

    stock: StockSpirit
    spirit_g: float
    water_g: float
    volume_ml: float


def parts_of_dilution(said: Diluted, shelf: Shelf) -> Parts:
    """What a dilution takes: of the stock with the most on the shelf, of those strong enough.

    Raises
    ------
    BadEntry
        Nothing on the shelf is as strong, nor what is sold.
    """
    want, amount = said.dilution.value, said.dilution_amount
    enough = [one for one in shelf.spirits if one.percent >= want]
    stock = max(enough, key=lambda one: one.held_g, default=USUAL_STOCK)
    try:
        litre = spirit_to_volume(stock.percent / 100.0, want / 100.0, 1000.0, 20.0)
    except StillroomError as error:
        raise error.at("dilution") from error
    volume_ml = amount.value if amount.unit == "mL" else 1000.0 * amount.value / float(litre.product_mass_g)
    return Parts(
        stock, float(litre.stock_mass_g) * volume_ml / 1000.0, float(litre.water_mass_g) * volume_ml / 1000.0,
        volume_ml,
    )  # fmt: skip


def work_of_dilution(said: Diluted, shelf: Shelf) -> tuple[SmallWork, str]:
    """What diluting spirit takes, and how it is made in a sentence."""
    parts = parts_of_dilution(said, shelf)
    stock, times = parts.stock, ceil(parts.volume_ml / AT_ONCE_ML)
    price, because = shelf.price(stock.substance, "stock spirit")
    dilute, read = (row("bench_work", one) for one in (DILUTE, READ))
    stretches = (
        Stretch(t("dilute it"), DILUTE, times * dilute.number("hands_min"), dilute.number("free_min")),
        Stretch(t("read its strength"), READ, read.number("hands_min")),
    )
    have = shelf.had(stock.substance, parts.spirit_g, stock.held_g)
    used = (Used(stock.substance, stock.substance, "g", parts.spirit_g, price, *have, because=because),)
    hour, of_hour = shelf.price("hour of work", "hour")
    title = t("{amount} of spirit {strength}", amount=said.text["dilution-amount"].strip(),
              strength=want_words(said.dilution))  # fmt: skip
    says = t(
        "{spirit:.0f} g of {substance}, of {percent:.1f} % v/v, and {water:.0f} g of water, weighed: {litres:.3g} L at "
        "20 °C. Its strength is read before it leaves.",
        spirit=parts.spirit_g, substance=stock.substance, percent=stock.percent, water=parts.water_g,
        litres=parts.volume_ml / 1000.0,
    )  # fmt: skip
    return SmallWork("dilution", title, shelf.currency, hour, of_hour, stretches, used), says


def recipe_of_dilution(said: Diluted, shelf: Shelf) -> Procedure:
    """The recipe that a dilution is made by: everything weighed."""
    parts, dilute = parts_of_dilution(said, shelf), row("bench_work", DILUTE)
    strength = f"{said.dilution.value:.4g}"
    return mixture(
        f"spirit {strength} %",
        t("Spirit {strength} % v/v", strength=strength),
        (
            ("spirit", parts.stock.substance, f"{parts.spirit_g:.1f} g"),
            ("water", WATER, f"{parts.water_g:.1f} g"),
        ),
        t("Weigh spirit and water together, let it cool, and read its strength."),
        code=f"spirit-{strength}-{parts.spirit_g:.0f}-g".replace(".", "-"),
        step=t("dilute it"),
        ticks=(t("No flame and no open element in the room"),),
        cautions=("flammable-vapour", "spirit-law"),
        hands_min=dilute.number("hands_min"),
        free_min=dilute.number("free_min"),
    )
