"""Fragrance allergens of a formula: which of them must stand on the list of ingredients.

Promises a sum over every oil, extract and single substance, by the analysis of the lot where one is entered and by the
usual content of its kind otherwise. An oil or a perfume of unknown composition is undecided, never free of them.
"""

from collections.abc import Iterator
from datetime import date

from stillroom.products.check_lines import CheckLine, Standing
from stillroom.products.contained import CONTENTS, Held, parts_in
from stillroom.products.formula_facts import FormulaFacts
from stillroom.products.kinds import LEAVE_ON, Kind
from stillroom.quantities.rounding import told_apart
from stillroom.reference.tables import Row, table
from stillroom.substances.regulated import regulated_row, squeezed
from stillroom.texts.catalogue import later, t

TABLE = "allergens"
FRAGRANT = ("essential oil", "perfume")
"""What an ingredient is for, where it brings allergens with it."""


def allergen_lines(facts: FormulaFacts, held: tuple[Held, ...], kind: Kind) -> tuple[CheckLine, ...]:
    """A line for every allergen that passes its threshold or may, and for what nobody knows the composition of.

    Parameters
    ----------
    facts : FormulaFacts
        What stands on the label, and from when it is sold. [record]
    held : tuple of Held
        From ``held_in``. [% w/w]
    kind : Kind
        Of the product: what stays on has the lower threshold. [record]

    Returns
    -------
    tuple of CheckLine
        In the order of the table. [records]
    """
    named = {squeezed(part) for name in facts.on_label for part in name.split(",")}
    found = [_line(row, low, high, named, kind, facts.sold_from) for row, low, high in _passing(held, kind)]
    return (*found, *_unknown(facts))


def allergens_to_name(facts: FormulaFacts, held: tuple[Held, ...], kind: Kind) -> tuple[str, ...]:
    """Names a list of ingredients must hold beside the ingredients themselves; those that may pass, too.

    Parameters
    ----------
    facts : FormulaFacts
        From when it is sold. [record]
    held : tuple of Held
        From ``held_in``. [% w/w]
    kind : Kind
        Of the product. [record]

    Returns
    -------
    tuple of str
        In the order of the table. [text]
    """
    return tuple(
        row.key
        for row, _, high in _passing(held, kind)
        if high != float("inf") and _holds(row, facts.sold_from)
    )


def _passing(held: tuple[Held, ...], kind: Kind) -> Iterator[tuple[Row, float, float]]:
    for row in table(TABLE).rows:
        if not row.words("substance"):
            continue
        of_it = [one for one in held if one.is_a((row.words("substance"),))]
        low, high = sum(one.low_percent for one in of_it), sum(one.high_percent for one in of_it)
        if high > _threshold(row, kind):
            yield row, low, high


def _threshold(row: Row, kind: Kind) -> float:
    stays = any(LEAVE_ON in use.tags for use in kind.uses)
    return row.number("leave_on_percent" if stays else "rinse_off_percent")


def _holds(row: Row, sold_from: date | None) -> bool:
    return sold_from is None or sold_from >= date.fromisoformat(row.words("since"))


def _line(
    row: Row, low: float, high: float, named: set[str], kind: Kind, sold_from: date | None
) -> CheckLine:
    edge = _threshold(row, kind)
    substance = regulated_row(row.words("substance"))
    on_label = bool(named & {squeezed(row.key), squeezed(substance.label_name), squeezed(substance.name)})
    standing: Standing = "within" if on_label else "over" if low > edge else "undecided"
    most = t("an unknown share") if high == float("inf") else f"{told_apart(high, edge)}"
    blanks = {
        "about": row.key,
        "low": f"{low:.2g}",
        "high": most,
        "edge": f"{edge:g}",
        "since": row.words("since"),
    }
    if not _holds(row, sold_from) and not on_label:
        standing, says, close = (
            "cannot be seen here",
            later(
                "{about}: up to {high} % of the product; what is sold from {since} must name it over "
                "{edge} %."
            ),
            later("Name it on the list of ingredients"),
        )
    elif on_label:
        says, close = (
            later(
                "{about}: up to {high} % of the product, over {edge} %; it stands on the list of ingredients."
            ),
            "",
        )
    elif standing == "over":
        says, close = (
            later(
                "{about}: {high} % of the product is over {edge} %, and it does not stand on the list of ingredients."
            )
            if low == high
            else later(
                "{about}: {low} to {high} % of the product is over {edge} %, and it does not stand "
                "on the list of ingredients."
            ),
            later("Name it on the list of ingredients"),
        )
    else:
        says, close = (
            later(
                "{about}: up to {high} % of the product, and over {edge} % it must stand on the list "
                "of ingredients."
            ),
            later(
                "Name it on the list of ingredients, or show by the analysis of the lot that it stays below"
            ),
        )
    return CheckLine(
        f"allergen/{row.key.casefold()}",
        row.key,
        standing,
        t(says, **blanks),
        f"{TABLE}, {row.key}",
        row.words("source"),
        int(row.words("since")[:4]),
        t(close) if close else "",
    )


def _unknown(facts: FormulaFacts) -> Iterator[CheckLine]:
    listed = {row.words("ingredient") for row in table(CONTENTS).rows}
    for share, part in parts_in(facts):
        known = part.ingredient
        if known is None or known.what_for not in FRAGRANT or share.is_told:
            continue
        if known.name not in listed:
            yield CheckLine(
                f"allergen/{share.name.casefold()}",
                share.name,
                "undecided",
                t("{about}: which fragrance allergens it holds is not known here.", about=share.name),
                close=t("Ask its supplier for the list of allergens, and name them on the label"),
            )
