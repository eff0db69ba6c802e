"""Sentences that stand in the code of a page, a form or a document and not in the catalogue.

``python -m tests.texts.loose_sentences pages/stock.py web/lots.py`` lists them.
"""

import ast
import re
import sys
from collections.abc import Iterator

from tests.habits.source_tree import modules, nodes

LOOKED_UP = ("documents/", "questions/", "asking/form", "web/", "pages/", "actions/releasing/lot_waits")
"""Rooms whose every sentence stands in the catalogue."""
NOT_SAID: dict[str, frozenset[str]] = {
    "actions/releasing/lot_waits.py": frozenset({"the person who releases"}),
    "pages/batches.py": frozenset({"fill yield"}),
    "pages/lists.py": frozenset({"not met"}),
    "pages/reagents.py": frozenset({"titrant strength", "titrant factor", ", standard uncertainty {}"}),
    "documents/calendar_entry.py": frozenset(
        {"UID:{}", "DTSTAMP:{}", "DTSTART:{}", "SUMMARY:{}", "DESCRIPTION:{}"}
    ),
    "pages/reagent_recipe.py": frozenset({"making sheet"}),
    "pages/spirit_month.py": frozenset({"in products", "in marc and waste", "left the shelf"}),
    "pages/procedures.py": frozenset({"procedure written"}),
    "pages/procedure_templates.py": frozenset({"way of extracting"}),
    "documents/stream_drawing.py": frozenset({"Bend", "Pool"}),
    "web/script_words.py": frozenset({"export const LANGUAGES = {};\n"}),
    "questions/cooling.py": frozenset({"margin below the boiling point", "heater {}"}),
    "questions/dose.py": frozenset(
        {
            "aim at least",
            "aim on average",
            "loss on drying of the extract",
            "as is",
            "not known",
            "at least",
            "It is to hold at least that much, not about.",
            "usual for a dry extract; nobody dried this one",
            "strength of the next lot",
            "an example, a quarter {}: lots of one plant differ by more",
        }
    ),
    "questions/order.py": frozenset(
        {
            "as said when it was asked",
            "working hours",
            "total alkaloids as quinine",
            "total phenols as gallic acid",
            "Rosemary scalp tonic",
            "hair leave-on",
            "rosemary leaf",
            "not named yet",
            "as asked",
            'Say what would be assumed: --say "loss-on-drying=8.1 ± 0.4".',
        }
    ),
    "questions/offer.py": frozenset(
        {"not named yet", "as asked", 'Say what would be assumed: --say "loss-on-drying=8.1 ± 0.4".'}
    ),
    "questions/offer_otherwise.py": frozenset(
        {
            'Until what they send is here: "2 to 5 days".',
            "not named yet",
            "rosemary leaf",
            "rosmarinic acid",
            "loss on drying, titration",
        }
    ),
    "questions/offer_worked.py": frozenset({"as asked", "hair leave-on", "other reagents", "hour of work"}),
    "questions/offer_diluted.py": frozenset(
        {"mix to strength", "read strength", "stock spirit", "hour of work", "spirit {} %", "purified water"}
    ),
    "questions/order_told.py": frozenset({"price of {}"}),
    "questions/factor.py": frozenset(
        {
            "how sure the scale is",
            "how sure the burette is",
            "how sure the weighed titrant is",
            "standard taken",
            "standard taken {}",
            "titre {}",
            "no more",
            "Since {} it moved by {} %, {} than this factor is sure of. {}",
        }
    ),
    "questions/recover.py": frozenset(
        {"temperature of the distillate", "what {}", "parameter_ranges, eta_mantle: {} to {}"}
    ),
    "questions/shake.py": frozenset(
        {
            "pKa of the acid",
            "second pKa",
            "second pKa of the acid",
            "in portions",
            "in portions, at pH {}",
            "all at once",
            "bench sum",
        }
    ),
    "questions/dilute.py": frozenset(
        {
            "L at hand",
            "kg at hand",
            "kg wanted",
            "mL at hand",
            "mL wanted",
            "soda-lime glass",
            " drops of ",
            "to the mark",
            "at hand",
            "ethanol and water only",
            "extract, sugar or glycerol too",
        }
    ),
    "questions/spirit_amounts.py": frozenset({"mixture wanted", "spirit at hand", "at hand", "to the mark"}),
    "questions/spirit_unsaid.py": frozenset({"error of the thermometer"}),
    "questions/blend_stocks.py": frozenset(
        {"stock {}", "plant {}", " per mass", " per volume", "error of the thermometer"}
    ),
    "questions/spirit_at_hand.py": frozenset(
        {"rubbing alcohol", "bottle empty", "bottle with water", "bottle with the spirit"}
    ),
    "questions/siphon.py": frozenset(
        {"within {} mg: common practice, no source", ", of {} mL, times {} mL over {} mL"}
    ),
    "web/app.py": frozenset({"UnknownName"}),
    "web/bench.py": frozenset({"back {}", "off {}"}),
    "web/forms.py": frozenset({"Ask | tuple[Ask, ...]"}),
    "web/lots.py": frozenset({"dish after drying"}),
    "web/orders.py": frozenset({"declared at least", "how sure", "hair leave-on", "Kept"}),
    "web/outside.py": frozenset({"Products"}),
    "web/pages.py": frozenset({" at entry "}),
    "web/phones.py": frozenset({"private, max-age=86400, immutable"}),
    "web/jinja_environment.py": frozenset({"Bench", "Make", "Test", "Stock", "Trace", "Block"}),
    "web/procedures.py": frozenset({"{}name"}),
    "web/reagent_bottles.py": frozenset({"not done"}),
    "web/reagents.py": frozenset({"Test", "Ask"}),
    "web/stock.py": frozenset({"denatured with"}),
    "web/testing.py": frozenset({"ethyl acetate", "not done"}),
}
"""What looks like a sentence in a module and is read by a machine: names of fields, headers, kinds in the book."""
LOOKS_UP = frozenset({"t", "later", "word", "say_word"})
RAISED = frozenset({
    "BadEntry", "OutsideModel", "UnknownName", "NotEnough", "NotAllowed", "BookTrouble", "StillroomError",
})  # fmt: skip
"""An error carries its own sentence, which is its name in the catalogue."""
LEAVES = frozenset({"worded", "reading", "assumed", "published", "reckoned", "doubt", "TypeVar"})
"""What an answer is called and rests on is kept in the book, and so in English; ``worded`` is a look-up of its own."""
UNREAD_ARGUMENTS = frozenset({
    "template", "kind", "media_type", "href", "action", "here", "name", "back", "help", "of", "house", "flags",
})  # fmt: skip
UNITS = frozenset(
    {"mL", "kg", "mg", "EUR", "min", "mol", "hPa", "kPa", "kJ", "mm", "pt", "px", "mmol", "pH", "kWh"}
)
"""Words that stand beside a figure in every language."""
_ADDRESS = re.compile(r"^/|/$|[<>#?=&_]|https?:|^[a-z-]+-$|\.(pdf|png|json|txt|ics|html)|%[YmdHM]")
_WORD = re.compile(r"(?<![A-Za-z/.%°-])[A-Za-z]{2,}(?![A-Za-z/-])")
_MARKUP = re.compile(r"^<|</")
_SENTENCE = re.compile(r"[A-Za-z]{2,},? [A-Za-z]{2,}|^\W*[A-Z][a-z]{2,}")


def loose_sentences(module: str) -> list[tuple[int, str]]:
    """Line and words of every text of a module that a person would read and no look-up gave."""
    tree = modules()[module]
    unread = {id(one) for node in nodes(tree) for one in _unread(node)}
    return sorted(
        (node.lineno, said)
        for node in nodes(tree)
        if isinstance(node, ast.Constant | ast.JoinedStr) and id(node) not in unread
        if (said := _words(node)) and not _MARKUP.search(said)
        if _SENTENCE.search(said) or _has_a_word(node)
        if said not in NOT_SAID.get(module, ())
    )


def _words(node: ast.Constant | ast.JoinedStr) -> str:
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    return "".join(str(one.value) if isinstance(one, ast.Constant) else "{}" for one in node.values)


def _has_a_word(node: ast.Constant | ast.JoinedStr) -> bool:
    """Whether a word stands between the values of a text: "{} of {}"."""
    if isinstance(node, ast.Constant):
        return False
    pieces = [str(one.value) for one in node.values if isinstance(one, ast.Constant)]
    if any(_ADDRESS.search(one) for one in pieces):
        return False
    return any(word not in UNITS for one in pieces for word in _WORD.findall(one))


def _unread(node: ast.AST) -> Iterator[ast.AST]:
    """What hangs below a node and is not said: documentation, look-ups, errors, comparisons, keys, patterns."""
    match node:
        case ast.Expr(value=ast.Constant()):
            yield node.value
        case ast.Call() if _called(node) in LOOKS_UP | RAISED | LEAVES:
            yield from ast.walk(node)
        case ast.Call():
            for argument in node.keywords:
                if argument.arg in UNREAD_ARGUMENTS:
                    yield from ast.walk(argument.value)
        case ast.Compare():
            yield from (below for one in (node.left, *node.comparators) for below in ast.walk(one))
        case ast.Subscript():
            yield from ast.walk(node.slice)
        case ast.Dict():
            yield from (below for key in node.keys if key for below in ast.walk(key))
        case ast.MatchValue():
            yield node.value
        case ast.JoinedStr():
            yield from node.values
        case ast.FunctionDef() | ast.AsyncFunctionDef() | ast.ClassDef():
            for decorator in node.decorator_list:
                yield from ast.walk(decorator)
            if not isinstance(node, ast.ClassDef):
                yield from ast.walk(node.args)
                yield from ast.walk(node.returns) if node.returns else ()
        case ast.AnnAssign():
            yield from ast.walk(node.annotation)
        case ast.Assign(targets=[ast.Name(id="HERE" | "PASTED" | "SLIPS")]):
            yield from ast.walk(node.value)


def _called(node: ast.Call) -> str:
    match node.func:
        case ast.Name(id=name):
            return name
        case ast.Attribute(value=ast.Name(id=owner)) if owner in RAISED:
            return owner
        case ast.Attribute(attr=name):
            return name
    return ""


if __name__ == "__main__":
    for asked in sys.argv[1:]:
        for line, said in loose_sentences(asked):
            sys.stdout.write(f"{asked}:{line}: {said}\n")
