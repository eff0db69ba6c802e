"""Reading the book: records and entries out of one snapshot.

Lists have the newest last. An entry that was corrected is left out, unless ``corrected=True`` asks for
both; then ``corrected_by`` tells which entry replaced it. A code that is not in the book raises
``UnknownName`` with the nearest.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import select

from stillroom.records.entries import (
    CertificateIssued,
    ConditionNoted,
    ControlTestRead,
    DutiesGiven,
    Entry,
    IdentityDecided,
    LotOpened,
    PlantDescribed,
    PriceNoted,
    ReadingTaken,
    ResultReckoned,
    StatusDecided,
)
from stillroom.records.entry_subjects import subjects_of
from stillroom.records.people import Apparatus, Person
from stillroom.store import tables as t
from stillroom.store.genealogy import Trace, lots_below, made_from, went_into
from stillroom.store.lists import Lists
from stillroom.store.looking import answered, once
from stillroom.store.makings import Makings
from stillroom.store.months import Months
from stillroom.store.releasings import Releasings
from stillroom.store.stocks import Stocks


class Reader(Stocks, Makings, Releasings, Lists, Months):
    """What the book says, within one transaction."""

    # People and apparatus

    def person(self, code: str) -> Person:
        """The person of that code, as last written."""
        people = {one.code: one for one in self.people()}
        return people[code] if code in people else self._unknown(code, "a person", people)

    @once
    def people(self) -> tuple[Person, ...]:
        """Everybody, as last written; who has the duty to check may release."""
        found = {one.code: one for one in self._records(Person, t.people)}
        given = self.duties()
        return tuple(
            replace(one, may_release=given[one.code].checks) if one.code in given else one
            for one in found.values()
        )

    @once
    def duties(self) -> dict[str, DutiesGiven]:
        """What was said last of the duties of each person; nothing of whom nobody said any."""
        return {one.body.person: one.body for one in self._bodies(DutiesGiven, t.duties)}

    def apparatus(self, code: str) -> Apparatus:
        """The apparatus of that code, as last written."""
        known = {one.code: one for one in self.apparatus_list()}
        return known[code] if code in known else self._unknown(code, "an apparatus", known)

    @once
    def apparatus_list(self) -> tuple[Apparatus, ...]:
        """Every apparatus, as last written."""
        return tuple({one.code: one for one in self._records(Apparatus, t.apparatus)}.values())

    @once
    def conditions(self, what: str) -> tuple[Entry[ConditionNoted], ...]:
        """How the house was, each time somebody noted it."""
        return self._bodies(ConditionNoted, t.conditions, what=what)

    @once
    def prices(self) -> tuple[Entry[PriceNoted], ...]:
        """What things cost, as last noted of each."""
        found = self._bodies(PriceNoted, t.prices)
        return tuple({one.body.of: one for one in found}.values())

    # Testing and deciding

    @once
    def readings(
        self, subject: str, what: str | None = None, series: str | None = None, *, corrected: bool = False
    ) -> tuple[Entry[ReadingTaken], ...]:
        """Numbers read off an instrument for a subject."""
        if what is None and series is None:
            return self._bodies(ReadingTaken, t.readings, subject=subject, corrected=corrected)
        every = self.readings(subject, corrected=True) if corrected else self.readings(subject)
        return tuple(
            one for one in every if what in (None, one.body.what) and series in (None, one.body.series)
        )

    @once
    def readings_named(self, what: str) -> tuple[Entry[ReadingTaken], ...]:
        """Every reading of one name, whatever was read."""
        return self._bodies(ReadingTaken, t.readings, what=what)

    @once
    def results(
        self, subject: str, what: str | None = None, *, corrected: bool = False
    ) -> tuple[Entry[ResultReckoned], ...]:
        """Results reckoned for a subject, counting or not."""
        if what is None:
            return self._bodies(ResultReckoned, t.results, subject=subject, corrected=corrected)
        every = self.results(subject, corrected=True) if corrected else self.results(subject)
        return tuple(one for one in every if one.body.what == what)

    def results_telling_of(self, words: str) -> tuple[Entry[ResultReckoned], ...]:
        """Results in whose entries some words stand."""
        j = t.journal.c
        named = self._connection.scalars(
            select(j.entry_no)
            .join(t.results, t.results.c.entry_no == j.entry_no)
            .where(j.text.contains(words, autoescape=True))
        )
        return self._bodies(ResultReckoned, t.results, entry_no=tuple(named))

    def results_ahead(self, subjects: Sequence[str]) -> None:
        """Results of some subjects, known before they are asked for one after another."""
        found = self._bodies(ResultReckoned, t.results, subject=subjects)
        self._answer_ahead(Reader.results, found, subjects)

    def readings_ahead(self, subjects: Sequence[str]) -> None:
        """Readings of some subjects, known before they are asked for one after another."""
        found = self._bodies(ReadingTaken, t.readings, subject=subjects)
        self._answer_ahead(Reader.readings, found, subjects)

    def _answer_ahead(
        self,
        asked: Callable[..., tuple[Entry[Any], ...]],
        found: Iterable[Entry[Any]],
        subjects: Sequence[str],
    ) -> None:
        of_each: dict[str, list[Entry[Any]]] = {code: [] for code in subjects}
        for one in found:
            of_each[subjects_of(one.body)[0]].append(one)
        for code, of_it in of_each.items():
            answered(self, asked, tuple(of_it), code)

    def decided_ahead(self, lots: Sequence[str]) -> None:
        """What was decided about some lots and the certificates issued, known before they are asked for one by one."""
        self._answer_ahead(Reader.decisions, self._bodies(StatusDecided, t.decisions, subject=lots), lots)
        issued = self._bodies(CertificateIssued, t.certificates, subject=lots)
        self._answer_ahead(Reader.certificates, issued, lots)

    @once
    def openings(self, lot: str) -> tuple[Entry[LotOpened], ...]:
        """Each time a bottle was opened."""
        return self._bodies(LotOpened, t.lot_openings, lot=lot)

    def openings_ahead(self, lots: Sequence[str]) -> None:
        """When some bottles were opened, known before it is asked of one after another."""
        found = self._bodies(LotOpened, t.lot_openings, lot=lots)
        for code in lots:
            of_it = tuple(one for one in found if one.body.lot == code)
            answered(self, Reader.openings, of_it, code)

    @once
    def tests(self, subject: str, *, corrected: bool = False) -> tuple[Entry[ControlTestRead], ...]:
        """Present-or-absent tests of a subject."""
        return self._bodies(ControlTestRead, t.control_tests, subject=subject, corrected=corrected)

    @once
    def identities(self, lot: str, *, corrected: bool = False) -> tuple[Entry[IdentityDecided], ...]:
        """What was decided about the identity of a lot."""
        return self._bodies(IdentityDecided, t.identities, lot=lot, corrected=corrected)

    def described_ahead(self, lots: Sequence[str]) -> None:
        """What some lots of plant were said to be like, known before it is asked of one after another."""
        found = self._bodies(PlantDescribed, t.plants_described, lot=lots)
        self._answer_ahead(Reader.plants_described, found, lots)

    @once
    def plants_described(self, lot: str, *, corrected: bool = False) -> tuple[Entry[PlantDescribed], ...]:
        """What a lot of plant was said to be like."""
        return self._bodies(PlantDescribed, t.plants_described, lot=lot, corrected=corrected)

    # Where it comes from and where it went

    @once
    def made_from(self, code: str) -> Trace:
        """Every lot and batch that a lot or batch was made from."""
        self._must_be_lot_or_batch(code)
        return made_from(self._connection, code)

    @once
    def lots_below(self, code: str) -> tuple[str, ...]:
        """Every lot that a lot or batch went into, itself first; without the movements on the way."""
        self._must_be_lot_or_batch(code)
        return lots_below(self._connection, code)

    @once
    def went_into(self, code: str, most: int | None = None) -> Trace:
        """Every batch, lot and customer that a lot or batch went into.

        Parameters
        ----------
        most : int, optional
            Of more lots than this, their movements are left out, all but its own. [1]
        """
        self._must_be_lot_or_batch(code)
        return went_into(self._connection, code, most)
