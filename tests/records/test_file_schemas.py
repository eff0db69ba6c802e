"""The schema of a file says what its reader says: checked with the reference validator of the standard."""

import random
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

import stillroom.records as records
from stillroom.errors import StillroomError, UnknownName
from stillroom.records.file_schemas import READERS, file_schema
from stillroom.records.reading_yaml import Written, read_yaml
from tests.records.test_order_from_yaml import FIELDS

SHIPPED = sorted(
    [
        *(Path(records.__file__).parent).rglob("*.yaml"),
        *(Path(records.__file__).parents[1] / "demo").rglob("*.yaml"),
    ]
)
LABORATORY = {
    "laboratory": "Invented laboratory",
    "practice": "yes",
    "altitude": "120 m",
    "people": {"MA": {"name": "Mira Ansel", "may release": "yes"}, "TO": {"name": "Tom Oster"}},
    "scales": [{"code": "SCALE-1", "smallest step": "0.01 g", "largest": "3 kg"}],
    "apparatus": {"BUR-1": {"kind": "burette", "smallest_step": "0.05 mL"}},
    "prices": {"rosemary leaf": "18 EUR/kg"},
}
PROCEDURE = {
    "procedure": "tonic", "version": 1, "title": "Tonic", "purpose": "formula", "makes": "tonic", "scaled by": "bulk",
    "lines": [
        {"name": "water", "substance": "water", "role": "q.s."},
        {"name": "glycerin", "substance": "glycerin", "percent": 4},
    ],
    "steps": {
        "mix": {"kind": "mix", "says": "Stir", "takes": ["water", "glycerin"], "gives": "bulk", "hands": "5 min"}
    },
}  # fmt: skip
FILES = {"order": FIELDS, "procedure": PROCEDURE, "laboratory": LABORATORY}


def written(value: object, where: str = "file") -> Written:
    if isinstance(value, dict):
        return Written(
            where, pairs=tuple((Written(where, text=key), written(one, where)) for key, one in value.items())
        )
    if isinstance(value, list):
        return Written(where, items=tuple(written(one, where) for one in value))
    return Written(where, text=str(value))


def plain(one: Written) -> object:
    if one.pairs is not None:
        return {key.text: plain(value) for key, value in one.pairs}
    return one.text if one.items is None else [plain(each) for each in one.items]


def refusals(kind: str, content: object) -> str:
    """What the reader says; "" where it takes the file."""
    try:
        READERS[kind](written(content))
    except StillroomError as error:
        return error.sentence
    return ""


def marks(kind: str, content: object) -> list[str]:
    """What an editor marks."""
    return [one.message for one in Draft202012Validator(file_schema(kind)).iter_errors(content)]


@pytest.mark.parametrize("kind", READERS)
def test_a_schema_is_one_by_the_standard(kind):
    Draft202012Validator.check_schema(file_schema(kind))


@pytest.mark.parametrize("kind", READERS)
def test_what_the_reader_takes_is_not_marked(kind):
    assert refusals(kind, FILES[kind]) == ""
    assert marks(kind, FILES[kind]) == []


@pytest.mark.parametrize("path", SHIPPED, ids=lambda one: one.stem)
def test_no_file_that_is_shipped_is_marked(path):
    content = plain(read_yaml(path.read_bytes(), path.name))
    kind = next((one for one in READERS if one in content), "procedure")
    assert marks(kind, content) == []


@pytest.mark.parametrize("kind", READERS)
def test_a_key_that_is_missing_or_misspelt_is_marked_where_the_reader_refuses_it(kind):
    rng = random.Random(29)
    always = {
        one["required"][0] if "required" in one else one["anyOf"][0]["required"][0]
        for one in file_schema(kind)["allOf"]
    }
    assert always
    for key in FILES[kind]:
        without = {name: value for name, value in FILES[kind].items() if name != key}
        if key in always:
            assert marks(kind, without)
            assert key in refusals(kind, without)
        else:
            assert marks(kind, without) == []
        at = rng.randrange(len(key))
        misspelt = {**without, key[:at] + "x" + key[at:]: FILES[kind][key]}
        assert marks(kind, misspelt)
        assert refusals(kind, misspelt)


def test_a_slip_inside_a_member_is_marked():
    content = {**LABORATORY, "scales": [{"code": "SCALE-1", "smalest step": "0.01 g"}]}

    assert marks("laboratory", content)
    assert refusals("laboratory", content)


def test_a_price_may_stand_behind_its_name_and_a_person_may_not():
    assert marks("laboratory", {**LABORATORY, "people": {"TO": "Tom Oster"}})
    assert refusals("laboratory", {**LABORATORY, "people": {"TO": "Tom Oster"}})


def test_keys_between_two_words_may_be_written_as_the_reader_takes_them():
    spelt = {
        ("declared_at-least" if key == "declared at least" else key): value for key, value in FIELDS.items()
    }

    assert refusals("order", spelt) == ""
    assert marks("order", spelt) == []


def test_a_kind_of_file_that_is_none_is_told_with_the_nearest():
    with pytest.raises(UnknownName, match="laboratory"):
        file_schema("labratory")
