"""The same content always gives the same words and the same seal."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry
from stillroom.evidence.seal import canonical, seal

json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=20,
)


@given(st.dictionaries(st.text(), json_values))
def test_the_order_of_keys_does_not_matter(content: dict[str, object]) -> None:
    turned = dict(reversed(list(content.items())))

    assert seal(content) == seal(turned)  # type: ignore[arg-type]


def test_an_empty_table_has_the_published_sha256_of_its_two_characters() -> None:
    # SHA-256 of the two bytes "{}": known value, from memory; the algorithm is FIPS 180-4.
    assert seal({}) == "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a"


@pytest.mark.parametrize("number", [float("nan"), float("inf"), float("-inf")])
def test_a_number_that_is_not_finite_is_refused(number: float) -> None:
    with pytest.raises(BadEntry, match="must be finite"):
        canonical({"mass_g": [1.0, number]})


def test_a_thing_json_cannot_carry_is_refused() -> None:
    with pytest.raises(BadEntry, match="text, finite numbers, lists and tables"):
        canonical({"when": object()})  # type: ignore[dict-item]
