"""A strength as its label says it: per cent by volume at the temperature meant, or degrees of an old scale by name.

Promises one figure and the scale it is on, or a sentence at its field. A bare "proof" is asked back: there are two.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.quantities.basis import Basis
from stillroom.quantities.numbers import number_in
from stillroom.quantities.parse import parse
from stillroom.results.spirit_old_scales import NO_SHARE, SCALES, Scale, percent_on_scale

ASKED = "as asked"
USUAL = "20 °C"
_DEGREES = re.compile(r"(?P<figure>[\d.,]+)\s*°?\s*(?P<words>[A-Za-zéÉ][\w .'-]*)")
_SAID_OTHERWISE = {
    "us proof": "US proof",
    "proof us": "US proof",
    "american proof": "US proof",
    "uk proof": "UK proof",
    "proof uk": "UK proof",
    "british proof": "UK proof",
    "sikes": "UK proof",
    "sykes": "UK proof",
    "gay-lussac": "Gay-Lussac",
    "gay lussac": "Gay-Lussac",
    "gl": "Gay-Lussac",
    "tralles": "Tralles",
}


@dataclass(frozen=True, slots=True)
class OnScale:
    """A strength as stated.

    Attributes
    ----------
    percent : Answer
        By volume at the temperature the scale means. [% v/v]
    base : Answer
        That temperature. [°C]
    words : str
        "96 % v/v", "140° US proof".
    """

    percent: Answer
    base: Answer
    words: str


def names_a_scale(text: str) -> bool:
    """Whether a strength is followed by words that may be a scale, as in "140 US proof"."""
    return _DEGREES.fullmatch(text.strip()) is not None


def stated_on_a_scale(fields: Mapping[str, str]) -> OnScale:
    """The strength in "have", on the scale it names or the one in "reference".

    Parameters
    ----------
    fields : mapping of str to str

    Raises
    ------
    BadEntry
        It is no strength by volume, or on a scale that is none, or on two.
    OutsideModel
        More than the scale has.
    """
    text = fields.get("have", "").strip()
    said = fields.get("reference", "").strip()
    hit = _DEGREES.fullmatch(text)
    named = _named(hit["words"]) if hit else ""
    if named and said and _scale_name(said) != named:
        raise BadEntry(
            "A strength is on one scale",
            worded("{text!r} and {said}", text=text, said=said),
            "Leave one out",
            where="reference",
        )
    name = named or (_scale_name(said) if said else USUAL)
    scale = SCALES[name]
    base = reading(
        "temperature the label means",
        scale.base_temperature_c,
        "°C",
        scale.because or (ASKED if said else "usual"),
    )
    if scale.proof:
        figure = hit["figure"] if named and hit else text.removesuffix("°").strip()
        if "%" in figure:
            raise BadEntry(
                "Proof is counted in degrees",
                repr(text[:40]),
                'Write "140", or choose per cent',
                where="have",
            )
        degrees = reading("proof as stated", number_in(figure, where="have").value, "°", ASKED, basis=name)
        return OnScale(percent_on_scale(scale, degrees), base, f"{degrees.value:.10g}° {name}")
    figure = f"{hit['figure']} %" if named and hit else text
    percent = _by_volume(figure, text)
    words = f"{percent.value:.10g} % v/v" if not scale.because else f"{percent.value:.10g}° {name}"
    return OnScale(percent, base, words)


def _by_volume(figure: str, written: str) -> Answer:
    bare = re.fullmatch(r"[\d.,]+", figure)
    found = parse(
        f"{figure} %" if bare else figure, want="ratio", by_definition=Basis(ratio="v/v"), where="have"
    )
    if found.basis.ratio != "v/v":
        raise BadEntry(
            "A strength known by its label is v/v",
            written,
            "Write it as v/v, or choose how it is known",
            where="have",
        )
    if not 0.0 < 100 * found.fraction <= 100.0:
        raise BadEntry("A strength must lie above 0 and up to 100 %", found.in_words(), where="have")
    return reading("strength as stated", 100 * found.fraction, "%", ASKED, basis="v/v")


def _named(words: str) -> str:
    """The scale that words after a figure name; "" where they name none."""
    plain = " ".join(words.casefold().replace(".", "").split())
    if plain in _SAID_OTHERWISE:
        return _SAID_OTHERWISE[plain]
    if plain == "proof":
        raise BadEntry(
            "There are two proofs, a seventh apart",
            "proof",
            'Write "140 US proof" (70 % v/v) or "140 UK proof" (80 % v/v)',
            where="have",
        )
    _refuse_no_share(plain, "have")
    return ""


def _scale_name(said: str) -> str:
    for name in SCALES:
        if said.casefold() == name.casefold():
            return name
    _refuse_no_share(said.casefold(), "reference")
    bare = re.fullmatch(r"([\d.]+)(?:\s*°?\s*C)?", said)
    same = f"{bare[1]} °C" if bare else ""
    if same not in SCALES:
        raise BadEntry(
            worded("A label means one of {scales}", scales=", ".join(SCALES)),
            repr(said[:40]),
            "Choose one",
            where="reference",
        )
    return same


def _refuse_no_share(words: str, where: str) -> None:
    for name in NO_SHARE:
        if name.casefold() in words:
            raise BadEntry(
                worded(
                    "Degrees {called} are no share of ethanol, and no table of them is held here", called=name
                ),
                words,
                "Ask for per cent by volume with its temperature, or for the density",
                where=where,
            )


def words_of_scales() -> tuple[tuple[str, str], ...]:
    """The scales as a field offers them."""

    def told(name: str, scale: Scale) -> str:
        return name if not scale.because else f"{name}: {scale.because}"

    return tuple((name, told(name, scale)) for name, scale in SCALES.items())
