"""A buffer with nothing set up: pair, pH, strength, volume; or the pH of what somebody has mixed.

Promises grams of two salts with the pH to expect, and what a strip or a meter can tell about it. Writes nothing.
"""

import re
from collections.abc import Mapping

from stillroom.actions.ph_readings import ph_apart, ph_in, read_with
from stillroom.documents.blocks import NO_BOOK, Page, PageFacts
from stillroom.documents.doors import Unsaid, opened_at, question_address, said_in
from stillroom.documents.lessons import lesson_page
from stillroom.documents.lessons_of_sums import ByConstantAlone, buffer_lesson
from stillroom.documents.mixing_buffer import BufferWords, buffer_page, mixture_page
from stillroom.errors import BadEntry, StillroomError, UnknownName, worded
from stillroom.evidence.answer import Answer, assumed, reading, reckoned
from stillroom.quantities.entry import entry, with_unit
from stillroom.quantities.units import unit as known_unit
from stillroom.results import ph_of_mixture
from stillroom.results.buffer_weighed import LIMITS_PH, ReadBy, instrument_error, weighed
from stillroom.results.tempting import by_constant_alone
from stillroom.substances.acids import buffer_pair, buffer_pairs, protolytes

QUESTION = "buffer"
SCALE_STEP_G = 0.01
ASKED = "as asked"
ENTRIES = ("pair", "ph", "total", "amount", "read-by")
STRONGEST_MOL_L = 0.5
_HOLDS = re.compile(r"\s*(?P<name>.+?)\s+(?P<amount>[\d.,]+\s*\S.*)")


def mix_buffer(fields: Mapping[str, str], facts: PageFacts = NO_BOOK) -> Page:
    """The answer alone, as ``buffer_pages`` gives it."""
    return buffer_pages(fields, facts)[0]


def buffer_pages(fields: Mapping[str, str], facts: PageFacts = NO_BOOK) -> tuple[Page, Page | None]:
    """Work a buffer out from its fields: the answer, and its lesson where it was weighed.

    Parameters
    ----------
    fields : mapping of str to str
        "pair", "ph", "total", "amount", "read-by", and what else was said: "meter-buffers", "plus-minus", "at",
        "scale"; or "holds" alone, parts between semicolons.
    facts : PageFacts
        Of the laboratory, where one is open.

    Raises
    ------
    StillroomError
        An entry is missing or cannot be read, or the pair does not reach that pH.
    """
    said = said_in(fields)
    if said.get("holds"):
        return _mixture(said, facts), None
    try:
        pair = buffer_pair(UnknownName.unless(said.get("pair", ""), "a pair of buffer salts", buffer_pairs()))
    except UnknownName as error:
        raise error.at("pair") from error
    ph = reading("pH wanted", ph_in(said.get("ph", ""), "ph"), "", ASKED, basis="at 25 °C")
    total = _amount(said, "total", "mol/L", '"0.05 mol/L"')
    if total.value > STRONGEST_MOL_L:
        raise BadEntry(
            worded("A buffer is calculated up to {strongest_mol_l:g} mol/L", strongest_mol_l=STRONGEST_MOL_L),
            worded("{total:g} mol/L", total=total.value),
            "Make it weaker, then measure it",
            where="total",
        )
    volume = _amount(said, "amount", "mL", '"1 L"')
    read_by, told = read_with(said.get("read-by", "") or "strip", said.get("meter-buffers", ""), ph.value)
    limits = _plus_minus(said)
    temperature = None
    if said.get("at"):
        temperature = _amount(said, "at", "°C", '"31 °C"')
        if not 0.0 <= temperature.value <= 50.0:
            raise BadEntry(
                "A buffer is calculated from 0 to 50 °C",
                repr(said["at"][:40]),
                "Let it come to the room",
                where="at",
            )
    try:
        found = weighed(
            pair, ph, total, volume, instrument_error(read_by, limits), temperature, _scale_step(said)
        )
    except StillroomError as error:
        raise (error if error.where else error.at("total")) from error
    words = BufferWords(
        said["amount"], said["ph"], said["total"], with_unit(said.get("at", ""), "°C"), read_by, told
    )
    page = buffer_page(
        pair, found, words, _unsaid(said, read_by), href=question_address(QUESTION, said), **facts
    )
    naive = ByConstantAlone(*by_constant_alone(pair, ph, total, volume))
    lesson = lesson_page(
        buffer_lesson(pair, found, words, naive),
        title=f"Lesson: {page.title}",
        href=question_address(f"{QUESTION}/lesson", said),
        **facts,
    )
    return page, lesson


def _mixture(said: Mapping[str, str], facts: PageFacts) -> Page:
    if said.get("at") and abs(_amount(said, "at", "°C", '"25 °C"').value - 25.0) > 0.5:
        raise BadEntry(
            "The pH of a mixture is calculated at 25 °C",
            repr(said["at"][:40]),
            "Leave the temperature out, and measure it there",
            where="at",
        )
    inputs: dict[str, Answer] = {}
    names = {
        **{one: one for one in protolytes()},
        **dict.fromkeys(ph_of_mixture.CATION_NAMES, ph_of_mixture.CATIONS),
        **dict.fromkeys(ph_of_mixture.ANION_NAMES, ph_of_mixture.ANIONS),
    }
    parts = [one for one in said["holds"].split(";") if one.strip()]
    for part in parts:
        hit = _HOLDS.fullmatch(part)
        name = " ".join(hit["name"].casefold().split()) if hit else part.strip().casefold()
        if name not in names:
            raise UnknownName.among(name, "a weak acid, a base or a strong ion", names).at("holds")
        if hit is None:
            raise BadEntry(
                "Each part has its strength",
                part.strip(),
                worded('Write "{called} 10 mmol/L"', called=name),
                where="holds",
            )
        value = entry(hit["amount"], want="concentration", zero_allowed=True, where="holds").in_unit("mol/L")
        key = names[name]
        before = inputs[key].value if key in inputs else 0.0
        inputs[key] = reading(name, before + value, "mol/L", ASKED)
    try:
        ph = reckoned(
            "pH", ph_of_mixture.ph_of, unit="", inputs=inputs, basis="at 25 °C",
            says="charge balance with Davies activities", sources=("martell-smith", "davies-1962"),
        )  # fmt: skip
        strength = reckoned(
            "ionic strength", ph_of_mixture.ionic_strength_of, unit="mol/L", inputs=inputs,
            says="half the sum of ions times charge squared",
        )  # fmt: skip
    except StillroomError as error:
        raise error.at("holds") from error
    return mixture_page(said["holds"], ph, strength, href=question_address(QUESTION, said), **facts)


def _amount(said: Mapping[str, str], name: str, unit: str, example: str) -> Answer:
    if not said.get(name):
        raise BadEntry(
            "An amount is needed", "nothing", worded("Write {example}", example=example), where=name
        )
    printed = "°C" if unit == "°C" else ""
    value = entry(said[name], printed, want=known_unit(unit).dimension, where=name).in_unit(unit)
    return reading(
        {"total": "both salts together", "amount": "volume", "at": "temperature"}[name], value, unit, ASKED
    )


def _scale_step(said: Mapping[str, str]) -> Answer:
    what = "readability of the scale"
    if not said.get("scale"):
        return assumed(what, SCALE_STEP_G, "g", "a scale of a hundredth of a gram, since nobody said")
    value = entry(said["scale"], "g", want="mass", where="scale").in_unit("g")
    if value > 10.0:
        raise BadEntry("The readability of a scale is at most 10 g here", said["scale"], where="scale")
    return reading(what, value, "g", ASKED)


def _plus_minus(said: Mapping[str, str]) -> float | None:
    if not said.get("plus-minus"):
        return None
    return ph_apart(said["plus-minus"], where="plus-minus")


def _unsaid(said: Mapping[str, str], read_by: ReadBy) -> tuple[Unsaid, ...]:
    items: list[Unsaid] = []

    def add(what: str, taken: str, because: str, effect: str, share: float, field: str) -> None:
        href = opened_at(QUESTION, said, field)
        items.append(Unsaid(what, taken, because, effect, share, field, href))

    if not said.get("read-by"):
        add(
            "what the pH is read with", "a strip", "every bench has one",
            f"a reading tells ± {LIMITS_PH['strip']:g}; a calibrated meter ± {LIMITS_PH['meter']:g}", 0.5, "read-by",
        )  # fmt: skip
    if read_by == "meter, not calibrated here" and not said.get("meter-buffers"):
        add(
            "what the meter was calibrated with", "nothing", "nobody said", f"a reading tells ± {LIMITS_PH[read_by]:g}",
            0.2, "meter-buffers",
        )  # fmt: skip
    if not said.get("scale"):
        add(
            "what the salts are weighed on", f"a scale of {SCALE_STEP_G:g} g", "nobody said",
            "moves the pH to expect; make more of it, or take a finer scale", 0.15, "scale",
        )  # fmt: skip
    if not said.get("at"):
        add(
            "how warm the room is", "25 °C", "the constants are those of 25 °C",
            "moves the pH by the shift told below for each kelvin", 0.1, "at",
        )  # fmt: skip
    return tuple(items)
