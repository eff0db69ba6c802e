"""Words a person writes for the strength of a spirit, read as a ``Strength``.

Reads "96.0 % v/v at 20 °C", "93.8 % w/w", "50 % w/v", "83 % v/v at 31 °C by alcoholometer", "0.8075 g/mL at 25 °C",
"140 US proof". What stands in the words and what a field beside them says must agree, or both are asked back.
"""

import re

from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.quantities.basis import Basis
from stillroom.quantities.entry import entry
from stillroom.quantities.numbers import NUMBER, cleaned, number_in
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.strengths import SCALES, USUAL_C, WAYS, Scale, Strength, Way
from stillroom.quantities.units import Ratio

NO_SHARE = ("Cartier", "Baumé", "Beck", "Richter", "Stoppani")
"""Scales whose degrees are no share of ethanol by volume: refused by name."""
WAY_WORDS: dict[str, Way] = {
    "label": "label", "its label": "label", "certificate": "certificate", "its certificate": "certificate",
    "mass": "certificate", "alcoholometer": "alcoholometer", "density": "density", "hydrometer": "density",
    "bottle": "bottle", "bottle and scale": "bottle",
}  # fmt: skip
"""How a strength is known, as a person says it."""
_BY = re.compile(r"^(.+?),?\s+by\s+(?!(?:mass|weight|volume)\b)([a-z][a-z ]*)$", re.IGNORECASE)
_AT = re.compile(rf",?\s*(?:\b(?:at|à)\s+|@\s*)({NUMBER})\s?(°\s?[CF]|º[CF]|℃|℉|[CFK])(?!\w)", re.IGNORECASE)
_DOUBT = re.compile(
    rf"\s*(?:±|\+/[-−]|\+[-−])\s*({NUMBER})\s*(?:\(\s*(k\s*=\s*{NUMBER}|tolerance)\s*\))?", re.IGNORECASE
)
_TOLERANCE = re.compile(r"\(\s*tolerance\s*\)", re.IGNORECASE)
_DEGREES = re.compile(rf"(?P<figure>{NUMBER})\s*°?\s*(?P<words>[A-Za-zéÉ][\w .'-]*)")
_PROOF_FIRST = re.compile(rf"^(US|UK|American|British)\s+({NUMBER})\s*°?\s*proof\b", re.IGNORECASE)
_SAID_OTHERWISE = {
    "us proof": "US proof", "proof us": "US proof", "american proof": "US proof",
    "uk proof": "UK proof", "proof uk": "UK proof", "british proof": "UK proof",
    "sikes": "UK proof", "sykes": "UK proof",
    "gay-lussac": "Gay-Lussac", "gay lussac": "Gay-Lussac", "gl": "Gay-Lussac", "tralles": "Tralles",
}  # fmt: skip


def read_strength(
    text: str,
    *,
    known_by: str = "",
    read_at_c: float | None = None,
    otherwise_at_c: float | None = None,
    means: str = "",
    bare_ratio: Ratio | None = None,
    where: str = "",
) -> Strength:
    """Read the strength of a spirit.

    Parameters
    ----------
    text : str
        As written. [text]
    known_by : str
        How it is known, where a field beside it says so; "mass" is a certificate by mass. [text]
    read_at_c : float or None
        Temperature of the reading, where a field beside it says so. [°C]
    otherwise_at_c : float or None
        Temperature of the reading where neither the words nor a field say one. [°C]
    means : str
        What a label means, where a field beside it says so: one of ``SCALES``. [text]
    bare_ratio : {"w/w", "w/v", "v/v"} or None
        Ratio printed beside the field, for a figure without one; asked back without it. [text]
    where : str
        File, line or field, for the error. [text]

    Returns
    -------
    Strength
        With everything that was said of it.

    Raises
    ------
    BadEntry
        It is no strength, lacks what it refers to, or says one thing twice and differently.
    """
    try:
        return _read(cleaned(text), text, known_by, read_at_c, otherwise_at_c, means, bare_ratio)
    except StillroomError as error:
        raise error.at(error.where or where) from None


def _read(
    words: str,
    text: str,
    known_by: str,
    read_at_c: float | None,
    otherwise_at_c: float | None,
    means: str,
    bare_ratio: Ratio | None,
) -> Strength:
    words, at_c = _take_temperature(_PROOF_FIRST.sub(r"\2 \1 proof", words))
    words, way = _take_way(words, known_by)
    with_doubt = words
    within_limits = bool(_TOLERANCE.search(words))
    words, u = _take_doubt(words)
    name = scale_of(words, means)
    scale = SCALES.get(name)
    hit = _DEGREES.fullmatch(words)
    if scale is not None and scale.proof:
        figure = hit["figure"] if hit else words.removesuffix("°").strip()
        if "%" in figure:
            raise BadEntry("Proof is counted in degrees", repr(text[:40]), 'Write "140", or choose per cent')
        _refuse_two(at_c, scale.base_temperature_c, text)
        return Strength(
            number_in(figure).value,
            "°",
            None,
            way or "label",
            scale.base_temperature_c,
            name,
            u,
            as_written=text,
            within_limits=within_limits,
        )
    if scale is not None and scale.because:
        with_doubt = f"{hit['figure']} % v/v" if hit and _named(hit["words"], hit["figure"]) else with_doubt
    ratio: Ratio | None = "w/w" if known_by == "mass" else bare_ratio
    written = _quantity(with_doubt, words, "v/v" if scale else ratio, density=way in ("density", "bottle"))
    if with_doubt != words and written.standard_uncertainty is not None:
        u = written.standard_uncertainty
    if scale is not None and written.basis.ratio == "w/w":
        raise BadEntry(
            "A strength by mass means no volumes, so no temperature and no scale",
            worded("{text!r} and {scale}", text=text[:60], scale=name),
            "Leave one out",
            where="reference",
        )
    if written.basis.reference_temperature_c is not None:
        raise BadEntry("A strength has one temperature", repr(text[:60]), "Leave one out")
    if known_by == "mass" and written.basis.ratio != "w/w":
        raise BadEntry("A certificate by mass is w/w", text, "Write it as w/w, or choose how it is known")
    is_density = written.dimension == "density"
    found = written.to("g/mL") if is_density else written
    value, unit = (found.value, "g/mL") if is_density else (100.0 * found.fraction, "%")
    way = way or ("density" if is_density else "label")
    temperature, said = _temperature(way, found, at_c, read_at_c, otherwise_at_c, scale, text)
    return Strength(
        value, unit, found.basis.ratio, way, temperature, name if scale and scale.because else "",
        None if u is None else u * value / written.value, said, text, written.unit, within_limits,
    )  # fmt: skip


def refuse_silent(text: str, *, where: str) -> None:
    """Refuse a bare figure where no ratio is printed beside it: "45 %" may be by volume or by mass.

    Parameters
    ----------
    text : str
        As written. [text]
    where : str
        Option or field. [text]

    Raises
    ------
    BadEntry
        It says no ratio.
    """
    figure = re.fullmatch(rf"\s*({NUMBER})\s?(?:%|per cent)?\s*", text, re.IGNORECASE)
    if figure:
        raise BadEntry(
            "A strength says its basis",
            repr(text.strip()[:40]),
            worded("Write {figure} % v/v or {figure} % w/w", figure=figure[1]),
            where=where,
        )


def scale_of(words: str, means: str = "") -> str:
    """The scale a strength is on: named in its words, or in a field beside them; "" where neither names one.

    Parameters
    ----------
    words : str
        "140 US proof", "96 % v/v". [text]
    means : str
        "US proof", "15.56 °C"; "" where nobody said. [text]

    Raises
    ------
    BadEntry
        Both name one and they differ, or a scale is no share of ethanol, or a bare "proof".
    """
    hit = _DEGREES.fullmatch(words)
    named = _named(hit["words"], hit["figure"]) if hit else ""
    said = _scale_name(means) if means else ""
    if named and said and named != said:
        raise BadEntry(
            "A strength is on one scale",
            worded("{text!r} and {said}", text=words, said=means),
            "Leave one out",
            where="reference",
        )
    return named or said


def _take_way(words: str, known_by: str) -> tuple[str, Way | None]:
    """The words without how it is known, and that; said once or twice alike."""
    said = _way(known_by, "known-by") if known_by else None
    hit = _BY.match(words)
    if hit is None:
        return words, said
    in_words = _way(hit[2].casefold(), "")
    if said and said != in_words:
        raise BadEntry(
            "A strength is known in one way",
            worded("{text!r} and {said}", text=words[:60], said=known_by),
            "Leave one out",
            where="known-by",
        )
    return hit[1], in_words


def _way(words: str, where: str) -> Way:
    if words not in WAY_WORDS:
        raise BadEntry(
            worded("A strength is known by one of {known_by}", known_by=", ".join(WAYS)),
            repr(words[:40]),
            "Name one",
            where=where,
        )
    return WAY_WORDS[words]


def _take_temperature(words: str) -> tuple[str, float | None]:
    hit = _AT.search(words)
    if hit is None:
        return words, None
    at_c = entry(f"{hit[1]} {hit[2]}", "°C").in_unit("°C")
    return " ".join(f"{words[: hit.start()]} {words[hit.end() :]}".split()), at_c


def _take_doubt(words: str) -> tuple[str, float | None]:
    """The words without their ±, and one standard deviation in the unit of the figure; a bare ± has k = 2."""
    hit = _DOUBT.search(words)
    if hit is None:
        return words, None
    half = number_in(hit[1]).value
    if not half > 0.0:
        raise BadEntry("A doubt lies above zero", hit[0].strip(), "Nothing is known exactly")
    width = (hit[2] or "k = 2").casefold()
    divided_by = 3.0**0.5 if width == "tolerance" else number_in(width.partition("=")[2].strip()).value
    return " ".join(f"{words[: hit.start()]} {words[hit.end() :]}".split()), half / divided_by


def _quantity(with_doubt: str, words: str, bare_ratio: Ratio | None, *, density: bool = False) -> Quantity:
    """A content or a density; a figure alone takes the unit printed beside its field."""
    printed = "g/mL" if density else "%" if bare_ratio else ""
    figure_only = re.fullmatch(rf"{NUMBER}\s?(?:%|per cent)?", words, re.IGNORECASE)
    alone = Basis(ratio=bare_ratio) if bare_ratio and figure_only else None
    found = entry(
        with_doubt,
        printed,
        want=("ratio", "density"),
        by_definition=alone,
        sure_allowed=True,
        zero_allowed=True,
    )
    if found.basis.of is not None and found.basis.of.casefold() not in ("ethanol", "alcohol", "spirit"):
        raise BadEntry("A strength of spirit counts ethanol", repr(words[:60]), "Leave the other words out")
    return found


def _temperature(
    way: Way,
    found: Quantity,
    at_c: float | None,
    read_at_c: float | None,
    otherwise_at_c: float | None,
    scale: Scale | None,
    text: str,
) -> tuple[float | None, bool]:
    """The temperature a strength refers to, and whether anybody said it."""
    if way in ("label", "certificate"):
        if read_at_c is not None:
            raise BadEntry(
                "A label or a certificate is not read at a temperature",
                worded("{text!r} and {read:g} °C", text=text[:60], read=read_at_c),
                "Leave it out, or say that an alcoholometer was read",
                where="read-at",
            )
        if found.basis.ratio == "w/w":
            return None, True
        if scale is not None:
            _refuse_two(at_c, scale.base_temperature_c, text)
            return scale.base_temperature_c, True
        return (USUAL_C, False) if at_c is None else (at_c, True)
    if scale is not None:
        raise BadEntry(
            "Only a label or a certificate means its volumes at a temperature",
            text,
            "Say at what temperature it was read",
            where="reference",
        )
    if at_c is not None and read_at_c is not None:
        _refuse_two(at_c, read_at_c, text)
    said_c = at_c if at_c is not None else read_at_c
    return (otherwise_at_c, False) if said_c is None else (said_c, True)


def _refuse_two(in_words_c: float | None, beside_c: float, text: str) -> None:
    if in_words_c is not None and abs(in_words_c - beside_c) > 0.01:
        raise BadEntry(
            "A strength has one temperature",
            worded("{text!r} and {beside:.4g} °C", text=text[:60], beside=beside_c),
            "Leave one out",
        )


def _named(words: str, figure: str) -> str:
    """The scale that words after a figure name; "" where they name none."""
    plain = " ".join(words.casefold().replace(".", "").split())
    if plain in _SAID_OTHERWISE:
        return _SAID_OTHERWISE[plain]
    if plain == "proof":
        raise BadEntry(
            "There are two proofs, a seventh apart",
            repr(f"{figure} {words}"),
            'Write "140 US proof" (70 % v/v) or "140 UK proof" (80 % v/v)',
        )
    _refuse_no_share(plain, "")
    return ""


def _scale_name(said: str) -> str:
    for name in SCALES:
        if said.casefold() == name.casefold():
            return name
    _refuse_no_share(said.casefold(), "reference")
    at_c = entry(said, "°C", where="reference").in_unit("°C") if re.match(NUMBER, said) else None
    plain = (name for name, one in SCALES.items() if not one.because)
    same = next(
        (n for n in plain if at_c is not None and abs(SCALES[n].base_temperature_c - at_c) < 0.01), ""
    )
    if not same:
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
