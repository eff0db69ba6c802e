"""The release list of a lot, made whole: what its results say, what the book gathers, and what was decided."""

from dataclasses import replace

from stillroom.actions.releasing.list_lines import lines_from_book
from stillroom.actions.releasing.release_facts import facts_for
from stillroom.products.release import ReleaseFacts, Review, review
from stillroom.records.people import Person
from stillroom.store.reader import Reader

ANYONE = Person("", "the person who releases", may_release=True)


def whole_facts(look: Reader, lot: str) -> ReleaseFacts:
    """Everything the release of a lot made here looks at.

    Parameters
    ----------
    lot : str
        Extract or product.
    """
    behind = tuple(look.made_from(lot).lots)
    look.lots_ahead(behind)
    look.evidence_ahead(behind)
    facts = facts_for(look, lot)
    return replace(facts, lines=(*facts.lines, *lines_from_book(look, lot)))


def standing_list(look: Reader, lot: str) -> Review:
    """The release list of a lot made here as the book stands, whoever looks and whenever.

    Parameters
    ----------
    lot : str
        Extract or product.
    """
    facts = whole_facts(look, lot)
    return review(facts, ANYONE, facts.last_work_at)


def reviewed(look: Reader, lot: str, person: Person, at: str) -> Review:
    """The release list of a lot made here, for the person who would release it.

    Parameters
    ----------
    lot : str
        Extract or product.
    at : str
        When. [ISO time with offset]
    """
    return review(whole_facts(look, lot), person, at)
