"""A table of lots on the pages: a template, each wrong cell with its reason, and nothing taken before "Take these"."""

import re
from html import unescape

AT = "/stock/new/many"
HEAD = "lot,kind,substance,amount,use by\n"


def sent(bench, content, name="lots.csv"):
    return bench.client.post(AT, files={"table": (name, content)}, follow_redirects=False)


def test_the_template_comes_back_and_stands_on_the_shelf_after_take_these(bench, said):
    for ending in ("csv", "xlsx"):
        before = bench.digest()
        shown = sent(bench, bench.client.get(f"{AT}.{ending}").content, f"lots.{ending}")
        assert (shown.status_code, bench.digest()) == (200, before)
        assert "LOT-2" in shown.text
        assert "Take these" in shown.text
    hidden = unescape(re.search(r'<input type="hidden" name="table" value="([^"]*)"', shown.text)[1])
    key = re.search(r'name="request_key" value="([^"]+)"', shown.text)[1]
    typed = {"table": hidden.replace("\n", "\r\n"), "by": "TO", "request_key": key}
    taken = bench.client.post(f"{AT}/take", data=typed, follow_redirects=False)
    between = bench.digest()
    again = bench.client.post(f"{AT}/take", data=typed, follow_redirects=False)

    assert (taken.status_code, taken.headers["location"]) == (303, "/stock")
    assert bench.client.get("/stock/LOT-2").status_code == 200
    assert (again.status_code, bench.digest()) == (303, between)


def test_each_wrong_cell_stands_with_its_reason_and_nothing_can_be_taken(bench):
    before = bench.digest()
    shown = sent(bench, HEAD + "A 1,packaging,bottle,2 kg,soon\n")

    assert shown.status_code == 422
    assert "Take these" not in shown.text
    for cell in ("A 1", "2 kg", "soon"):
        assert f">{cell}</span>" in shown.text
    assert bench.digest() == before


def test_a_table_that_was_changed_between_is_refused_whole(bench):
    before = bench.digest()
    typed = {"table": HEAD + "A-1,water,water,1 kg,\nA-2,water,water,none,\n", "by": "TO"}
    refused = bench.client.post(f"{AT}/take", data=typed, follow_redirects=False)

    assert (refused.status_code, bench.digest()) == (422, before)
    assert "the first in row 3" in unescape(refused.text)


def test_no_file_and_another_file_are_refused_in_a_sentence(bench):
    assert bench.client.post(AT, data={}, follow_redirects=False).status_code == 422
    assert sent(bench, b"\xff\xd8\xff photograph").status_code == 422
    assert sent(bench, b"PK\x03\x04").status_code == 422
    assert bench.client.get(f"{AT}.pdf").status_code == 404
