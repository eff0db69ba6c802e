"""Where first order fails the interval is drawn, and said so; shared causes are off together; edges are one-sided."""

import math

import numpy as np
import pytest

from stillroom.answers.budget import budget_of, stated
from stillroom.errors import OutsideModel
from stillroom.evidence.answer import reading, reckoned
from stillroom.evidence.formulas import formula
from stillroom.evidence.trails import from_trail, trail


@formula("test-add")
def add(**given):
    return sum(given.values())


@formula("test-squares")
def squares(x1, x2):
    return x1 * x1 + x2 * x2


@formula("test-buoyant")
def buoyant(m_rc, dm_rc, rho_a, rho_w, rho_r):
    return (m_rc + dm_rc) * (1.0 + (rho_a - 1.2) * (1.0 / rho_w - 1.0 / rho_r)) - 100000.0


@formula("test-mixed")
def mixed(common, own, at):
    return at + math.sqrt(0.9) * common + math.sqrt(0.1) * own


@formula("test-root")
def root(x):
    if x < 0.0:
        raise OutsideModel("A root needs a number from 0 up", f"{x:g}")
    return 3.0 * x + 1.0


def shown_zero(name, u, shape="", cause="", value=0.0, where="as tried"):
    return reading(name, value, "1", where, standard_uncertainty=u, shape=shape, cause=cause)


@pytest.mark.parametrize(("shape", "high"), [("", 3.92), ("rectangular", 3.88)])
def test_four_inputs_add_as_the_supplement_adds_them(shape, high):
    # JCGM 101, 9.2.2 and 9.2.3: u = 2.00, interval +- 3.92 and +- 3.88; from memory. k = 2 is told for 1.96.
    found = stated(
        reckoned("sum", add, unit="1", inputs={f"x{at}": shown_zero(f"x{at}", 1.0, shape) for at in range(4)})
    )

    assert found.answer.standard_uncertainty == pytest.approx(2.00, abs=0.01)
    assert found.expanded_uncertainty == pytest.approx(high, rel=0.04)


def test_one_rectangle_alone_has_no_tails():
    # A rectangle of half width a holds 95 % within 0.95 a: k = 1.65 (GUM G.1.3, from memory)
    found = stated(
        reckoned("sum", add, unit="1", inputs={"x": shown_zero("x", 0.3 / math.sqrt(3.0), "rectangular")})
    )

    assert found.k == pytest.approx(1.65, abs=0.005)
    assert found.expanded_uncertainty == pytest.approx(0.285, abs=1e-6)
    assert found.by_draws == "limits"


@pytest.mark.parametrize(
    ("x1", "u", "low", "high"),
    [(0.0, 50.0, 0.0, 150.0), (0.010, 112.0, 0.0, 367.0), (0.050, 502.0, 1590.0, 3543.0)],
)
def test_a_turning_point_is_noticed_and_drawn(x1, u, low, high):
    # JCGM 101, 9.4.2, table 6 (times 1e6); from memory. The supplement's intervals are the shortest ones, so for the
    # skewed cases only u is compared; first order gives 0, 100 and 500.
    inputs = {"x1": shown_zero("x1", 0.005, value=x1), "x2": shown_zero("x2", 0.005)}
    found = stated(reckoned("loss", squares, unit="1", inputs=inputs))

    assert 1e6 * found.answer.standard_uncertainty == pytest.approx(u, rel=0.05)
    if x1 == 0.050:
        assert found.by_draws == ""  # nearly straight again: first order holds
        assert 1e6 * (found.answer.value - found.expanded_uncertainty) == pytest.approx(low, rel=0.07)
        assert 1e6 * (found.answer.value + found.expanded_uncertainty) == pytest.approx(high, rel=0.02)
    else:
        assert found.by_draws == "curved"


def test_a_turning_point_with_inputs_that_go_together_gives_67_where_first_order_gives_0():
    # JCGM 101, 9.4.2.2, x1 = 0 and r = 0.9: u = 67e-6; from memory
    common = shown_zero("common", 0.005)
    inputs = {
        name: reckoned(
            name,
            mixed,
            unit="1",
            inputs={"common": common, "own": shown_zero(f"own {name}", 0.005)},
            fixed={"at": 0.0},
        )
        for name in ("x1", "x2")
    }
    loss = reckoned("loss", squares, unit="1", inputs=inputs)

    assert budget_of(loss).standard_uncertainty == pytest.approx(0.0, abs=1e-9)
    assert 1e6 * stated(loss).answer.standard_uncertainty == pytest.approx(67.0, rel=0.05)


def test_a_product_whose_factors_are_near_zero_is_noticed():
    # JCGM 101, 9.3: u = 0.0754 and 1.0834 to 1.3825 by draws, 0.0539 by first order; from memory
    def limits(name, low, high):
        return shown_zero(name, (high - low) / math.sqrt(12.0), "rectangular", value=(low + high) / 2.0)

    inputs = {
        "m_rc": shown_zero("m_rc", 0.05, value=100000.0),
        "dm_rc": shown_zero("dm_rc", 0.02, value=1.234),
        "rho_a": limits("rho_a", 1.1, 1.3),
        "rho_w": limits("rho_w", 7000.0, 9000.0),
        "rho_r": limits("rho_r", 7950.0, 8050.0),
    }
    mass = reckoned("mass", buoyant, unit="mg", inputs=inputs)
    found = stated(mass)
    low, high = found.interval or (
        found.answer.value - found.expanded_uncertainty,
        found.answer.value + found.expanded_uncertainty,
    )

    assert budget_of(mass).standard_uncertainty == pytest.approx(0.0539, abs=0.00005)
    assert found.by_draws == "curved"
    assert found.answer.standard_uncertainty == pytest.approx(0.0754, rel=0.04)
    assert (low, high) == pytest.approx((1.0834, 1.3825), abs=0.012)


def test_near_an_edge_the_step_is_one_sided():
    for value in (0.0, 0.01, 0.02):
        blank = reading("blank", value, "mL", "as read", standard_uncertainty=0.0289)
        found = stated(reckoned("rest", root, unit="mL", inputs={"x": blank}))

        assert found.answer.standard_uncertainty == pytest.approx(3.0 * 0.0289, rel=1e-6)


def test_leaves_of_one_cause_are_off_together_and_others_are_not():
    one, other = (shown_zero(name, 0.2, cause="one alcoholometer") for name in ("first", "second"))
    apart = shown_zero("third", 0.2, cause="another alcoholometer")

    def of(*leaves):
        return stated(
            reckoned("sum", add, unit="1", inputs={f"x{at}": leaf for at, leaf in enumerate(leaves)})
        )

    assert of(one, other).answer.standard_uncertainty == pytest.approx(0.4, rel=1e-9)
    assert of(one, apart).answer.standard_uncertainty == pytest.approx(0.2 * math.sqrt(2.0), rel=1e-9)
    assert [line.name for line in of(one, other).budget.contributions] == ["one alcoholometer"]


def test_a_leaf_keeps_its_cause_and_shape_in_the_book_and_one_without_has_the_seal_it_had():
    leaf = shown_zero("x", 0.2, "rectangular", "one label")
    plain = shown_zero("x", 0.2)

    assert from_trail(trail(leaf)) == leaf
    assert set(trail(plain)["rows"][plain.key]["leaf"]) == {"kind", "where", "entry_no"}


def test_the_same_interval_is_drawn_each_time():
    inputs = {"x1": shown_zero("x1", 0.005), "x2": shown_zero("x2", 0.005)}
    loss = reckoned("loss", squares, unit="1", inputs=inputs)

    assert stated(loss) == stated(loss)
    assert np.isfinite(stated(loss).interval).all()


@formula("test-overflowing")
def overflowing(x):
    return Two(math.inf if x > 2.05 else 3.0 * x, x)


@formula("test-both")
def both(first, second):
    return first + second


class Two:
    calls = 0

    def __init__(self, first, second):
        Two.calls += 1
        self.first, self.second = first, second


def test_what_overflows_on_one_side_is_told_from_the_other():
    x = reading("x", 2.0, "1", "as tried", standard_uncertainty=0.1)
    told = budget_of(reckoned("beyond all bounds", overflowing, unit="1", inputs={"x": x}, pick="first"))

    assert told.edge
    assert told.standard_uncertainty == pytest.approx(0.3)


def test_a_function_is_called_once_for_all_that_is_picked_from_what_it_gives():
    x = reading("x", 1.0, "1", "as tried", standard_uncertainty=0.1)
    picked = {
        name: reckoned(name, overflowing, unit="1", inputs={"x": x}, pick=name)
        for name in ("first", "second")
    }
    answer = reckoned("both", both, unit="1", inputs=picked)
    Two.calls = 0
    budget_of(answer)

    assert Two.calls == 3  # in the middle, up and down
