"""A month of ethanol adds up by hand, whatever flows; a batch under way lacks nothing, a done one is asked about."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.stream.ethanol_month import Flow, Standing, ethanol_month

grams = st.floats(1.0, 5000.0)


def flow(kind, ethanol_g, on="2027-03-10", batch="B1", name="one"):
    return Flow(kind, name, batch, ethanol_g, on, "told")


def test_a_month_by_hand():
    flows = [
        flow("bought", 1000.0, batch="", name="S1"),
        flow("used", 600.0, name="S1"),
        flow("recovered", 500.0, name="R1"),
        flow("in marc and waste", 50.0, name="marc"),
        flow("lost", 47.0, name="vapour"),
    ]
    found = ethanol_month(
        "2027-03",
        [Standing("S1", 0.0, 400.0, ""), Standing("R1", 0.0, 500.0, "")],
        flows,
        {"B1": "2027-03-11"},
    )

    assert found.unexplained_g == pytest.approx(3.0)
    assert found.batches[0].unexplained_g == pytest.approx(3.0)
    assert found.batches[0].whole.unexplained_fraction == pytest.approx(0.005)
    assert not found.batches[0].is_asked_about
    assert found.losses_g == {"vapour": 47.0}


def test_more_than_one_per_cent_is_asked_about():
    flows = [flow("used", 600.0), flow("recovered", 590.0)]
    found = ethanol_month("2027-03", [], flows, {"B1": "2027-03-11"})

    assert found.batches[0].is_asked_about


def test_a_batch_under_way_is_in_the_making_and_goes_over_into_the_next_month():
    flows = [flow("used", 600.0), flow("lost", 10.0), flow("recovered", 580.0, on="2027-04-02")]
    march = ethanol_month("2027-03", [], flows, {"B1": "2027-04-02"})
    april = ethanol_month("2027-04", [], flows, {"B1": "2027-04-02"})

    assert (march.making_end_g, march.batches[0].unexplained_g) == (590.0, 0.0)
    assert not march.batches[0].is_asked_about
    assert (april.making_begin_g, april.making_end_g) == (590.0, 0.0)
    assert april.batches[0].unexplained_g == pytest.approx(10.0)
    assert april.batches[0].whole.in_g == 600.0


@given(grams, grams, st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_what_the_month_does_not_explain_is_the_sum_of_what_its_batches_do_not(
    bought, used, back, marc, lost
):
    used = min(used, bought)
    parts = back + marc + lost + 1.0
    back_g, marc_g, lost_g = (used * one / parts for one in (back, marc, lost))
    flows = [
        flow("bought", bought, batch="", name="S1"),
        flow("used", used, name="S1"),
        flow("recovered", back_g, name="R1"),
        flow("in marc and waste", marc_g, name="marc"),
        flow("lost", lost_g, name="vapour"),
    ]
    standing = [Standing("S1", 0.0, bought - used, ""), Standing("R1", 0.0, back_g, "")]
    found = ethanol_month("2027-03", standing, flows, {"B1": "2027-03-11"})

    assert found.unexplained_g == pytest.approx(
        sum(one.unexplained_g for one in found.batches), abs=1e-9 * bought
    )


def test_a_month_without_spirit_is_empty():
    assert ethanol_month("2027-03", [Standing("S1", 0.0, 0.0, "")], [], {}).is_empty
