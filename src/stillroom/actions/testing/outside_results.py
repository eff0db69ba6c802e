"""The content that another laboratory found: entered with its certificate, it counts like an assay of one's own.

Promises a reading, never an assumption: figure, uncertainty and basis stand as the certificate has them. Without an
uncertainty the result is kept and does not count, for not stated is never zero.
"""

from datetime import datetime

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.book.results_kept import assay_name, assays, result_of
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import reading
from stillroom.products.counted_words import said_as_once
from stillroom.quantities.fractions import mass_fraction
from stillroom.quantities.parse import parse
from stillroom.quantities.quantity import Quantity
from stillroom.records.entries import ReadingTaken
from stillroom.records.orders import StatedStrength
from stillroom.records.written_values import one_line
from stillroom.store.reader import Reader
from stillroom.substances.markers import marker_key

OUTSIDE = "outside laboratory: "
MATTERS = ("as is", "dried")
NO_UNCERTAINTY = "the certificate states no uncertainty: ask the laboratory for it, with its k"


def enter_outside_result(
    lab: Laboratory,
    lot: str,
    marker: str,
    text: str,
    *,
    matter: str,
    laboratory: str,
    certificate: str,
    method: str,
    reckoned_as: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Enter the content of a lot as another laboratory found it.

    Parameters
    ----------
    lot : str
        Plant material, an extract, or an ingredient that was bought.
    marker : str
        What was counted: "rosmarinic acid", "total phenols".
    text : str
        As the certificate has it: "12.3 % w/w ± 0.4 (k = 2)".
    matter : "as is" or "dried"
        What the share is of.
    laboratory, certificate, method : str
        Who found it, number of the certificate, by which method.
    reckoned_as : str
        The compound it is counted as ("gallic acid"); the marker itself when empty.

    Raises
    ------
    BadEntry
        The figure is no share by mass, or something that the certificate says is missing.
    """
    asked = {
        "lot": lot,
        "marker": marker,
        "text": text,
        "matter": matter,
        "laboratory": laboratory,
        "certificate": certificate,
        "method": method,
        "reckoned_as": reckoned_as,
    }
    said = {"marker": marker, "laboratory": laboratory, "certificate": certificate, "method": method}
    for where, words in said.items():
        if not words.strip():
            raise BadEntry(
                worded("A result from outside names its {where}", where=where),
                "nothing",
                "It stands on the certificate",
                where=where,
            )
    if matter not in MATTERS:
        raise BadEntry(
            "A content is a share of the lot as is, or of its dried matter", repr(matter),
            "Look what the certificate says; ask the laboratory where it does not", where="matter",
        )  # fmt: skip
    found = _share_by_mass(text)
    percent = found.in_unit("%")
    spread = (
        None if found.standard_uncertainty is None else percent * found.standard_uncertainty / found.value
    )
    counted = said_as_once(one_line(marker, "marker"))
    compound = said_as_once(one_line(reckoned_as, "counted as")) if reckoned_as.strip() else counted
    _must_agree(found, counted, compound, matter)
    with lab.look():
        counted, compound = (marker_key(one) or one for one in (counted, compound))
    strength = StatedStrength(percent, counted, compound, text)
    what = assay_name(strength.counted, matter)
    who = f"{one_line(laboratory, 'laboratory')}, certificate {one_line(certificate, 'certificate')}"
    with lab.act("enter outside result", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        known = pen.look.lot(lot)
        if not known.kind.traits.carrier:
            raise BadEntry(
                "The content of plant material, an extract or an ingredient is entered here",
                f"{lot}, {known.kind.value}",
                "The content of a product follows from its extract",
            )
        number = pen.enter(ReadingTaken(lot, what, percent, "%", text, who, "outside", spread))
        answer = reading(
            f"{what}, of {lot}",
            percent,
            "%",
            f"entry {number}, {who}",
            entry_no=number,
            standard_uncertainty=spread,
            basis=strength.basis(known.kind.traits.carrier, matter),
        )
        counts = spread is not None
        because = f"found by {who}" if counts else NO_UNCERTAINTY
        body = result_of(
            lot,
            what,
            answer,
            f"{OUTSIDE}{who}, by {one_line(method, 'method')}",
            counts,
            because,
            (number,),
            found.coverage_factor or 2.0,
        )
        says = f"{what}, of {lot}: {percent:.4g} %, {because}."
        return Done((number, pen.enter(body)), says if counts else f"It does not count yet: {because}.")


def said_outside(look: Reader, lot: str) -> tuple[str, ...]:
    """What a certificate says of the contents another laboratory found in a lot.

    Parameters
    ----------
    look : Reader
    lot : str
    """
    return tuple(
        f"{entry.body.what} in {lot}: found by an {entry.body.method} (entry {entry.entry_no})."
        for entry in assays(look, lot)
        if entry.body.counts and entry.body.method.startswith(OUTSIDE)
    )


def _share_by_mass(text: str) -> Quantity:
    found = parse(text, want="ratio", basis_required=False, zero_allowed=False, where="found")
    if found.basis.ratio not in (None, "w/w"):
        raise BadEntry(
            "A content is a share by mass here",
            worded("{ratio} in {text!r}", ratio=found.basis.ratio, text=text[:40]),
            "Ask the laboratory for % w/w, or restate it by the density of the lot",
            where="found",
        )
    if mass_fraction(found, silent=True) > 1:
        raise BadEntry(
            "A content cannot be more than 100 %", repr(text[:40]), "Check the number", where="found"
        )
    return found


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
