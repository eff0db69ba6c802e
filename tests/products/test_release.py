"""What stands in the way of a release, and who may decide."""

from dataclasses import replace

import pytest

from stillroom.answers.reckon_again import superseded
from stillroom.answers.solvent_residue import not_tested
from stillroom.errors import BadEntry
from stillroom.evidence.answer import assumed, reading
from stillroom.products.limits import ceiling, judge
from stillroom.products.release import LotFact, ReleaseFacts, ResultFact, review
from stillroom.records.people import Person

MAKER = Person("MA", "Maker", may_release=True)
SECOND = Person("SE", "Second", may_release=True)
HELPER = Person("HE", "Helper", may_release=False)
CONTENT = reading("content", 0.1, "%", "entry 9", entry_no=9, standard_uncertainty=0.0016)
DECLARED = reading("declared at least", 0.095, "%", "entry 2", entry_no=2)
ASSAY = ResultFact("total alkaloids", True, "a blank was titrated", CONTENT)
READY = ReleaseFacts(
    subject="T1",
    worked={"MA": "weighed the extract"},
    last_work_at="2026-03-14T16:05:00+01:00",
    lots=(LotFact("CIN-01", True, True, True, "2027-01-01", "2026-03-10"), LotFact("SP-02", True)),
    results=(ASSAY, ResultFact("Dragendorff", True, "controls as they should be")),
    needed=("total alkaloids", "Dragendorff"),
    residue=not_tested("ethyl acetate"),
    content=CONTENT,
    declared=DECLARED,
    judged=judge(replace(CONTENT, value=0.1031), ceiling("quinine", "hair leave-on")),
    fill_needed=False,
    retained_units=2,
)
SAME_DAY = "2026-03-14T18:00:00+01:00"
NEXT_MORNING = "2026-03-15T08:00:00+01:00"


def _open(facts: ReleaseFacts, person: Person = SECOND, at: str = SAME_DAY) -> list[str]:
    return [one.says for one in review(facts, person, at).missing]


def test_a_second_person_may_release_what_is_complete_on_the_same_day():
    found = review(READY, SECOND, SAME_DAY)

    assert found.may_release
    assert not found.alone
    assert "no second person" not in found.certificate_says
    assert "Residue of ethyl acetate: not tested" in found.certificate_says


@pytest.mark.parametrize("did", ["weighed the extract", "dosed the bulk", "titrated the bark"])
def test_whoever_weighed_dosed_or_tested_is_no_second_person(did):
    found = review(replace(READY, worked={"MA": did}), MAKER, SAME_DAY)

    assert not found.may_release
    assert found.alone
    assert found.missing[0].says == f"A second person: Maker has {did}"
    assert "2026-03-15 00:05" in found.missing[0].close


def test_alone_is_possible_after_a_night_and_the_certificate_says_so():
    found = review(READY, MAKER, NEXT_MORNING)

    assert found.may_release
    assert found.alone
    assert "no second person" in found.certificate_says


@pytest.mark.parametrize(
    ("last", "at", "may"),
    [
        ("2026-03-14T16:05:00+01:00", "2026-03-15T00:04:00+01:00", False),  # another date, not eight hours
        ("2026-03-14T06:00:00+01:00", "2026-03-14T23:00:00+01:00", False),  # seventeen hours, the same date
        ("2026-03-14T06:00:00+01:00", "2026-03-15T00:00:00+01:00", True),
        (
            "2026-03-14T16:05:00+01:00",
            "2026-03-14T23:06:00+00:00",
            True,
        ),  # the same moment told in another zone
    ],
)
def test_a_night_is_another_date_and_eight_hours(last, at, may):
    assert review(replace(READY, last_work_at=last), MAKER, at).may_release is may


def test_who_may_not_release_may_not_release_alone_or_otherwise():
    assert _open(READY, HELPER) == ["Helper may not release"]


@pytest.mark.parametrize(
    ("change", "what", "standing"),
    [
        ({"lots": (LotFact("CIN-01", True, True, None),)}, "identity of CIN-01 is not decided", "missing"),
        ({"lots": (LotFact("CIN-01", True, True, False),)}, "identity of CIN-01 was not accepted", "over"),
        ({"lots": (LotFact("SP-02", False),)}, "SP-02 went in and is not released", "missing"),
        (
            {"lots": (LotFact("RG-1", True, use_by="2026-03-01", used_on="2026-03-10"),)},
            "after its use-by date 2026-03-01",
            "over",
        ),
        ({"needed": ("loss on drying",)}, "loss on drying was not tested", "missing"),
        (
            {
                "needed": ("vasicine, as is",),
                "results": (ASSAY, replace(ASSAY, name="total alkaloids as vasicine, as is")),
            },
            "vasicine, as is was not tested: a titration counts all of its kind, total alkaloids as vasicine",
            "missing",
        ),
        (
            {"results": (replace(ASSAY, counts=False, because="no blank"),)},
            "does not count: no blank",
            "missing",
        ),
        (
            {"results": (replace(ASSAY, counts=False, because="It does not count. The portions lie apart"),)},
            "total alkaloids does not count: The portions lie apart",
            "missing",
        ),
        (
            {"results": (replace(ASSAY, as_expected=False, because="absent"),)},
            "total alkaloids is out",
            "over",
        ),
        (
            {"results": (replace(ASSAY, answer=assumed("x", 1.0, "%", "a guess")),)},
            "rests on an assumption, and it stands on the certificate",
            "missing",
        ),
        (
            {"results": (replace(ASSAY, superseded=superseded(CONTENT, {9: 12})),)},
            "corrected reading",
            "missing",
        ),
        ({"residue": None}, "Nothing is said about the residue", "missing"),
        ({"content": None}, "content of the product is not calculated", "missing"),
        ({"content": replace(CONTENT, value=0.0949)}, "below the declared 0.095 %", "over"),
        (
            {"content": assumed("x", 0.1, "%", "a guess")},
            "content of the product rests on an assumption",
            "missing",
        ),
        (
            {"judged": judge(replace(CONTENT, value=0.23), ceiling("quinine", "hair leave-on"))},
            "Over: upper bound",
            "over",
        ),
        ({"fill_needed": True}, "filling was not checked", "missing"),
        ({"steps_open": ("percolate",)}, "step 'percolate' was not entered", "missing"),
        ({"deviations_open": ("bath at 65 °C",)}, "Open deviation: bath at 65 °C", "missing"),
        ({"retained_units": 0}, "0 of 1 samples are kept back", "missing"),
    ],
)
def test_each_gap_alone_stops_the_release_and_says_how_to_close_it(change, what, standing):
    needed = {} if "needed" in change else {"needed": ("total alkaloids",)} if "results" in change else {}
    found = review(replace(READY, **needed, **change), SECOND, SAME_DAY)

    assert not found.may_release
    hits = [one for one in found.missing if what in one.says]
    assert [one.standing for one in hits] == [standing]
    assert all(one.close for one in found.missing)


def test_no_rule_found_is_told_on_the_certificate():
    facts = replace(READY, judged=judge(CONTENT, ceiling("cinchonine", "hair leave-on")))

    assert any("never means it is allowed" in one for one in review(facts, SECOND, SAME_DAY).certificate_says)


def test_a_moment_without_offset_or_before_the_work_is_asked_back():
    with pytest.raises(BadEntry, match="carry its offset"):
        review(READY, SECOND, "2026-03-14T18:00:00")
    with pytest.raises(BadEntry, match="after the last work"):
        review(READY, SECOND, "2026-03-14T10:00:00+01:00")
    with pytest.raises(BadEntry, match="Write it like"):
        review(READY, SECOND, "tomorrow")
