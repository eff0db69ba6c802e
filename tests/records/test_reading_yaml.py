"""A file is read as text with its lines, and refused in one clear sentence where it is no plain YAML."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, StillroomError
from stillroom.records.reading_yaml import DEEPEST, LONGEST_FILE, MOST_VALUES, Written, read_yaml


def plain(written: Written):
    if written.items is not None:
        return [plain(one) for one in written.items]
    if written.pairs is not None:
        return {plain(key): plain(value) for key, value in written.pairs}
    return written.text


def test_every_value_stays_the_text_it_was():
    # YAML 1.1 reads these as False, 750, 0.1, 1000 and a date (from-memory).
    text = "market: no\ntime: 12:30\naim: 0.100\ncount: 1_000\nday: 2027-01-29\nempty:\nnothing: ~\n"

    assert plain(read_yaml(text, "f.yaml")) == {
        "market": "no",
        "time": "12:30",
        "aim": "0.100",
        "count": "1_000",
        "day": "2027-01-29",
        "empty": "",
        "nothing": "",
    }


def test_each_value_knows_its_line():
    found = read_yaml("# first\na: 1\nlist:\n  - x\n  - y\n", "f.yaml")
    (_, one), (_, many) = found.pairs

    assert one.where == "f.yaml:2"
    assert [item.where for item in many.items] == ["f.yaml:4", "f.yaml:5"]


def test_a_folded_text_of_the_yaml_specification_reads_as_it_prints():
    # YAML 1.2.2, example 2.15: blank and more indented lines keep their line breaks (from-memory).
    text = (
        ">\n Sammy Sosa completed another\n fine season with great stats.\n\n"
        "   63 Home Runs\n   0.288 Batting Average\n\n What a year!\n"
    )
    found = read_yaml(text, "f.yaml")

    assert found.text == (
        "Sammy Sosa completed another fine season with great stats.\n\n"
        "  63 Home Runs\n  0.288 Batting Average\n\nWhat a year!"
    )


@pytest.mark.parametrize(
    ("source", "where", "sentence"),
    [
        ("a: 1\nb: [1, 2\n", "f.yaml:2", "A bracket must be closed"),
        ("a: 1\nb: 'x\nc: 2\n", "f.yaml:2", "A quotation mark must be closed"),
        ("a: 1\n\tb: 2\n", "f.yaml:2", "Replace the tab"),
        ("a:\t1\n", "f.yaml:1", "Replace the tab"),
        ("a: 1\nb: %x\n", "f.yaml:2", "Put it in quotes"),
        ("a: b: c\n", "f.yaml:1", "Put a value with a colon in quotes"),
        ("a: 1\nb 2\nc: 3\n", "f.yaml:3", "a key, a colon and a space"),
        ("a: 1\n---\nb: 2\n", "f.yaml:2", "one document"),
        ("a: &x 1\nb: *x\n", "f.yaml:1", "anchor or alias"),
        ("a: *x\n", "f.yaml:1", "anchor or alias"),
        ("a: !!python/object/apply:os.system ['true']\n", "f.yaml:1", "the tag"),
        ("a: !mine x\n", "f.yaml:1", "the tag"),
        ("a: 1\nb: \x00\n", "f.yaml:2", "a hidden character in line 2"),
        ("a: '1'\nb: \"\\ud800\"\n", "f.yaml:2", "half of one"),
        ('a: "\\UFFFFFFFF"\n', "f.yaml", "must name a character"),
        (b"a: 1\nb: \xe4\n", "f.yaml:2", "UTF-8"),
        ("a: 1\n".encode("utf-16"), "f.yaml:1", "UTF-8"),
        ("\ud800", "f.yaml:1", "UTF-8"),
        ("", "f.yaml", "an empty file"),
        ("# only a remark\n", "f.yaml", "an empty file"),
        ("a: b\n" * (LONGEST_FILE // 4), "f.yaml", "at most 200 kB"),
        ("[" * (DEEPEST + 1), "f.yaml:1", "deep in each other"),
        ("[\n" * 90_000, f"f.yaml:{DEEPEST + 1}", "deep in each other"),
        ("- a\n" * (MOST_VALUES + 1), f"f.yaml:{MOST_VALUES}", "at most 8000 values"),
    ],
)
def test_what_is_no_plain_yaml_is_told_in_one_sentence_with_its_line(source, where, sentence):
    with pytest.raises(BadEntry, match=sentence) as told:
        read_yaml(source, "f.yaml")

    assert told.value.where == where
    assert "\n" not in str(told.value)


def test_a_doubling_bomb_is_refused_before_it_grows():
    lines = ["a0: &a0 [x, x]"] + [f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}]" for n in range(1, 60)]

    with pytest.raises(BadEntry, match="anchor or alias"):
        read_yaml("\n".join(lines), "f.yaml")


def test_a_mark_of_order_at_the_start_and_line_ends_of_another_system_do_no_harm():
    assert plain(read_yaml(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n", "f.yaml")) == {"a": "1", "b": "2"}


SIGNS = st.text(alphabet="ab1 \t\n:-[]{},'\"#&*!|>%@`?~\\x0u\u00e9\ud800\x00", max_size=60)


@given(SIGNS | st.text(max_size=60) | st.binary(max_size=60))
@example("a: |9\n b")
@example("%YAML 9.9\n---\na: 1")
@example("? - : -\n")
@example('"\\x"')
def test_no_text_brings_forth_any_other_error(source):
    told = ""
    try:
        found = read_yaml(source, "f.yaml")
    except StillroomError as trouble:
        told = str(trouble)

    assert told.startswith("f.yaml") if told else isinstance(found, Written)
