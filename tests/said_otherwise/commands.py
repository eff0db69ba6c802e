"""A question as it is typed: the command that asks what a form asks."""

from collections.abc import Mapping

OPTIONS: dict[str, dict[str, str]] = {
    "dilute": {
        "have": "--have", "known-by": "--known-by", "want": "--want", "temperature": "--at",
        "have-plus-minus": "--plus-minus", "read-at": "--read-at", "division": "--division",
        "thermometer": "--thermometer",
    },
    "dose": {
        "wanted": "--want", "amount": "--bulk", "strength": "--strength", "of": "--of", "matter": "--matter",
        "plus-minus": "--plus-minus", "kind": "--kind", "market": "--market", "step": "--step",
        "loss-on-drying": "--loss-on-drying", "density": "--density", "at-hand": "--at-hand", "how-sure": "--how-sure",
        "next-strength": "--next-strength", "usual-share": "--share",
    },
    "recover": {
        "have": "--have", "known-by": "--known-by", "temperature": "--at", "stop": "--stop", "stop-as": "--stop-as",
        "power": "--power", "share": "--share", "altitude": "--altitude", "pressure": "--pressure",
        "escapes": "--escapes", "distillate-at": "--distillate-at", "have-plus-minus": "--plus-minus",
        "read-at": "--read-at", "thermometer": "--thermometer",
    },
    "acid": {
        "of": "--of", "want": "--want", "density": "--density", "have-plus-minus": "--plus-minus",
        "titrated": "--titrated", "titrated-plus-minus": "--titrated-plus-minus",
    },
    "buffer": {
        "pair": "--pair", "ph": "--ph", "total": "--total", "read-by": "--read-by", "meter-buffers": "--meter-buffers",
        "scale": "--scale",
        "plus-minus": "--plus-minus", "at": "--at", "holds": "--holds",
    },
    "reagent": {"amount": "--amount", "step": "--step"},
    "shake": {
        name: f"--{name}" for name in ("pka", "partition-ratio", "ph", "water", "solvent", "portions", "ph-by")
    },
    "siphon": {
        "collected": "--collected", "cycle": "--cycle", "remain": "--remain", "sure": "--sure", "sample": "--sample",
        "siphoned": "--siphoned",
    },
    "strengthen": {
        "want": "--want", "amount": "--amount", "carrier": "--carrier", "native": "--native", "kind": "--kind",
        "of": "--of",
    },
    "kinetics": {"time-in": "--time-in", "unit": "--unit", "law": "--law", "at": "--at"},
}  # fmt: skip
"""Fields of a question and the options of its command; a question without them here has words of its own there."""
ARGUMENT = {
    "dilute": "amount",
    "recover": "amount",
    "acid": "amount",
    "buffer": "amount",
    "siphon": "residues",
    "kinetics": "table",
    "strengthen": "lots",
}


def command(question: str, fields: Mapping[str, str], otherwise: str) -> list[str]:
    """The words of the command, or none where the field said otherwise is no option of its own there."""
    if otherwise not in (*OPTIONS.get(question, ()), ARGUMENT.get(question, "")):
        return []
    if question not in OPTIONS or "bottle-empty" in fields or "holds" in fields:
        return []
    words = ["reagent", "wagner"] if question == "reagent" else [question]
    if question in ARGUMENT:
        words.append(fields[ARGUMENT[question]])
    for name, text in fields.items():
        if name in OPTIONS[question]:
            words += [OPTIONS[question][name], text]
    if "shows" in fields and "shows-at" in fields:
        words += ["--shows", f"{fields['shows']} at {fields['shows-at']}"]
    return [*words, "--at-least"] if fields.get("meets") == "at least" else words
