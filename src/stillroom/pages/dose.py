"""The dose of a batch as a page, with every line about the formula that its release will repeat."""

from dataclasses import replace

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.products.dosing import work_out_dose
from stillroom.actions.products.formula_made import formula_dosed
from stillroom.documents.blocks import Page
from stillroom.documents.dosing import dose_page
from stillroom.products.formula_lines import formula_lines, names_for_label


def show_dose(lab: Laboratory, batch: str, *, extract: str, scale: str) -> Page:
    """The dose of a batch, worked out and not yet taken."""
    found = work_out_dose(lab, batch, extract, scale=scale)
    with lab.look() as look:
        percent = 100.0 * found.mass.value / look.batch(batch).scale_g
        facts = formula_dosed(look, batch, extract, percent)
        named = replace(facts, on_label=(*facts.on_label, *names_for_label(facts)))
        return dose_page(found, batch=batch, extract=extract, lines=formula_lines(named), **facts_of(look))
