"""A name, a customer or a fact typed wrongly is put right; the old entry stays to be read."""

import pytest

from stillroom.actions.correcting import correct_entry
from stillroom.actions.laboratory import Laboratory
from stillroom.errors import BadEntry, NotAllowed


def entry_of(lab: Laboratory, kind: str, code: str) -> int:
    with lab.look() as look:
        found = look.latest(kind, code)
        assert found is not None
        return found.entry_no


@pytest.mark.parametrize(
    ("kind", "code", "field", "text", "found"),
    [
        ("order taken", "ORD-1", "customer", "Señora Ω", lambda look: look.order("ORD-1").customer),
        ("order taken", "ORD-1", "due", "2027-03-01", lambda look: look.order("ORD-1").due),
        ("lot received", "CIN-01", "name", "قشر", lambda look: look.lot("CIN-01").name),
        ("lot received", "CIN-01", "supplier", "Another trader", lambda look: look.lot("CIN-01").supplier),
        ("person joined", "TO", "name", "Tomás Oriel", lambda look: look.person("TO").name),
        ("apparatus added", "SCALE-1", "name", "kitchen scale", lambda look: look.apparatus("SCALE-1").name),
    ],
)
def test_what_was_typed_wrongly_is_put_right_and_both_stay(
    lab: Laboratory, kind, code, field, text, found
) -> None:
    old = entry_of(lab, kind, code)
    done = correct_entry(lab, old, text, line=field, why="typed wrongly", by="MA")

    with lab.look() as look:
        assert found(look) == text
        assert look.entry(old).corrected_by == done.entries[0]


def test_a_corrected_order_is_held_to_its_ceiling(lab: Laboratory) -> None:
    old = entry_of(lab, "order taken", "ORD-1")

    with pytest.raises((NotAllowed, BadEntry)):
        correct_entry(
            lab, old, "9 % w/w total alkaloids as quinine", line="aim", why="typed wrongly", by="MA"
        )
