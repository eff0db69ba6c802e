"""Text a laboratory writes, read as a quantity.

Reads one number with its unit, its basis and its uncertainty, and keeps the words and the figures shown.
Guesses nothing: what could mean two things is asked back with the readings it could have. A percentage
without a basis is refused unless the field has one by definition (loss on drying is w/w) and says so.
"""

import re
from collections.abc import Collection
from dataclasses import replace

from stillroom.errors import BadEntry, worded
from stillroom.quantities.basis import Basis
from stillroom.quantities.basis_words import read_basis
from stillroom.quantities.numbers import NUMBER, cleaned, quoted, read_number
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.uncertainty_words import SIGN, take_uncertainty
from stillroom.quantities.units import CURRENCIES, Unit, is_unit, unit

_NUMBER = re.compile(NUMBER)
_PARTS = re.compile(rf"({NUMBER})\s?(in|:|\+)\s?({NUMBER})(?![\w.])\s*(.*)", re.IGNORECASE)
_NOT_ONE = re.compile(
    r"^(?:[<>≤≥~≈=]|about\b|ca\b|circa\b|approx|at least\b|at most\b|up to\b|under\b|over\b)", re.IGNORECASE
)
_BETWEEN = re.compile(rf"(\()?({NUMBER})\s?({SIGN}\s?{NUMBER})(?(1)\s?\))\s?([^\s,;0-9].*)")
_WIDTH = re.compile(r"\(\s?(?:k\s?=[^)]*|tolerance)\s?\)", re.IGNORECASE)
_RANGE = re.compile(r"^\s?(?:[-–—…]|\.\.|to\b)\s?[0-9]")
_SEVERAL = re.compile(rf"\s?[×x*]\s?({NUMBER})\s?(.*)")
_CONCENTRATED = re.compile(
    r"^(?:hcl|h2so4|hno3|nh3|nh4oh|ammonia|"
    r"(?:hydrochloric|sulfuric|sulphuric|nitric|acetic|lactic|phosphoric|formic) acid)\b",
    re.IGNORECASE,
)
_USUAL = {
    "mass": "g, kg or mg",
    "volume": "mL or L",
    "temperature": "°C",
    "ratio": "% with its basis",
    "time": "min, h or d",
    "concentration": "mol/L",
    "count": "bottles or pieces",
}
_SUCH_AS = {
    "mass": "12.5 g", "volume": "500 mL", "temperature": "20 °C", "ratio": "70 % v/v", "time": "90 min",
    "concentration": "0.1 mol/L", "count": "24 bottles",
}  # fmt: skip
_WITH_BASIS = ("ratio", "mass", "volume", "amount", "concentration")


def parse(
    text: str,
    *,
    want: str | Collection[str] | None = None,
    basis_required: bool = True,
    by_definition: Basis | None = None,
    negative_allowed: bool = False,
    zero_allowed: bool = True,
    words_after: bool | None = None,
    bare_k: float | None = None,
    where: str = "",
) -> Quantity:
    """Read a quantity.

    Parameters
    ----------
    text : str
        As written: "500 mL", "70 % v/v", "0.100 % w/w as quinine", "1 in 20 w/v" [text].
    want : str, collection of str or None
        The dimension or dimensions the field takes: "mass", "volume", "ratio" [text].
    basis_required : bool
        Whether a content must say w/w, w/v or v/v [yes or no].
    by_definition : Basis or None
        The basis the field has by definition, used only where the text is silent [basis].
    negative_allowed : bool
        Whether the number may be below zero; a temperature in °C always may [yes or no].
    zero_allowed : bool
        Whether the number may be zero [yes or no].
    words_after : bool or None
        Whether words may follow an amount ("15 g as quinine"); without a word about it, only where the field takes
        anything. A content says its basis anyway [yes or no].
    bare_k : float or None
        The coverage factor the field prints for a bare ±; without one it is asked back [1].
    where : str
        File, line or field, for the error [text].

    Returns
    -------
    Quantity
        The quantity in the unit it was written in [unit].

    Raises
    ------
    BadEntry
        The text has no reading, two readings, or lacks its basis.
    UnknownName
        The unit is not known.
    """
    with quoted(text):
        words = cleaned(text, where=where)
        if _NOT_ONE.match(words):
            raise BadEntry(
                "A quantity is one number",
                repr(words[:40]),
                "Write the number alone; a limit has its own field",
                where=where,
            )
        words = _unit_before_doubt(_code_after(words))
        found = _quantity_in_parts(words, where) or _plain_quantity(
            words, where, want, want is None if words_after is None else words_after, bare_k
        )
        _refuse_wrong_dimension(found, words, want, where)
        if by_definition is not None:
            found = replace(found, basis=_completed(found.basis, by_definition))
        if basis_required and found.dimension == "ratio" and found.basis.ratio is None:
            raise _basis_missing(found, words, where)
        _refuse_impossible(found, negative_allowed, zero_allowed, where)
        return replace(found, as_written=text)


def _examples(want: str | Collection[str] | None) -> str:
    wanted = _wanted(want)
    return " or ".join(_USUAL[one] for one in wanted if one in _USUAL) or "g, mL, % …"


def _wanted(want: str | Collection[str] | None) -> tuple[str, ...]:
    return (want,) if isinstance(want, str) else tuple(want or ())


def _code_after(words: str) -> str:
    head, _, rest = re.sub("^€ ?", "EUR ", words).partition(" ")
    return f"{rest} {head}" if head in CURRENCIES and re.fullmatch(NUMBER, rest) else words


def _unit_before_doubt(words: str) -> str:
    """The unit before the ±: "(96 ± 0.3) % v/v" becomes "96 % v/v, ± 0.3"."""
    hit = _BETWEEN.fullmatch(words)
    if hit is None or re.search(SIGN, hit[4]):
        return words
    width = _WIDTH.search(hit[4])
    rest = _WIDTH.sub(" ", hit[4]).strip()
    return f"{hit[2]} {rest}, {hit[3]} {width[0] if width else ''}" if rest else words


def _plain_quantity(
    words: str, where: str, want: str | Collection[str] | None, words_after: bool, bare_k: float | None
) -> Quantity:
    start = _NUMBER.match(words)
    if words[0] in "$£":
        unit(words[0])
    if start is None:
        raise BadEntry(
            "A quantity starts with a number",
            repr(words[:40]),
            worded(
                "Write a number and a unit, such as {example}",
                example=f'"{next((_SUCH_AS[one] for one in _wanted(want) if one in _SUCH_AS), "500 mL")}"',
            ),
            where=where,
        )
    rest = words[start.end() :]
    if _RANGE.match(rest):
        raise BadEntry(
            "A quantity is one number, not a range", repr(words[:40]), "Write one number", where=where
        )
    if re.match(r"\s?[/½¼¾⁄]", rest):
        raise BadEntry(
            "A number is written with decimals", repr(words[:40]), "Write 0.5, not a fraction", where=where
        )
    if re.match(r"[ ][0-9]", rest):
        joined = re.match(r"[0-9 ]+", words)
        digits = joined[0].replace(" ", "") if joined else ""
        raise BadEntry(
            "A number must be written without spaces",
            repr(words[:40]),
            worded(
                "Write {digits} if the space only groups the digits; a count of packs goes into its own field",
                digits=digits,
            ),
            where=where,
        )
    if several := _SEVERAL.fullmatch(rest):
        count, size = (read_number(one, several[2], where=where).value for one in (start[0], several[1]))
        raise BadEntry(
            "A quantity is one amount",
            repr(words[:40]),
            worded(
                "Write {all_together} for all of them, or {one} for one",
                all_together=f"{count * size:.10g} {several[2]}".strip(),
                one=f"{size:.10g} {several[2]}".strip(),
            ),
            where=where,
        )
    known, tail = _split_unit(" ".join(rest.split()), words, where, _examples(want))
    number = read_number(start[0], known.symbol, where=where)
    sure, tail = take_uncertainty(tail, known, where, value=number.value, bare_k=bare_k)
    rest = tail.strip(" ,")
    if rest and known.dimension != "ratio" and (re.match(NUMBER, rest) or is_unit(rest.split(" ")[0])):
        raise BadEntry(
            "An amount is written once, with one unit", repr(words[:60]), "Leave the other out", where=where
        )
    if rest and known.dimension not in (_WITH_BASIS if words_after else ("ratio",)):
        raise BadEntry(
            worded("Nothing can follow a {dimension}", dimension=known.dimension),
            repr(rest[:40]),
            "Leave it out",
            where=where,
        )
    basis = read_basis(tail, where=where)
    if sure.ratio is not None and basis.ratio in (None, sure.ratio):
        basis = basis.with_(ratio=None if known.implied_ratio else sure.ratio)
    elif sure.ratio is not None:
        raise BadEntry(
            worded("The ± of a {ratio} strength is {ratio} too", ratio=basis.ratio),
            repr(words[:60]),
            worded("Write it as {ratio}", ratio=basis.ratio),
            where=where,
        )
    if known.implied_ratio and basis.ratio not in (None, known.implied_ratio):
        raise BadEntry(
            worded(
                "{symbol} is {implied_ratio} by itself",
                symbol=known.symbol,
                implied_ratio=known.implied_ratio,
            ),
            repr(words[:60]),
            "Use % here",
            where=where,
        )
    if basis.ratio and known.dimension != "ratio":
        raise BadEntry(
            worded("Only a content can be {ratio}", ratio=basis.ratio), repr(words[:60]), "Use %", where=where
        )
    return Quantity(
        value=number.value,
        unit=known.symbol,
        basis=basis,
        standard_uncertainty=sure.standard_uncertainty,
        coverage_factor=sure.coverage_factor,
        decimals=number.decimals,
        digits=number.digits,
    )


def _split_unit(rest: str, words: str, where: str, examples: str) -> tuple[Unit, str]:
    if not rest:
        raise BadEntry(
            "A unit is needed after the number",
            repr(words[:40]),
            worded("Write {words} and its unit: {examples}", words=words[:20], examples=examples),
            where=where,
        )
    if rest[0] in "%‰":
        return unit(rest[0]), rest[1:]
    pieces = rest.split(" ")
    try:
        for count in (3, 2):
            several = " ".join(pieces[:count])
            if len(pieces) >= count and is_unit(several):
                return unit(several), " ".join(pieces[count:])
        first = re.match(r"[^\s,;±()]+", rest)
        if first is None:
            raise BadEntry(
                "A unit is needed after the number",
                repr(words[:40]),
                worded("Write {examples}", examples=examples),
            )
        return unit(first[0]), rest[first.end() :]
    except BadEntry as error:
        raise error.at(where) if where else error from None


def _quantity_in_parts(words: str, where: str) -> Quantity | None:
    found = _PARTS.fullmatch(words)
    if not found:
        return None
    part = read_number(found[1], "", where=where)
    whole = read_number(found[3], "", where=where)
    small, large, both = f"{part.value:g}", f"{whole.value:g}", f"{part.value + whole.value:g}"
    basis = read_basis(found[4], where=where)
    if found[2] == ":":
        raise BadEntry(
            worded(
                "{small}:{large} is {small} part to {large} for some and {small} part in {large} for others",
                small=small,
                large=large,
            ),
            repr(words[:40]),
            worded(
                "Write {small} in {large} (made up to {large}) or {small} + {large}, with w/w, w/v or v/v",
                small=small,
                large=large,
            ),
            where=where,
        )
    total = whole.value
    if found[2] == "+":
        if basis.ratio != "w/w":
            raise BadEntry(
                "Parts can only be added by mass, because volumes contract on mixing",
                repr(words[:40]),
                worded(
                    "Write {small} + {large} w/w, or {small} in {both} v/v if it is made up to the mark",
                    small=small,
                    large=large,
                    both=both,
                ),
                where=where,
            )
        total += part.value
    if part.value < 0 or total <= 0 or part.value > total:
        raise BadEntry(
            "A part must be smaller than its whole", repr(words[:40]), "Write 1 in 20", where=where
        )
    return Quantity(100.0 * part.value / total, "%", basis)


def _completed(stated: Basis, by_definition: Basis) -> Basis:
    names = ("ratio", "of", "reckoned_as", "matter", "carrier", "reference_temperature_c", "form")
    silent = {name: getattr(by_definition, name) for name in names if getattr(stated, name) is None}
    return stated.with_(**silent)


def _refuse_wrong_dimension(
    found: Quantity, words: str, want: str | Collection[str] | None, where: str
) -> None:
    if want is None:
        return
    wanted, have = _wanted(want), found.dimension
    if any(have == one or have.startswith((f"{one} of ", f"{one} in ")) for one in wanted):
        return
    raise BadEntry(
        worded("A {wanted} is needed here", wanted=" or a ".join(wanted)),
        worded("{words!r}, a {have}", words=words[:40], have=have),
        worded("Write it in {examples}", examples=_examples(want))
        if any(one in _USUAL for one in wanted)
        else "Check the unit",
        where=where,
    )


def _refuse_impossible(found: Quantity, negative_allowed: bool, zero_allowed: bool, where: str) -> None:
    got = f"{found.number} {found.unit}"
    if found.dimension == "temperature":
        if found.in_unit("°C") < -273.15:
            raise BadEntry(
                "A temperature cannot lie below −273.15 °C", got, "Check the sign and the unit", where=where
            )
        return
    if found.value < 0 and not negative_allowed:
        raise BadEntry(
            worded("A {dimension} cannot be negative", dimension=found.dimension),
            got,
            "Check the sign",
            where=where,
        )
    if found.value == 0 and not zero_allowed:
        raise BadEntry(
            worded("A {dimension} above zero is needed here", dimension=found.dimension),
            got,
            "Enter what was measured",
            where=where,
        )
    if found.dimension.startswith("count") and found.value != int(found.value):
        raise BadEntry("A count must be a whole number", got, "Count whole pieces", where=where)
    # Ten billionths spare the last bit of a changed unit.
    if found.basis.ratio in ("w/w", "v/v") and found.fraction > 1.0 + 1e-10:
        raise BadEntry(
            worded("A part cannot be more than the whole: {ratio} ends at 100 %", ratio=found.basis.ratio),
            got,
            "Check the figure and its unit",
            where=where,
        )


def _basis_missing(found: Quantity, words: str, where: str) -> BadEntry:
    share = f"{found.number} {found.unit}"
    amount = f"{100 * found.fraction:g}"
    thing = found.basis.of or "it"
    readings = [
        f"{share} w/w ({amount} g of {thing} in 100 g)",
        f"{share} w/v ({amount} g of {thing} made up to 100 mL)",
    ]
    if found.basis.of and _CONCENTRATED.match(found.basis.of):
        readings += [
            f"{share} v/v of the bottle's liquid ({amount} mL from the bottle made up to 100 mL)",
            f"the bottle's own strength diluted by volume to {amount} as if it were a share by volume",
        ]
        do = f"Four readings: {'; '.join(readings)}. Ask who wrote the method, or write mol/L"
    else:
        readings.append(f"{share} v/v ({amount} mL of {thing} made up to 100 mL)")
        do = f"Write {'; '.join(readings[:-1])}; or {readings[-1]}"
    return BadEntry("A percentage must say its basis", repr(words[:60]), do, where=where)
