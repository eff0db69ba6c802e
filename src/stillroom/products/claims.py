"""Words on a label that promise more than a cosmetic may.

Promises to flag words, with a safer wording: a prompt to read the sentence again, never a ruling. Intended
use decides, and a text without flags is not thereby allowed.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from stillroom.products.check_lines import CheckLine
from stillroom.reference.cautions import caution_as_kept
from stillroom.reference.tables import Row, table
from stillroom.substances.ingredients import names_of_ingredients
from stillroom.substances.letters import plain_letters
from stillroom.texts.catalogue import t

TABLE = "claim_words"


@dataclass(frozen=True, slots=True)
class Flag:
    """A flagged word."""

    word: str
    """As it stands in the text."""
    claim: str
    """What it promises."""
    cosmetic_reading: str
    medicine_reading: str
    safer_wording: str
    source: str
    caution: str

    @property
    def claim_is_of_a_medicine(self) -> bool:
        """Whether a cosmetic may not promise it in any reading."""
        return self.cosmetic_reading in ("no", "biocide or drug")

    @property
    def says(self) -> str:
        """One sentence."""
        return f"{self.word!r} promises: {self.claim}. Safer: {self.safer_wording}."


def claims(text: str) -> tuple[Flag, ...]:
    """Every flagged word of a text.

    Parameters
    ----------
    text : str
        Words for a label or a page. [text]

    Returns
    -------
    tuple of Flag
        In the order of the text; one per claim. [records]

    References
    ----------
    us-drug-claims, eu-claims-655-2013
    """
    text, found = _without_ingredients(plain_letters(text)), list[tuple[int, Flag]]()
    for row, pattern in _patterns():
        hit = next(iter(_hits(row, pattern, text)), None)
        if hit is None:
            continue
        found.append(
            (
                hit.start(),
                Flag(
                    word=hit[0].strip(),
                    claim=row.key,
                    cosmetic_reading=row.words("cosmetic_reading") or "not stated",
                    medicine_reading=row.words("medicine_reading") or "not stated",
                    safer_wording=row.words("safer_wording"),
                    source=row.words("source"),
                    caution=caution_as_kept("claims").wording,
                ),
            )
        )
    return tuple(flag for _, flag in sorted(found, key=lambda one: one[0]))


def claim_lines(words: Mapping[str, str]) -> tuple[CheckLine, ...]:
    """A line for every claim in the words of a product.

    Parameters
    ----------
    words : mapping of str to str
        By where they stand: "name", "label", "claims". [text]

    Returns
    -------
    tuple of CheckLine
        Over where a cosmetic may not promise it, undecided where its reading is open. [records]
    """
    found: dict[str, CheckLine] = {}
    for where, written in words.items():
        text = _without_ingredients(plain_letters(written))
        for flag in claims(text):
            row, pattern = next(one for one in _patterns() if one[0].key == flag.claim)
            denied = all(_DENIED.search(text[: hit.start()]) for hit in _hits(row, pattern, text))
            over = flag.claim_is_of_a_medicine and not denied
            says = t(
                ("{word} ({where}) is denied there, and is read all the same: {claim}.")
                if denied
                else "{word} ({where}) promises: {claim}. A cosmetic may not."
                if over
                else ("{word} ({where}) promises: {claim}. As a cosmetic: {reading}."),
                word=repr(flag.word),
                where=where,
                claim=flag.claim,
                reading=flag.cosmetic_reading,
            )
            line = CheckLine(
                f"claim/{flag.claim}", flag.word, "over" if over else "undecided", says, f"{TABLE}, {flag.claim}",
                flag.source, None, t("Write instead: {safer}", safer=flag.safer_wording),
            )  # fmt: skip
            if flag.claim not in found or over:
                found[flag.claim] = line
    return tuple(found.values())


_DENIED = re.compile(
    r"\b(?:not|no|never|without|neither|nor|n't|cannot)\b(?:[^\w.!?;\n]+\w+){0,3}[^\w.!?;\n]*$", re.IGNORECASE
)


def _hits(row: Row, pattern: re.Pattern[str], text: str) -> list[re.Match[str]]:
    """Where a claim stands; not inside a longer wording that a cosmetic may have: "acne" in "acne-prone skin"."""
    found = list(pattern.finditer(text))
    wider = [
        hit.span()
        for other, words in (_patterns() if found else ())
        if other.words("in_place_of") == row.key
        for hit in words.finditer(text)
    ]
    return [hit for hit in found if not any(start <= hit.start() < end for start, end in wider)]


@cache
def _patterns() -> tuple[tuple[Row, re.Pattern[str]], ...]:
    made = []
    for row in table(TABLE).rows:
        words = [one.strip() for one in row.words("words").split(";") if one.strip()]
        made.append((row, re.compile("|".join(_pattern(one) for one in words), re.IGNORECASE)))
    return tuple(made)


_BAR_OF_SOAP = re.compile(
    r"\b(?:un|le|du|ce|cet|les|des|ces|en|chaque|petits?|gros|grands?|notre|votre|vos|nos)\s+pains?\b"
    r"(?!\W*(?:relie|kill|free|away|stop|remed|caus|of|and|or|in|from|gone|balm|gel|cream)\w*)"
    r"|\bpains?\s+(?:de|d['’]\w+|du|des|au|aux|[aà]|sans|pour|surgras|dermatologiques?|nettoyants?|lavants?|moussants?|"
    r"solides?|exfoliants?|gommants?|v[eé]g[eé]ta\w+|artisana\w+|doux|savon)\b",
    re.IGNORECASE,
)
"""A bar of soap in French, beside a French word: "pain" by itself, or beside an English one, is read as English."""


def _without_ingredients(text: str) -> str:
    """The text with ingredients and bars of soap blotted out: neither wheat germ oil nor "pain surgras" promises."""
    text = _BAR_OF_SOAP.sub(lambda hit: " " * len(hit[0]), text)
    named = _ingredients_that_sound_like_claims()
    return named.sub(lambda hit: " " * len(hit[0]), text) if named else text


@cache
def _ingredients_that_sound_like_claims() -> re.Pattern[str] | None:
    names = [
        one
        for one in names_of_ingredients()
        if len(one.split()) > 1 and any(pattern.search(one) for _, pattern in _patterns())
    ]
    longest_first = sorted(names, key=len, reverse=True)
    made = "|".join(r"\b" + r"[\s-]+".join(map(re.escape, one.split())) + r"\b" for one in longest_first)
    return re.compile(made, re.IGNORECASE) if made else None


def _pattern(word: str) -> str:
    """A word or phrase with its plural; a star stands for any ending, a hyphen before it for any beginning."""
    said = r"[\s-]+".join(re.escape(part).replace(r"\*", r"\w*") for part in word.split())
    if word.startswith("-"):
        return rf"\w*{said}\b"
    return rf"\b{said}" if word.endswith("*") else rf"\b{said}(?:s|es)?\b"
