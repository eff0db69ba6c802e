"""What an order was worked back with because nobody said it: each with its effect and the field that replaces it."""

import re
from collections.abc import Mapping
from unicodedata import combining, normalize

from stillroom.documents.setting_words import setting_words
from stillroom.planning.inputs import all_inputs
from stillroom.planning.outcome import Plan
from stillroom.planning.plan_inputs import Known
from stillroom.records.entries import LeftUnsaid
from stillroom.records.formula_starters import BASES
from stillroom.stream.kind import ALTITUDE_M

WORTH_SAYING = 0.01
ROUND_ABOUT = {"market": "EU", "base": "water", "hours-a-day": "8 h", "how-sure": "95 %"}
"""What is usual, by field."""
CHOICES = {"base": BASES, "market": ("EU", "another")}
"""Fields that are chosen rather than written."""


def slug(words: str) -> str:
    """Words as a code: small letters, digits and dashes."""
    plain = "".join(one for one in normalize("NFKD", words.casefold()) if not combining(one))
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-") or "product"


def left_unsaid(said: Mapping[str, str], made: Plan) -> list[tuple[LeftUnsaid, float]]:
    """What a plan was made with because nobody said it, with its share of the doubt, the largest first.

    Parameters
    ----------
    said : mapping of str to str
        What was said, by field.
    made : Plan
    """
    inputs = {one.name: (role, one) for role, one in all_inputs(made.request).items()}
    found: list[tuple[LeftUnsaid, float]] = []
    for doubt in made.doubts:
        role, one = inputs[doubt.name]
        if one.origin == "assumed" and doubt.share >= WORTH_SAYING:
            effect = f"{100 * doubt.share:.0f} % of the doubt about the plant"
            found.append(
                (LeftUnsaid(_name_of(role), _taken(one), one.because, effect, _field(role)), doubt.share)
            )
    cost = next((line for line in made.lines if line.key == "cost"), None)
    for item in made.costs:
        share = item.amount / cost.median if cost and cost.median else 0.0
        role = f"price of {_PRICE_OF.get(item.item, item.item)}"
        if share >= 0.05 and slug(role) not in said:
            taken = f"{item.price:g} {item.price_unit}"
            effect = f"{100 * share:.0f} % of the cost"
            because = "an invented round price"
            found.append((LeftUnsaid(role, taken, because, effect, slug(role)), 0.1 * share))
    usual = [
        LeftUnsaid(
            "formula",
            f"a plain base of {ROUND_ABOUT['base']}",
            "to begin from; alter it before anything is sold",
            "moves the spirit to buy, hardly the plant",
            "base",
        ),
        LeftUnsaid(
            "declared at least",
            made.request.order.at_least.as_written,
            "nine tenths of the aim",
            "decides how often the product is strong enough",
            "declared-at-least",
        ),
        LeftUnsaid(
            "how sure",
            ROUND_ABOUT["how-sure"],
            "usual",
            f"half of such batches need {made.supply.median_g:.3g} g, not {made.supply.plant_g:.3g} g",
            "how-sure",
        ),
        LeftUnsaid(
            "working hours", ROUND_ABOUT["hours-a-day"], "Monday to Friday", "moves the days", "hours-a-day"
        ),
        LeftUnsaid(
            "market", ROUND_ABOUT["market"], "its limits are held here", "decides which limits hold", "market"
        ),
    ]
    if any(role.endswith(f"/{ALTITUDE_M}") for role, _ in inputs.values()):
        usual.append(
            LeftUnsaid(
                "altitude",
                "the height of the sea",
                "",
                "moves boiling points, 1 °C for each 300 m",
                "altitude",
            ),
        )
    found += [(one, 0.0) for one in usual if one.field not in said]
    return sorted(found, key=lambda one: -one[1])


_PRICE_OF = {"bottles": "bottle", "caps": "cap", "labels": "label", "hours": "hour"}


def _name_of(role: str) -> str:
    part, _, rest = role.partition("/")
    if part == "extraction":
        step, _, name = rest.partition("/")
        return f"{step}: {setting_words(name)}"
    return role.partition(", as ")[0]


def _field(role: str) -> str:
    part, _, rest = role.partition("/")
    if part == "extraction":
        step, _, name = rest.partition("/")
        return f"set-{slug(step)}-{slug(name)}"
    return slug(role.partition(", as ")[0])


def _taken(one: Known) -> str:
    u = one.uncertainty_in_unit
    spread = f" ± {2 * u:.2g}" if u else ""
    return f"{one.value:.4g}{spread} {one.unit}".strip()
