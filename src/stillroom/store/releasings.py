"""Looking at what is decided, shown, issued and told when something leaves, and at the house that answers for it."""

from collections.abc import Sequence

from stillroom.records.entries import (
    CertificateIssued,
    ComplaintHeard,
    Entry,
    EvidenceShown,
    HouseDescribed,
    LineDecided,
    PeopleTold,
    RecallRehearsed,
    StatusDecided,
)
from stillroom.store import tables as t
from stillroom.store.looking import Looking, answered, once


class Releasings(Looking):
    """Decisions and papers of lots."""

    @once
    def decisions(self, subject: str, *, corrected: bool = False) -> tuple[Entry[StatusDecided], ...]:
        """What was decided about a lot or batch."""
        return self._bodies(StatusDecided, t.decisions, subject=subject, corrected=corrected)

    @once
    def lines_decided(self, subject: str) -> tuple[Entry[LineDecided], ...]:
        """Decisions on lines of the release list of a lot."""
        return self._bodies(LineDecided, t.lines_decided, subject=subject)

    @once
    def evidence(self, *subjects: str) -> tuple[Entry[EvidenceShown], ...]:
        """Papers and tests from elsewhere that were shown for any of these lots or procedures."""
        return self._bodies(EvidenceShown, t.evidence, subject=subjects)

    def evidence_ahead(self, subjects: Sequence[str]) -> None:
        """What was shown for some lots, known before it is asked of one after another."""
        shown = self.evidence(*subjects)
        for subject in subjects:
            about = tuple(one for one in shown if one.body.subject == subject)
            answered(self, Releasings.evidence, about, subject)

    @once
    def certificates(self, subject: str) -> tuple[Entry[CertificateIssued], ...]:
        """Every certificate issued for a lot, the first revision first."""
        return self._bodies(CertificateIssued, t.certificates, subject=subject)

    @once
    def people_told(self, *subjects: str) -> tuple[Entry[PeopleTold], ...]:
        """Who was told about these lots."""
        return self._bodies(PeopleTold, t.people_told, subject=subjects)

    @once
    def complaints(self, *subjects: str) -> tuple[Entry[ComplaintHeard], ...]:
        """Complaints of these lots."""
        return self._bodies(ComplaintHeard, t.complaints, subject=subjects)

    @once
    def rehearsals(self, *subjects: str) -> tuple[Entry[RecallRehearsed], ...]:
        """Recalls that were rehearsed with these lots."""
        return self._bodies(RecallRehearsed, t.rehearsals, subject=subjects)

    @once
    def house(self) -> HouseDescribed:
        """Where the laboratory is and who answers for it, as last written; empty where nobody said."""
        found = self._bodies(HouseDescribed, t.house)
        return found[-1].body if found else HouseDescribed()
