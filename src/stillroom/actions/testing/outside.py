"""The content that another laboratory found: entered with its certificate, it counts like an assay of one's own.

Promises a reading, never an assumption: figure, uncertainty and basis stand as the certificate has them. Without an
uncertainty the result is kept and does not count, for not stated is never zero.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.actions.book.acts import Act
from stillroom.actions.book.counted_marker import counted_in
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.results_kept import assay_name, assays, result_of
from stillroom.asking.entries import maybe, needed
from stillroom.asking.readers import OneOf, Own
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import reading
from stillroom.evidence.trails import from_trail
from stillroom.products.counted_words import said_as_once
from stillroom.quantities.entry import with_unit
from stillroom.quantities.fractions import mass_fraction
from stillroom.quantities.parse import parse
from stillroom.quantities.quantity import Quantity
from stillroom.records.entries import Entry, ReadingTaken, ResultReckoned
from stillroom.records.lots import Lot
from stillroom.records.orders import StatedStrength
from stillroom.records.written_values import one_line
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.substances.markers import marker_key
from stillroom.texts.catalogue import later, t

OUTSIDE = "outside laboratory: "
NO_UNCERTAINTY = "the certificate states no uncertainty: ask the laboratory for it, with its k"
IT_STANDS = later("It stands on the certificate")


def share_by_mass(text: str, where: str) -> Quantity:
    """A content as a certificate has it, bare in %.

    Raises
    ------
    BadEntry
        It is no share by mass, or more than the whole.
    """
    found = parse(
        with_unit(text, "%"), want="ratio", basis_required=False, zero_allowed=False, where=where
    )  # fmt: skip
    if found.basis.ratio not in (None, "w/w"):
        raise BadEntry(
            "A content is a share by mass here",
            worded("{ratio} in {text!r}", ratio=found.basis.ratio, text=text[:40]),
            "Ask the laboratory for % w/w, or restate it by the density of the lot",
            where=where,
        )
    if mass_fraction(found, silent=True) > 1:
        raise BadEntry(
            "A content cannot be more than 100 %", repr(text[:40]), "Check the number", where=where
        )
    return found


def marker_named(text: str, where: str) -> str:
    """A marker or compound as it is called."""
    return said_as_once(one_line(text, where))


@dataclass(frozen=True, slots=True, kw_only=True)
class Certified(Said):
    """What stands on the certificate."""

    marker: str = needed(
        Own(marker_named), label=later("What was counted"), hint=later("rosmarinic acid, total phenols, linalool"),
        must=later("A result from outside names its marker"), do=IT_STANDS,
        help="What was counted: rosmarinic acid, total phenols.",
    )  # fmt: skip
    reckoned_as: str | None = maybe(
        Own(marker_named), label=later("Counted as which compound"), option="counted-as",
        hint=later("gallic acid; leave empty where it is the marker itself"),
        help="Counted as which compound: gallic acid.",
    )  # fmt: skip
    found: Quantity = needed(
        Own(share_by_mass), label=later("Found, with its ±"), hint="12.3 % w/w ± 0.4 (k = 2)",
        help='As the certificate has it: "12.3 % w/w ± 0.4 (k = 2)".',
    )  # fmt: skip
    matter: str = needed(
        OneOf(
            {"as is": later("as it is in the jar"), "dried": later("after drying")},
            must=later("A content is a share of the lot as is, or of its dried matter"),
            do=later("Look what the certificate says; ask the laboratory where it does not"),
        ),
        label=later("A share of the lot"), help="What the share is of.",
    )  # fmt: skip
    laboratory: str = needed(
        Own(one_line), label=later("Laboratory"), must=later("A result from outside names its laboratory"),
        do=IT_STANDS, help="Who found it.",
    )  # fmt: skip
    certificate: str = needed(
        Own(one_line), label=later("Number of the certificate"), do=IT_STANDS,
        must=later("A result from outside names its certificate"), help="Number of the certificate.",
    )  # fmt: skip
    method: str = needed(
        Own(one_line), label=later("Method"), hint=later("HPLC, gas chromatography"), do=IT_STANDS,
        must=later("A result from outside names its method"), help="By which method: HPLC.",
    )  # fmt: skip


def _write(pen: BookWriter, lot: str, said: Certified) -> Done:
    """Enter what was found; it counts where its uncertainty is stated."""
    known = pen.look.lot(lot)
    if not known.kind.traits.carrier:
        raise BadEntry(
            "The content of plant material, an extract or an ingredient is entered here",
            f"{lot}, {known.kind.value}",
            "The content of a product follows from its extract",
        )
    compound = said.reckoned_as or said.marker
    _must_agree(said.found, said.marker, compound, said.matter)
    counted, compound = (marker_key(one) or one for one in (said.marker, compound))
    text, percent = with_unit(said.text["found"], "%"), said.found.in_unit("%")
    sure = said.found.standard_uncertainty
    strength = StatedStrength(percent, counted, compound, text)
    what = assay_name(strength.counted, said.matter)
    who = f"{said.laboratory}, certificate {said.certificate}"
    spread = None if sure is None else percent * sure / said.found.value
    read = ReadingTaken(lot, what, percent, "%", text, who, "outside", spread)
    number = pen.enter(read)
    basis = strength.basis(known.kind.traits.carrier, said.matter)
    body = _result(number, read, basis, f"{OUTSIDE}{who}, by {said.method}")
    says = f"{what}, of {lot}: {percent:.4g} %, {body.because}."
    return Done((number, pen.enter(body)), says if body.counts else f"It does not count yet: {body.because}.")


def _result(number: int, body: ReadingTaken, basis: str, method: str) -> ResultReckoned:
    """What a certificate says, as a result: it counts where its uncertainty is stated."""
    who = body.apparatus
    answer = reading(
        f"{body.what}, of {body.subject}",
        body.value,
        "%",
        f"entry {number}, {who}",
        entry_no=number,
        standard_uncertainty=body.standard_uncertainty,
        basis=basis,
    )
    counts = body.standard_uncertainty is not None
    k = share_by_mass(body.as_written, "found").coverage_factor or 2.0
    because = f"found by {who}" if counts else NO_UNCERTAINTY
    return result_of(body.subject, body.what, answer, method, counts, because, (number,), k)


def _again(
    _: Reader, entry: Entry[ResultReckoned], readings: Sequence[Entry[ReadingTaken]]
) -> ResultReckoned | None:
    """What counts follows what the certificate says now."""
    if not entry.body.method.startswith(OUTSIDE):
        return None
    (read,) = readings
    return _result(read.entry_no, read.body, from_trail(entry.body.trail).basis, entry.body.method)


def said_outside(look: Reader, lot: str) -> tuple[str, ...]:
    """What a certificate says of the contents another laboratory found in a lot."""
    return tuple(
        f"{entry.body.what} in {lot}: found by an {entry.body.method} (entry {entry.entry_no})."
        for entry in assays(look, lot)
        if entry.body.counts and entry.body.method.startswith(OUTSIDE)
    )


def _must_agree(found: Quantity, counted: str, compound: str, matter: str) -> None:
    """What the figure says of its basis beside what was chosen."""
    basis = found.basis
    for said, chosen in ((basis.of, counted), (basis.reckoned_as, compound), (basis.matter, matter)):
        if said is not None and said.casefold() != chosen.casefold():
            raise BadEntry(
                "The figure and the entries beside it must say the same",
                worded("{said} and {chosen}", said=said, chosen=chosen),
                "Write it once, as the certificate has it",
                where="found",
            )


def what_the_lot_counts(look: Reader, lot: str) -> Mapping[str, str]:
    """What the lot counts."""
    made_by = look.lot(lot).made_by
    counted = counted_in(look, made_by) if made_by else None
    if counted is None:
        return {}
    return {
        "marker": counted.of,
        "reckoned-as": counted.reckoned_as if counted.of != counted.reckoned_as else "",
    }


def _stands(_: Reader, lot: Lot) -> str:
    return t("Result of another laboratory") if "another laboratory" in lot.kind.traits.tested_by else ""


enter_outside_result = Act(
    name="outside",
    action="enter outside result",
    said=Certified,
    writes=_write,
    help="The content of LOT as another laboratory found it, with its certificate.",
    title=later("What another laboratory found"),
    called=later("Result of another laboratory"),
    stands=_stands,
    lead=later(
        "Copy it from the certificate. It counts like an assay done here; without its uncertainty it is kept and does "
        "not count."
    ),
    button=later("Save the result"),
    address="/stock/{code}/outside-result",
    offered=what_the_lot_counts,
    again=_again,
)
