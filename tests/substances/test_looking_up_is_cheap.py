"""A name that no table holds costs a look-up, not a search for what it may have been, each time it is asked."""

from stillroom.products.formula_facts import FormulaFacts, Share
from stillroom.products.formula_lines import formula_lines
from stillroom.substances.own import Own, OwnIngredient, Stated, by_names, knowing


def test_names_that_are_like_an_unknown_one_are_not_searched_again(monkeypatch):
    searched = []
    near = "stillroom.substances.written_names._nearest"
    monkeypatch.setattr(near, lambda written: searched.append(written) or "")
    monkeypatch.setattr("stillroom.errors.get_close_matches", lambda *_, **__: searched.append("error") or [])
    mine = OwnIngredient("hibiscus infused glycerol", "Glycerin, Hibiscus Sabdariffa Flower Extract")
    own = Own(ingredients=by_names({mine.name: (mine, Stated(1))}))
    facts = FormulaFacts(
        (Share("water", 60.0), Share(mine.name, 30.0), Share("moonwort of the marsh", 10.0)), "face lotion"
    )

    with knowing(lambda: own):
        formula_lines(facts)
        first = len(searched)
        formula_lines(facts)

    assert "error" not in searched
    assert 0 < first == len(searched)
