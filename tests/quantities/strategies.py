"""Makers of valid quantities, bases and spreads."""

from hypothesis import strategies as st

from stillroom.quantities.basis import Basis
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.spread import Spread

COMPOUNDS = ("quinine", "cinchonine", "mean of quinine and cinchonine", "gallic acid")
COUNTED = (None, "total alkaloids", "ethanol", "vitamin B12", "quinine hydrochloride dihydrate")
CARRIERS = (None, "extract", "bark", "product", "hair tonic", "flower")

finite_positive = st.floats(min_value=1e-6, max_value=1e6, allow_nan=False, allow_infinity=False)


@st.composite
def bases(draw: st.DrawFn, ratio: str | None = "any") -> Basis:
    compound = draw(st.sampled_from((None, *COMPOUNDS)))
    return Basis(
        ratio=draw(st.sampled_from(("w/w", "w/v", "v/v", "v/w"))) if ratio == "any" else ratio,
        of=draw(st.sampled_from(COUNTED)),
        reckoned_as=compound,
        matter=draw(st.sampled_from((None, "as is", "dried"))),
        carrier=draw(st.sampled_from(CARRIERS)),
        reference_temperature_c=draw(st.sampled_from((None, 15.0, 20.0, 31.5))),
        form=None if compound else draw(st.sampled_from((None, "base", "acid"))),
    )


@st.composite
def quantities(draw: st.DrawFn) -> Quantity:
    symbol = draw(st.sampled_from(("g", "kg", "mg", "µg", "mL", "L", "%", "‰", "mol/L", "mg/g", "g/L")))
    basis = draw(bases("any" if symbol in ("%", "‰") else {"mg/g": "w/w", "g/L": "w/v"}.get(symbol)))
    largest = {"%": 100.0, "‰": 1000.0, "mg/g": 1000.0}.get(symbol, 1e6)
    value = draw(st.floats(min_value=0.0, max_value=largest, allow_subnormal=False))
    value = 0.0 if value < 1e-25 else value
    spread = draw(st.none() | st.floats(min_value=1e-6, max_value=1e3))
    factor = draw(st.sampled_from((None, 2.0, 3.0))) if spread else None
    return Quantity(value, symbol, basis, spread, factor)


@st.composite
def spreads(draw: st.DrawFn) -> Spread:
    kind = draw(st.sampled_from(("normal", "lognormal", "logit", "rectangular")))
    width = draw(st.floats(min_value=1e-3, max_value=0.4))
    if kind == "normal":
        return Spread.normal(draw(st.floats(min_value=-100, max_value=100)), width)
    if kind == "lognormal":
        return Spread.lognormal(draw(st.floats(min_value=1e-3, max_value=1e3)), width)
    if kind == "logit":
        return Spread.logit(draw(st.floats(min_value=0.05, max_value=0.95)), width * 0.1)
    return Spread.rectangular(1.0, 1.0 + width)
