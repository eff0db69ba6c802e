"""A dish is weighed again until two weighings agree; only then the loss counts."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_reading
from stillroom.actions.lots.plant_card import describe_plant
from stillroom.actions.releasing.release_facts import facts_for
from stillroom.actions.testing.drying import weigh_again, weigh_drying
from stillroom.errors import BadEntry
from stillroom.products.release_lines import lines_of_results
from stillroom.products.release_record import ReleaseFacts, ResultFact
from tests.practice import later

NOT_FINISHED = ResultFact("loss on drying", False, "one weighing", asked=False)


def begun(lab: Laboratory) -> str:
    return weigh_drying(
        lab, "CIN-01", dish="30.0000 g", with_sample="32.0000 g", dried=("31.9000 g",), apparatus="SCALE-3",
        series="drying/7", by="TO", at=later(-2),
    ).says  # fmt: skip


def last(lab: Laboratory) -> tuple[float, bool]:
    with lab.look() as look:
        body = look.results("CIN-01", "loss on drying")[-1].body
    return body.value, body.counts


def test_one_weighing_does_not_count_and_says_what_to_do(lab: Laboratory) -> None:
    says = begun(lab)

    assert not last(lab)[1]
    assert "again" in says.lower()


def test_it_counts_once_two_weighings_agree_within_5_mg(lab: Laboratory) -> None:
    begun(lab)
    weigh_again(
        lab, "CIN-01", mass="31.8200 g", apparatus="SCALE-3", series="drying/7", by="TO", at=later(-1)
    )
    first = last(lab)
    weigh_again(lab, "CIN-01", mass="31.8180 g", apparatus="SCALE-3", series="drying/7", by="TO")

    # 2.0000 g of sample, 1.8180 g left: 9.10 % by hand; 2 mg apart where 5 mg are allowed on 2 to 5 g.
    assert first == (pytest.approx(9.0, abs=1e-9), False)
    assert last(lab) == (pytest.approx(9.1, abs=1e-9), True)


def test_a_dish_that_is_constant_already_may_be_weighed_once_more(lab: Laboratory) -> None:
    begun(lab)
    for mass in ("31.8200 g", "31.8180 g", "31.8176 g"):
        weigh_again(lab, "CIN-01", mass=mass, apparatus="SCALE-3", by="TO")

    # 2.0000 g less 1.8176 g is 9.12 % by hand.
    assert last(lab) == (pytest.approx(9.12, abs=1e-9), True)


@pytest.mark.parametrize(("sample_g", "far"), [("32.0000 g", False), ("320.000 g", True)])
def test_a_loss_far_from_the_moisture_on_its_card_says_so(lab: Laboratory, sample_g: str, far: bool) -> None:
    describe_plant(lab, "CIN-01", moisture="9 %", by="TO", at=later(-3))
    says = weigh_drying(
        lab, "CIN-01", dish="30.0000 g", with_sample=sample_g, dried=("31.8200 g", "31.8190 g"),
        apparatus="SCALE-3", by="TO", at=later(-2),
    ).says  # fmt: skip
    assert ("look whether a weighing was misread" in says) == far


def test_a_drying_that_was_not_finished_stops_no_release(lab: Laboratory) -> None:
    weigh_drying(
        lab, "E1", dish="30.0000 g", with_sample="32.0000 g", dried=("31.9000 g",), apparatus="SCALE-3",
        by="TO", at=later(-2),
    )  # fmt: skip
    with lab.look() as look:
        lines = [one for one in lines_of_results(facts_for(look, "E1")) if one.about == "loss on drying"]
        (alone,) = lines_of_results(ReleaseFacts("E1", {}, "", results=(NOT_FINISHED,)))
    assert [one.standing for one in lines] == ["within"]
    assert alone.standing == "cannot be seen here"


def test_a_drying_that_was_never_begun_is_not_weighed_again(lab: Laboratory) -> None:
    with pytest.raises(BadEntry, match="weighed again once it was weighed before"):
        weigh_again(lab, "CIN-01", mass="31.8200 g", apparatus="SCALE-3", series="drying/8", by="TO")


def test_the_same_series_is_not_begun_twice(lab: Laboratory) -> None:
    begun(lab)

    with pytest.raises(BadEntry, match="drying/7 of CIN-01 is begun already"):
        begun(lab)


def test_a_corrected_weighing_is_judged_anew_and_keeps_its_place(lab: Laboratory) -> None:
    begun(lab)
    weigh_again(
        lab, "CIN-01", mass="31.8200 g", apparatus="SCALE-3", series="drying/7", by="TO", at=later(-1)
    )
    with lab.look() as look:
        first = look.readings("CIN-01", "dish after drying 1", series="drying/7")[-1].entry_no
    correct_reading(lab, first, "31.8210 g", why="a seven read as a nine", by="TO")

    # 31.8210 and 31.8200 g are 1 mg apart: constant; 2.0000 g less 1.8200 g is 9.00 % by hand.
    assert last(lab) == (pytest.approx(9.0, abs=1e-9), True)
    weigh_again(lab, "CIN-01", mass="31.8190 g", apparatus="SCALE-3", series="drying/7", by="TO")
    assert last(lab) == (pytest.approx(9.05, abs=1e-9), True)


def test_another_sample_is_dried_where_a_larger_one_is_asked_for(lab: Laboratory) -> None:
    # The advice "dry a larger sample" leads to a new series; nobody has to name it.
    begun(lab)
    weigh_drying(
        lab, "CIN-01", dish="30.0000 g", with_sample="35.0000 g", dried=("34.5000 g", "34.5000 g"),
        apparatus="SCALE-3", by="TO",
    )  # fmt: skip

    with lab.look() as look:
        assert look.readings("CIN-01", series="drying/8")
    assert last(lab) == (pytest.approx(10.0, abs=1e-9), True)
