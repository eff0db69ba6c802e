"""A dose put right: worked out again from another extract or scale, or from what its figures are now."""

from collections.abc import Mapping

from stillroom.actions.book.correction import Field, Way, enter_again
from stillroom.actions.book.laboratory import Done
from stillroom.actions.products.dosing import dose_body
from stillroom.errors import BadEntry
from stillroom.records.entries import DoseDecided, Entry
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t


def _fields(look: Reader, entry: Entry[DoseDecided]) -> tuple[Field, ...]:
    scales = tuple((one.code, one.name) for one in look.apparatus_list() if one.kind == "scale")
    return (
        Field("extract", t("extract"), entry.body.extract_lot),
        Field("scale", t("scale"), "", choices=(("", t("choose")), *scales)),
    )


def _applies(pen: BookWriter, entry: Entry[DoseDecided], changed: Mapping[str, str], why: str) -> Done:
    old = entry.body
    if not changed.get("scale"):
        raise BadEntry(
            "A dose is worked out for the scale it is weighed on", "none", "Choose it", where="scale"
        )
    body, notes = dose_body(pen.look, old.batch, changed.get("extract", old.extract_lot), changed["scale"])
    number = enter_again(pen, entry, body, why)
    return Done(
        (number,),
        t(
            "{mass:g} g of {extract} for {bulk_g:g} g. {notes}",
            mass=body.mass_g,
            extract=body.extract_lot,
            bulk_g=body.bulk_g,
            notes=notes,
        ),
    )


DOSE = Way(
    _fields, _applies, later("The dose is worked out again with what is known now; what was weighed stays.")
)
