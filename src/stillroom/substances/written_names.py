"""What a person wrote as an ingredient: which substance, at what strength, or which parts of a mixture.

Promises that capitals, hyphens, grades ("powder", "USP"), brackets and a stated strength do not hide a substance, and
that a name nobody knows here is told as unknown with the nearest one. Reads names only: what a lot holds is assayed.
"""

import re
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache, lru_cache

from stillroom.errors import UnknownName
from stillroom.substances.ingredients import Ingredient, known_ingredient, names_of_ingredients
from stillroom.substances.other_languages import alike_in_english, in_english
from stillroom.substances.own import NOTHING, Own, knowing, own, own_ingredient, own_plant_of
from stillroom.substances.regulated import (
    Regulated,
    names_of_regulated,
    regulated,
    salt_of_regulated,
    squeezed,
)

ALIKE = 0.86
"""How alike an unknown name is to a known one when it is taken for a slip of the pen."""
_GRADES = frozenset(
    re.findall(
        r"\w+",
        "powder powdered powders granules granular granulated flakes crystals crystalline crystal pellets "
        "beads pearls prills pure purified usp bp ep nf ph eur pharm pharma pharmaceutical cosmetic "
        "technical analytical reagent food grade quality fine finely ground natural organic bio refined "
        "unrefined raw virgin extra cold pressed deodorised deodorized bleached vegetable certified "
        "fairtrade solid liquid melted warm hot fresh dried local own house preservative emulsifier golden "
        "clear fcf furocoumarin essential standardised standardized chelator thickener humectant active "
        "solution soln sol veg rectified loose aqueous aq plain concentrated conc distilled steam",
    )
)
_WATER_OF_CRYSTALS = re.compile(
    r"\b(?:anhydrous|(?:mono|di|tri|penta|hexa|hepta|deca)?hydrate)\b", re.IGNORECASE
)
_STRENGTH = re.compile(
    r"(?:\b(?P<bound>at|about|ca\.?|min\.?|max\.?)\s+)?(?:\d+(?:[.,]\d+)?\s*(?:-|–|to)\s*)?(?P<most>\d+(?:[.,]\d+)?)\s*"
    r"(?:%|per ?cent|pct)(?:\s*(?:w/w|w/v|v/v|m/m|by mass|by weight|by volume|abv))?",
    re.IGNORECASE,
)
_JOINED = re.compile(
    r"\s*(?:\+|;|&|,(?=\s)|\s/\s|\(\s*and\s*\)|\band\b(?!(?<=leaf and) flower\b)|\bwith\b|\bin\b)\s*",
    re.IGNORECASE,
)
_MADE_BY = re.compile(
    r"(?<=extract), (?:macerated|percolated|infused|under reflux|by soxhlet)\s*$", re.IGNORECASE
)
"""The way behind the name of what a starter makes: it names no second substance."""
_SLASH = re.compile(r"(?<=[A-Za-z])/(?=[A-Za-z])")
_BRACKET = re.compile(r"[(\[]([^)\]]*)[)\]]")
_PREPARATION = re.compile(
    r"\b(?:tincture|glycerite|infusion|decoction|infused oil|glycerol extract|"
    r"fluid ?extract|hydroglycolic extract|dry extract|co2 extract|maceration)\b",
    re.IGNORECASE,
)
_PLANT_PART = re.compile(
    r"\b(?:leaf|leaves|root|flowers?|bark|herb|seeds?|fruit|berry|berries|rhizome|tops?)\b", re.IGNORECASE
)
_SHORT = (
    (re.compile(r"\bvit\.?\s*(?=[A-K]\d{0,2}\b)", re.IGNORECASE), "vitamin "),
    (re.compile(r"\b(?:EO|E\.O\.|ess\.? oil)(?!\w)"), "oil"),
    (re.compile(r"\bextr?\.?(?=$|[\s,(])", re.IGNORECASE), "extract"),
)
"""What a person writes short: "vit. E", "tea tree EO", "chamomile ext."."""
_RATIO = re.compile(r"[\s(]+\d+(?:\.\d+)?(?:\s*[:/]\s*\d+(?:\.\d+)?)+\s*\)?\s*$")
_UNCLOSED = re.compile(r"\s*[(\[][^)\]]*$")
_GRADE_NUMBER = re.compile(r"(?:\d+(?:[.,]\d+)?(?:m?iu(?:/g)?|cst|x|:1)?|m?iu(?:/g)?|cst|iu)", re.IGNORECASE)
_VOLUME_STRENGTH = re.compile(r"\b\d+\s*vol(?:ume)?s?\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class WrittenPart:
    """One substance of what was written.

    ``low_share``, ``high_share``: of what was written, between 0 and 1. [g/g]
    """

    written: str
    """The words that name it."""
    regulated: tuple[Regulated, ...]
    """What a rule may name; two where the water of a salt is left open."""
    ingredient: Ingredient | None
    """What the list of ingredients knows."""
    low_share: float = 1.0
    high_share: float = 1.0
    strength_said: bool = False
    """Whether its strength was written."""
    like: str = ""
    """A known name spelt almost like it, where it is not known; "" where there is none."""

    @property
    def known(self) -> bool:
        """Whether anything here knows the name."""
        return bool(self.regulated) or self.ingredient is not None


def parts_of(written: str) -> tuple[WrittenPart, ...]:
    """The substances of an ingredient as a person wrote it.

    Parameters
    ----------
    written : str
        "sodium benzoate powder", "Lactic Acid 80 %", "phenoxyethanol 90 % + ethylhexylglycerin 10 %". [text]

    Returns
    -------
    tuple of WrittenPart
        One for a single substance; the parts of a mixture otherwise. [records]
    """
    return _kept_parts(written, own())


@lru_cache(maxsize=4096)
def _kept_parts(written: str, _own: Own) -> tuple[WrittenPart, ...]:
    return _parts_of(written)


def _parts_of(written: str) -> tuple[WrittenPart, ...]:
    written = _MADE_BY.sub("", written)
    whole = _known(written)
    if whole is None:
        for short, long in _SHORT:
            written = short.sub(long, written)
    if whole is not None and not _STRENGTH.search(written):
        return (whole,)
    pieces = [one for one in _JOINED.split(written) if one.strip(" ,;/")]
    if len(pieces) == 1:
        pieces = _slashed(written) or pieces
    named = _by_ratio([one for one in pieces if _without_grades(_STRENGTH.sub(" ", one))])
    alone = _single(written)
    if len(named) < 2 or (alone.known and squeezed(alone.written) == squeezed(_STRENGTH.sub(" ", written))):
        return (alone if alone.known or len(named) != 1 else _single(" ".join(pieces)),)
    return _mixture(named)


def _slashed(written: str) -> list[str]:
    """The parts of "phenoxyethanol/ethylhexylglycerin (90/10)", where each of them is known and the whole is not."""
    pieces = _SLASH.split(written)
    plain = [_RATIO.sub("", one) for one in pieces]
    if (
        len(pieces) < 2
        or _single(_RATIO.sub("", written)).known
        or not all(_single(one).known for one in plain)
    ):
        return []
    return pieces


def _by_ratio(pieces: list[str]) -> list[str]:
    """The parts with their shares where the last one ends in them: "phenoxyethanol and ethylhexylglycerin 90:10"."""
    ratio = _RATIO.search(pieces[-1]) if len(pieces) > 1 else None
    shares = [float(one) for one in re.findall(r"\d+(?:\.\d+)?", ratio[0])] if ratio else []
    if ratio is None or len(shares) != len(pieces) or not sum(shares):
        return pieces
    bare = [*pieces[:-1], pieces[-1][: ratio.start()]]
    whole = sum(shares)
    return [f"{one} {100.0 * share / whole:.6g} %" for one, share in zip(bare, shares, strict=True)]


def ingredient_as_written(written: str, label_name: str = "") -> Ingredient:
    """The ingredient of what was written, a mixture or an unknown name too.

    Parameters
    ----------
    written : str
        As a formula names it. [text]
    label_name : str
        Name on the list of ingredients, where one is written. [text]

    Returns
    -------
    Ingredient
        What is known of it; an unknown name stands as it was written, and its limits are then undecided. [record]

    Raises
    ------
    UnknownName
        The name is spelt almost like a known one; the nearest is offered.
    """
    known_or_refused(written)
    parts = parts_of(written)
    names = dict.fromkeys(_label_name(one) for one in parts)
    said = label_name or ", ".join(names)
    if len(parts) == 1 and parts[0].ingredient is not None:
        return parts[0].ingredient
    source = "common-practice" if all(one.known for one in parts) else ""
    return Ingredient(written, said, "", "", source)


def _label_name(part: WrittenPart) -> str:
    if part.ingredient is not None:
        return part.ingredient.label_name
    return part.regulated[0].label_name if part.regulated else part.written


def known_or_refused(written: str) -> None:
    """Refuse a name that is spelt almost like a known one: its rule would be missed.

    Parameters
    ----------
    written : str
        As a formula names it. [text]

    Raises
    ------
    UnknownName
        A slip of the pen; the nearest names are offered.
    """
    for part in parts_of(written):
        if not part.known and part.like:
            raise UnknownName.among(part.written, "an ingredient", (part.like,))


def _mixture(pieces: list[str]) -> tuple[WrittenPart, ...]:
    parts = [_single(one) for one in pieces]
    said = sum(one.high_share for one in parts if one.strength_said)
    left = max(0.0, 1.0 - said)
    silent = [one for one in parts if not one.strength_said]
    return tuple(
        part
        if part.strength_said
        else WrittenPart(
            part.written,
            part.regulated,
            part.ingredient,
            left if len(silent) == 1 and said else 0.0,
            left,
            bool(said) and len(silent) == 1,
            part.like,
        )
        for part in parts
    )


def _single(written: str) -> WrittenPart:
    told, found = _STRENGTH.search(written), _known(written)
    if told is None and found is not None:
        return found
    if told is not None:
        rest = _UNCLOSED.sub("", f"{written[: told.start()]} {written[told.end() :]}".strip(" ,()"))
        share = float(told["most"].replace(",", ".")) / 100.0
        bare = _known(rest) or _graded(rest)
        if bare is not None and (told["bound"] or "").casefold().startswith("max"):
            return replace(bare, low_share=0.0)
        if bare is not None and 0.0 < share <= 1.0:
            return WrittenPart(bare.written, bare.regulated, bare.ingredient, share, share, True)
        written = rest if found is None and rest else written
    found = found or _graded(written)
    if found is not None:
        return found
    return WrittenPart(written.strip(), (), None, like=_nearest(written))


def _graded(written: str) -> WrittenPart | None:
    """A name without the words of its grade, or what its bracket says."""
    outside = " ".join(_BRACKET.sub(" ", written).split())
    plain = _without_grades(outside)
    as_extract = _PREPARATION.sub("extract", plain)
    without_part = _PLANT_PART.sub(" ", as_extract) if as_extract.casefold().endswith("extract") else plain
    dry = _WATER_OF_CRYSTALS.sub(" ", plain)
    no_grade = " ".join(one for one in plain.split() if not _GRADE_NUMBER.fullmatch(one))
    words = outside.split()
    tries = (
        outside,
        *(
            " ".join(one)
            for one in (words[1:], words[:-1])
            if len(words) - len(_without_grades(outside).split()) > 1
        ),
        _without_grades(written),
        plain,
        no_grade,
        dry,
        as_extract,
        without_part,
        *_BRACKET.findall(written),
    )
    for one in tries:
        found = _known(one) or _known(_without_grades(one))
        if found is not None:
            return found
    return _of_own_plant(written) or next(map(_as_salt, filter(salt_of_regulated, tries)), None)


def _as_salt(name: str) -> WrittenPart:
    return WrittenPart(name, salt_of_regulated(name), None)


def _of_own_plant(written: str) -> WrittenPart | None:
    """An extract of a plant of one's own; what the law says about that plant is asked by its names elsewhere."""
    found = own_plant_of(_PREPARATION.sub("extract", _BRACKET.sub(" ", written)))
    if found is None:
        return None
    plant, where = found
    return WrittenPart(
        written.strip(), (), Ingredient(written, plant.label_name or written, "", "", where.where)
    )


def _without_grades(written: str) -> str:
    words = [
        one
        for one in re.split(r"[\s,()\[\]®™]+", written)
        if one and one.casefold().strip(".-") not in _GRADES
    ]
    return " ".join(words)


def _known(written: str) -> WrittenPart | None:
    name = written.strip(" ,.;:")
    if not name:
        return None
    ruled = regulated(name)
    listed = known_ingredient(name) or known_ingredient(_squeezed_ingredients().get(squeezed(name), ""))
    if not ruled and listed is not None:
        ruled = regulated(listed.name) or regulated(listed.label_name) or _ruled_own(name)
    if not ruled and listed is None:
        return _said_otherwise(name)
    return WrittenPart(name, ruled, listed, strength_said=bool(_VOLUME_STRENGTH.search(name)))


def _ruled_own(name: str) -> tuple[Regulated, ...]:
    """What a rule names of an ingredient of one's own: by any name or number it was stated with, in any language."""
    mine = own_ingredient(name)
    if mine is None:
        return ()
    for one in (mine[0].cas, mine[0].name, mine[0].label_name, *mine[0].also_called):
        found = regulated(one) or tuple(
            ruled for part in _by_tables(one) for ruled in part.regulated if part.high_share > 0
        )
        if found:
            return found
    return ()


def _by_tables(name: str) -> tuple[WrittenPart, ...]:
    with knowing(lambda: NOTHING):
        return _parts_of(name) if name else ()


def _said_otherwise(name: str) -> WrittenPart | None:
    """A name in another language, where all that it may stand for is one thing."""
    plainly = dict.fromkeys((name, *(_without_grades(one) for one in in_english(name))))
    said = next(filter(None, (alike_in_english(one, _every_name) for one in plainly)), ())
    found = [one for one in (_known(each) for each in said) if one is not None]
    one_thing = {one.regulated or (one.ingredient and one.ingredient.name) for one in found}
    return found[0] if len(one_thing) == 1 else None


def _every_name() -> tuple[str, ...]:
    return (*names_of_regulated(), *names_of_ingredients())


@cache
def _squeezed_ingredients() -> dict[str, str]:
    return {squeezed(one): one for one in reversed(names_of_ingredients())}


def _nearest(written: str) -> str:
    near = get_close_matches(squeezed(written), list(_squeezed_names()), n=1, cutoff=ALIKE)
    return _squeezed_names()[near[0]] if near else ""


@cache
def _squeezed_names() -> dict[str, str]:
    return {squeezed(one): one for one in (*names_of_regulated(), *names_of_ingredients()) if len(one) > 5}
