"""Index tables of what is decided, shown and told when something leaves, and of the house that answers for it."""

from sqlalchemy import Index, Table

from stillroom.store.foundation import number_column, text_column, whole_column, yes_no_column
from stillroom.store.reagent_tables import MakesTable


def release_tables(made: MakesTable) -> tuple[Table, Table, Table, Table, Table, Table, Table]:
    """The tables of the house, and of decisions, papers, certificates, who was told, rehearsals, and complaints.

    Parameters
    ----------
    made : callable
        Makes one table of the index.
    """
    return (
        made(
            "house",
            "HouseDescribed",
            text_column("address"),
            text_column("responsible_person"),
            text_column("responsible_address"),
            text_column("currency"),
            text_column("telephone"),
            text_column("email"),
            text_column("tax"),
        ),
        made(
            "lines_decided",
            "LineDecided",
            text_column("subject"),
            text_column("key"),
            text_column("about"),
            text_column("says"),
            text_column("reason"),
            Index("lines_decided_by_subject", "subject", "key"),
        ),
        made(
            "evidence",
            "EvidenceShown",
            text_column("subject"),
            text_column("what"),
            text_column("outcome"),
            text_column("says"),
            text_column("document"),
            text_column("dated"),
            whole_column("keeps_days", optional=True),
            Index("evidence_by_subject", "subject", "what"),
        ),
        made(
            "certificates",
            "CertificateIssued, without its pages and what changed",
            text_column("subject"),
            whole_column("revision"),
            text_column("why"),
            Index("certificates_by_subject", "subject", "revision"),
        ),
        made(
            "people_told",
            "PeopleTold",
            text_column("subject"),
            text_column("who"),
            text_column("how"),
            text_column("said"),
            text_column("order"),
            Index("people_told_by_subject", "subject"),
        ),
        made(
            "rehearsals",
            "RecallRehearsed",
            text_column("subject"),
            number_column("took_min"),
            text_column("found"),
            whole_column("bottles"),
            whole_column("accounted"),
            Index("rehearsals_by_subject", "subject"),
        ),
        made(
            "complaints",
            "ComplaintHeard",
            text_column("subject"),
            text_column("who"),
            text_column("what"),
            text_column("order"),
            yes_no_column("reacted"),
            Index("complaints_by_subject", "subject"),
        ),
    )
