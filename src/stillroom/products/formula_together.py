"""What a formula does as a whole: it is breathed in where it is sprayed; two ingredients make nitrosamines.

Promises a line wherever the kind of product or its words say that it is sprayed, and wherever an agent that gives off
nitrite stands beside an amine. Whether a spray may be breathed in no table tells: a named person decides.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from stillroom.products.check_lines import CheckLine, Standing
from stillroom.products.contained import parts_in
from stillroom.products.formula_facts import FormulaFacts
from stillroom.products.kinds import SPRAY, Kind, kind_of_product
from stillroom.reference.tables import Row, table
from stillroom.substances.letters import plain_letters
from stillroom.substances.regulated import squeezed
from stillroom.texts.catalogue import t

TABLE = "nitrosating"
AEROSOL = "aerosol"
MIXTURE, ALONE, OTHER_PART = "MCI/MI 3:1", "methylisothiazolinone", "methylchloroisothiazolinone"
SPRAYS = re.compile(
    r"\b(?P<propelled>aerosol\w*|propellant)|\b(?:\w*sprays?|sprayed|spray\w*|mists?|atomi[sz]ers?|nebul\w+|vapori[sz]\w*"
    r"|\w*(?:sprüh|spruh|zerstäub)\w*|brumes?|brumis\w+|p[uo]lv[eé]ri[sz]\w*)\b",
    re.IGNORECASE,
)
"""Words by which a name or a label says that a product is sprayed."""
NOT_SPRAYED = re.compile(r"\b(?:do not|don't|never|not|no|without|nicht|ne pas)\b[^.;]*$", re.IGNORECASE)
NANO = re.compile(r"\bnano", re.IGNORECASE)
SPRAY_SOURCE, NITROSATING_SOURCE = "sccs-1539-14", "cosing-2015"


@dataclass(frozen=True, slots=True)
class _Found:
    row: Row
    named: str


def kind_as_sprayed(facts: FormulaFacts) -> Kind:
    """The kind of product, as a spray where the words of the product say that it is one.

    Parameters
    ----------
    facts : FormulaFacts
        Kind and words. [record]

    Returns
    -------
    Kind
        The rules of sprays hold for a "hair tonic" whose name is "rosemary mist". [record]
    """
    plain = kind_of_product(facts.product_kind)
    said = _said_sprayed(facts)
    if SPRAY in plain.said or not said:
        return plain
    sprayed = kind_of_product(f"{facts.product_kind} {AEROSOL if said[1] else SPRAY}")
    return sprayed if sprayed.understood else plain


def together_lines(facts: FormulaFacts, kind: Kind) -> tuple[CheckLine, ...]:
    """Lines about what is breathed in, about nitrosamines, and about what is so fine that it has rules of its own.

    Parameters
    ----------
    facts : FormulaFacts
        Shares and words. [record]
    kind : Kind
        From ``kind_as_sprayed``. [record]

    Returns
    -------
    tuple of CheckLine
        None where it is not sprayed and nothing of that sort is in it. [records]
    """
    return (*_breathed(facts, kind), *_nitrosamines(facts), *_nano(facts), *_isothiazolinones(facts))


def _said_sprayed(facts: FormulaFacts) -> tuple[str, bool] | None:
    """The word that says so and whether it is driven by a gas; None where no word does."""
    for text in facts.words.values():
        plain = plain_letters(text)
        for hit in SPRAYS.finditer(plain):
            if not NOT_SPRAYED.search(plain[: hit.start()]):
                return hit[0], bool(hit["propelled"])
    return None


def _breathed(facts: FormulaFacts, kind: Kind) -> Iterator[CheckLine]:
    said = _said_sprayed(facts)
    if SPRAY not in kind.said and not said:
        return
    by = kind.written if SPRAY in kind_of_product(facts.product_kind).said else (said or ("",))[0]
    propelled = AEROSOL in kind.said or (said is not None and said[1])
    says = t(
        (
            "It is driven out by a gas ({by}): a mist so fine is breathed in, and "
            "no limit here weighs that. The can and its gas have rules of their "
            "own, which are not held here."
        )
        if propelled
        else (
            "It is sprayed ({by}): the finest drops are breathed in, and no limit here weighs what they do to a lung."
        ),
        by=by,
    )
    yield CheckLine(
        "inhalation",
        t("What is breathed in"),
        "undecided",
        says,
        source=SPRAY_SOURCE,
        close=t(
            "Let a safety assessor weigh the drop size of this pump or can and the amount "
            "breathed in, against every ingredient; or sell it without a spray"
        ),
    )


def _nano(facts: FormulaFacts) -> Iterator[CheckLine]:
    for share in facts.shares:
        if NANO.search(plain_letters(f"{share.name} {share.label_name}")):
            says = t(
                "{about} is a nanomaterial. Size, purity and coating decide what may be done with it, and none of "
                "them can be seen here; it is notified six months before a sale, and its name ends in (nano) on the "
                "label (Regulation (EC) No 1223/2009, articles 16 and 19).",
                about=share.name,
            )
            close = t("Read its specification beside the row of the annex and let a safety assessor decide")
            yield CheckLine(f"nano/{share.name.casefold()}", share.name, "undecided", says, close=close)


def _isothiazolinones(facts: FormulaFacts) -> Iterator[CheckLine]:
    """The mixture of both does not stand beside the one alone; two lines may also be the mixture in its parts."""
    named = {one.name: share.name for share, part in parts_in(facts) for one in part.regulated}
    if MIXTURE not in named or ALONE not in named:
        return
    in_parts = squeezed(named[MIXTURE]).startswith(squeezed(OTHER_PART)) and not squeezed(
        named[MIXTURE]
    ).removeprefix(squeezed(OTHER_PART))
    says = t(
        "{mixture} may not stand beside {alone}: the mixture and the one alone exclude each other "
        "(Annex V, entries 39 and 57).",
        mixture=named[MIXTURE],
        alone=named[ALONE],
    )
    yield CheckLine(
        "isothiazolinones",
        named[ALONE],
        "undecided" if in_parts else "over",
        says,
        "limits_eu, L031",
        NITROSATING_SOURCE,
        close=t("Take one of them out; where they are the parts of the mixture, write it as one ingredient"),
    )


def _nitrosamines(facts: FormulaFacts) -> Iterator[CheckLine]:
    agents, amines = _of_side(facts, "agent"), _of_side(facts, "amine")
    if not agents or not amines:
        return
    plain = [one for one in amines if one.row["says"] == "plain"]
    standing: Standing = "over" if plain else "undecided"
    first = (plain or amines)[0]
    blanks = {
        "amines": ", ".join(dict.fromkeys(one.named for one in plain or amines)),
        "agents": ", ".join(dict.fromkeys(one.named for one in agents)),
        "place": t(
            "Annex {annex}, entry {entry}", annex=first.row.words("annex"), entry=first.row.words("entry")
        ),
    }
    yield CheckLine(
        "nitrosamines",
        t("Nitrosamines"),
        standing,
        t(
            (
                "{amines} may not stand beside {agents}: together they make "
                "nitrosamines, which cause cancer ({place}: not with nitrosating "
                "systems)."
            )
            if plain
            else (
                "{amines} may hold amines as traces, and with {agents} these make "
                "nitrosamines, which cause cancer."
            ),
            **blanks,
        ),
        f"{TABLE}, {first.row.key}",
        first.row.words("source"),
        None,
        t("Take another preservative, or another alkali or surfactant"),
    )


def _of_side(facts: FormulaFacts, side: str) -> list[_Found]:
    rows = [one for one in table(TABLE).rows if one["side"] == side]
    found = []
    for share, part in parts_in(facts):
        if share.percent == 0.0:
            continue
        names = (
            part.written,
            share.label_name,
            *(one.name for one in part.regulated),
            *((part.ingredient.name,) if part.ingredient else ()),
        )
        found += [_Found(row, share.name) for row in rows if any(_fits(row, name) for name in names)][:1]
    return found


def _fits(row: Row, name: str) -> bool:
    """Whether a name is one of a row: small letters in any writing, capitals only as they stand."""
    small, with_capitals = _names_of(row.words("words"))
    plain = _plain(name)
    fits = small.fullmatch(plain) or with_capitals.fullmatch(name.strip())
    return fits is not None and not plain.startswith("tea-tree")


@cache
def _names_of(words: str) -> tuple[re.Pattern[str], re.Pattern[str]]:
    """The names of a row without a capital, and those with one; an asterisk stands for whatever else is written."""
    names: dict[bool, list[str]] = {False: [], True: []}
    for word in words.split(";"):
        capitals = any(sign.isupper() for sign in word)
        name = word if capitals else _plain(word)
        names[capitals].append(re.escape(name).replace(r"\*", ".+" if name.startswith("*") else ".*"))
    small, with_capitals = (re.compile("|".join(one) or "(?!)") for one in names.values())
    return small, with_capitals


def _plain(name: str) -> str:
    return re.sub(r"[\s-]+", "-", name.strip().casefold())
