"""Dose a product from an extract with nothing set up: six entries, any marker, the ceiling of the law held against it.

Promises grams the scale can show, the upper bound against the ceiling (over it nothing is dosed), what is left, the
next lot, and the tempting wrong way. Reads text as a person writes it and writes nothing.
"""

import re
from collections.abc import Mapping
from difflib import get_close_matches

from stillroom.actions.dose_unsaid import left_unsaid_of_dose
from stillroom.actions.entries_missing import refuse_missing
from stillroom.documents.asking_dose import DoseTold
from stillroom.errors import BadEntry, Phrase, UnknownName, worded
from stillroom.evidence.answer import Answer, assumed, reading, reckoned
from stillroom.products.dose import dose
from stillroom.products.dose_asked import (
    KNOWN_HOW,
    as_if_as_is,
    bulk_of_bottles,
    by_share,
    doubt_asked,
    doubt_assumed,
    left_g,
    old_weight,
    strength_asked,
)
from stillroom.products.dose_option import Meets
from stillroom.products.dose_otherwise import with_next_lot
from stillroom.products.limits import ceiling
from stillroom.quantities.basis import Basis, carrier_kind
from stillroom.quantities.entry import K_OF_A_FIELD, entry, share, sureness_of
from stillroom.quantities.fractions import mass_fraction
from stillroom.quantities.quantity import Quantity
from stillroom.records.answer_entries import LeftUnsaid
from stillroom.records.order_from_yaml import bottles
from stillroom.reference.tables import table
from stillroom.substances.markers import marker_names
from stillroom.substances.rules import rule

ENTRIES = (
    "strength", "of", "matter", "plus-minus", "measured-by", "wanted", "meets", "amount", "kind", "market", "step",
)  # fmt: skip
"""Fields of the six entries; some hold two or three."""
NEEDED: dict[str, tuple[str, str]] = {
    "strength": ("The strength of the extract is needed", "Read its certificate, or have it assayed"),
    "of": ("A strength is of something", 'Write "rosmarinic acid", or "total alkaloids as quinine"'),
    "wanted": ("What the product is to hold is needed", "Write it in % w/w"),
    "amount": ("The bulk is needed", 'Write "5 kg", or "50 x 100 mL"'),
    "kind": ("The kind of product is needed", "The law has limits by kind"),
    "step": ("The readability of the scale is needed", "It is the smallest step it shows: 0.01 g"),
}
"""Entries that must not be empty: what they must hold, and what to do."""
MATTERS = ("as is", "dried")
MEETS: dict[str, Meets] = {"about": "aim on average", "at least": "aim at least"}
HOW_SURE_PERCENT = 95.0
ASKED = "as asked"
MISSPELT, ALIKE = 0.92, 0.8
"""How alike an unknown name is to a known one when it is asked back, and when it is only told."""
_BOTTLES = re.compile(r"[^a-z]+(?:bottles?\s+of|of|[x×*])\s*.+", re.IGNORECASE)
_NOT_OF_A_NAME = re.compile(r"\([^)]*\)|\[[^\]]*\]|\b\d+(?:,\d+)*-")


def work_out_asked_dose(
    fields: Mapping[str, str],
) -> tuple[DoseTold, tuple[tuple[LeftUnsaid, float], ...]]:
    """Work a dose out from its fields.

    Parameters
    ----------
    fields : mapping of str to str
        The six entries (``ENTRIES``) and what else was said: "loss-on-drying", "density", "at-hand",
        "next-strength", "usual-share", "how-sure".

    Returns
    -------
    DoseTold, tuple of (LeftUnsaid, float)
        The dose, and what nobody said with the share of the content it moves.

    Raises
    ------
    BadEntry
        An entry is missing, or cannot be read.
    NotAllowed
        The upper bound of the content passes the ceiling of the law.
    NotEnough
        The extract at hand does not reach.
    UnknownName
        What the strength is of is misspelt.
    """
    refuse_missing(fields, NEEDED)
    counted, compound = _counted(fields)
    matter = _choice(fields, "matter", MATTERS)
    written = _strength(fields, counted, compound, matter)
    percent = 100.0 * mass_fraction(written)
    of_extract = Basis("w/w", counted, compound, "dried" if matter == "dried" else "as is", "extract")
    strength = strength_asked(percent, of_extract.in_words(), _doubt(fields, written))
    aim = reading(
        "aim",
        _percent(fields, "wanted"),
        "%",
        ASKED,
        basis=Basis("w/w", counted, compound, "as is", "product").in_words(),
    )
    meets = MEETS[_choice(fields, "meets", tuple(MEETS))]
    bulk, units = _bulk(fields)
    step = reading(
        "readability of the scale", _grams(fields, "step", "The readability of the scale"), "g", ASKED
    )
    kind, market = _needed(fields, "kind", "The kind of product"), fields.get("market", "") or "EU"
    limit = ceiling(compound if counted == compound else f"{counted} as {compound}", kind, market)
    drying = _loss_on_drying(fields) if matter == "dried" else None
    at_hand = (
        reading("extract at hand", _grams(fields, "at-hand", "The extract at hand"), "g", ASKED)
        if fields.get("at-hand")
        else None
    )
    found = dose(
        strength,
        bulk,
        aim,
        scale_step=step,
        product_type=kind,
        substance=compound,
        market=market,
        limit=limit,
        loss_on_drying=drying,
        available=at_hand,
        units=units,
        meets=meets,
        how_sure_percent=_how_sure(fields),
    )
    as_is = found.strength.answer
    other = _next_strength(fields, as_is, aim)
    next_lot = with_next_lot(other, None, aim, bulk, step, found.mass)
    tempting = []
    if matter == "dried":
        tempting.append(as_if_as_is(strength, as_is, aim, bulk, step, limit))
    if fields.get("usual-share"):
        share = reading("usual share of extract", _percent(fields, "usual-share"), "%", ASKED)
        tempting.append(by_share(share, as_is, bulk, aim.basis, limit))
    tempting.append(old_weight(found.mass, other, aim, bulk, limit))
    left = (
        reckoned(
            "extract left", left_g, unit="g", inputs={"available_mass_g": at_hand, "dose_mass_g": found.mass},
            says="what is at hand, less the dose",
        )
        if at_hand
        else None
    )  # fmt: skip
    told = DoseTold(
        found=found,
        bulk=bulk,
        of=compound if counted == compound else f"{counted} as {compound}",
        kind=kind,
        market=market,
        left=left,
        next_lot=next_lot,
        next_said=bool(fields.get("next-strength")),
        like=_like(compound, ALIKE),
        tempting=tuple(tempting),
        units=units,
    )
    return told, left_unsaid_of_dose(found, fields, bulk, meets, other)


def _counted(fields: Mapping[str, str]) -> tuple[str, str]:
    """What is counted, and the compound it is reckoned as: "total alkaloids as quinine", "rosmarinic acid"."""
    said = " ".join(_needed(fields, "of", "What the strength is of").split())
    counted, _, compound = said.partition(" as ")
    names = [_spoken(one) for one in (counted, compound or counted)]
    if not all(re.search(r"[^\W\d_]", one) for one in names):
        raise BadEntry(
            "A strength is of a named compound", repr(said[:40]), 'Write "rosmarinic acid"', where="of"
        )
    like = _like(names[1], MISSPELT)
    if like:
        raise UnknownName(
            worded("{names!r} is not known here, and a rule of another name would be missed", names=names[1]),
            do=worded("Did you mean {like!r}?", like=like),
            where="of",
        )
    return names[0], names[1]


def _like(name: str, how_alike: float) -> str:
    """A known name that is spelt almost like one that is not known, "" where there is none."""
    known = {_spoken(one).casefold() for one in marker_names()}
    for one in table("limits_eu").rows:
        known |= {
            re.split(r" and | \(|,", part)[0].strip().casefold() for part in one.words("substance").split(";")
        }
    folded = name.casefold()
    near = [] if folded in known else get_close_matches(folded, sorted(known), n=1, cutoff=how_alike)
    return near[0] if near else ""


def _spoken(name: str) -> str:
    """A compound's name without the signs of its form: "(-)-menthol" is counted as menthol."""
    return _NOT_OF_A_NAME.sub("", name).strip(" -")


def _strength(fields: Mapping[str, str], counted: str, compound: str, matter: str) -> Quantity:
    """The strength as it was written; what it says of itself must not contradict the other fields."""
    written = _content(fields, "strength", sure_allowed=True)
    basis = written.basis
    said = {
        "of": (basis.of, counted),
        "of ": (basis.reckoned_as, compound),
        "matter": (basis.matter, matter),
        "strength": (carrier_kind(basis.carrier), "extract"),
    }
    for field, (here, there) in said.items():
        if here is not None and _spoken(here).casefold() != there.casefold():
            raise BadEntry(
                "A strength is of one thing, on one basis",
                worded(
                    "{here} in {text!r}, and {there} beside it",
                    here=here,
                    text=fields["strength"][:60],
                    there=there,
                ),
                "Say it once",
                where=field.strip(),
            )
    return written


def _doubt(fields: Mapping[str, str], written: Quantity) -> Answer:
    half = sureness_of(written, fields.get("plus-minus", ""), "%", where="plus-minus")
    if half:
        return doubt_asked(half, K_OF_A_FIELD)
    how = _choice(fields, "measured-by", tuple(KNOWN_HOW), otherwise="not known")
    return doubt_assumed(how, 100.0 * mass_fraction(written))


def _bulk(fields: Mapping[str, str]) -> tuple[Answer, int]:
    text = _needed(fields, "amount", "The bulk")
    if _BOTTLES.fullmatch(text):
        units, each_ml = bottles(text, "amount")
        return bulk_of_bottles(units, each_ml, _density(fields)), units
    written = entry(text, want=("mass", "volume"), where="amount")
    if written.dimension == "volume":
        return bulk_of_bottles(1, written.in_unit("mL"), _density(fields)), 0
    return reading("bulk", written.in_unit("g"), "g", ASKED), 0


def _density(fields: Mapping[str, str]) -> float | None:
    text = fields.get("density", "")
    if not text:
        return None
    value = entry(text, "g/mL", where="density").in_unit("g/mL")
    if not 0.5 <= value <= 2.0:
        raise BadEntry(
            "A bulk weighs from 0.5 to 2 g/mL", repr(text.strip()[:40]), "Look at the point", where="density"
        )
    return value


def _loss_on_drying(fields: Mapping[str, str]) -> Answer:
    if fields.get("loss-on-drying"):
        return reading("loss on drying of the extract", _percent(fields, "loss-on-drying"), "%", ASKED)
    usual, limits = rule("extract-loss-on-drying").value, rule("extract-loss-on-drying-limits").value
    return assumed(
        "loss on drying of the extract",
        usual,
        "%",
        "usual for a dry extract; nobody dried this one",
        standard_uncertainty=limits / 3.0**0.5,
    )


def _next_strength(fields: Mapping[str, str], as_is: Answer, aim: Answer) -> Answer:
    """The next lot's strength: as said, else a quarter weaker, or a quarter stronger where weaker could not do."""
    if fields.get("next-strength"):
        said = _percent(fields, "next-strength")
        if said < aim.value:
            raise BadEntry(
                "A product cannot be stronger than its extract",
                worded("aim {aim:g} %, next lot {said:g} %", aim=aim.value, said=said),
                "Leave the next lot out, or look at its strength",
                where="next-strength",
            )
        return reading(
            "strength of the next lot", said, "%", ASKED, basis=as_is.basis,
            standard_uncertainty=as_is.standard_uncertainty,
        )  # fmt: skip
    share = rule("next-lot-share").value / 100.0
    weaker = as_is.value * share > aim.value
    return assumed(
        "strength of the next lot",
        as_is.value * (share if weaker else 2.0 - share),
        "%",
        f"an example, a quarter {'weaker' if weaker else 'stronger'}: lots of one plant differ by more",
        basis=as_is.basis,
        standard_uncertainty=as_is.standard_uncertainty,
    )


def _how_sure(fields: Mapping[str, str]) -> float:
    text = fields.get("how-sure", "")
    return 100.0 * share(text, where="how-sure") if text else HOW_SURE_PERCENT


def _percent(fields: Mapping[str, str], name: str) -> float:
    return 100.0 * mass_fraction(_content(fields, name), where=name)


def _content(fields: Mapping[str, str], name: str, *, sure_allowed: bool = False) -> Quantity:
    labels = {"strength": "The strength of the extract", "wanted": "What the product is to hold"}
    text = _needed(fields, name, labels.get(name, name.replace("-", " ").capitalize()))
    written = entry(
        text,
        "%",
        by_definition=Basis(ratio="w/w"),
        zero_allowed=name == "loss-on-drying",
        sure_allowed=sure_allowed,
        where=name,
    )
    if written.basis.ratio != "w/w":
        raise BadEntry(
            "A content is w/w here: grams in 100 g", repr(text[:40]), "Write it as w/w", where=name
        )
    return written


def _grams(fields: Mapping[str, str], name: str, what: str) -> float:
    return entry(_needed(fields, name, what), "g", where=name).in_unit("g")


def _choice(fields: Mapping[str, str], name: str, known: tuple[str, ...], *, otherwise: str = "") -> str:
    said = fields.get(name, "") or otherwise or known[0]
    if said not in known:
        raise BadEntry(
            worded(
                "{called} is one of {known}",
                called=name.replace("-", " ").capitalize(),
                known=", ".join(known),
            ),
            repr(said[:40]),
            where=name,
        )
    return said


def _needed(fields: Mapping[str, str], name: str, what: str) -> str:
    text = fields.get(name, "").strip()
    if not text:
        raise BadEntry(worded("{what} is needed", what=Phrase(what)), "nothing", "Fill it in", where=name)
    return text
