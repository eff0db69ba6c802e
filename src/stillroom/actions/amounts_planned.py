"""What each step of a batch is planned to take and give: the procedure run at its medians with the lots in hand."""

from collections.abc import Mapping

from stillroom.planning.assumptions import ASSUMED
from stillroom.planning.feeds import feeds_of, plant_makeup
from stillroom.quantities.parse import parse
from stillroom.records.procedures import Procedure
from stillroom.store.reader import Reader
from stillroom.stream.components import whole_mass
from stillroom.stream.kind import Feed
from stillroom.stream.run import run
from stillroom.substances.markers import molar_mass


def planned_g(look: Reader, batch: str) -> dict[tuple[str, str], float]:
    """Planned mass [g] of every line taken and given, by step and name.

    Parameters
    ----------
    look : Reader
    batch : str

    Notes
    -----
    The strength of spirit, acid and ammonia is the one stated on the released lot in hand; without one, the plan's
    assumption. The extract of a formula is planned once its dose is decided.
    """
    begun = look.batch(batch)
    procedure = look.procedure(begun.procedure, begun.version)
    strengths = {role: _strength(look, procedure, start, role) for start, role in STATED}
    plant = _plant(look, procedure)
    feeds = feeds_of(procedure, strengths, plant)
    dosed_g: float | None = None
    dosed = next((line.name for line in procedure.lines if line.role == "dosed"), None)
    decided = True
    if dosed is not None:
        doses = look.doses(batch)
        decided = bool(doses)
        dosed_g = doses[-1].body.mass_g if doses else 0.0
        feeds[dosed] = Feed({"other extractables": 1.0})
    account = run(procedure, feeds, {}, begun.scale_g, 1, dosed_g=dosed_g)
    found: dict[tuple[str, str], float] = {}
    for step in account.steps:
        for name, stream in (*step.taken.items(), *step.given.items()):
            if name == dosed and not decided:
                continue
            found[step.name, name] = float(whole_mass(stream)[0])
    return found


STATED = (
    ("spirit", "strength of the stock spirit"),
    ("hydrochloric acid", "strength of the acid"),
    ("ammonia", "strength of the ammonia"),
)


def _strength(look: Reader, procedure: Procedure, start: str, role: str) -> float:
    """Per cent stated on the newest released lot of the line's substance, or the plan's assumption."""
    substances = {line.substance for line in procedure.lines if line.substance.startswith(start)}
    for lot in reversed(look.lots()):
        if lot.substance in substances and lot.stated and look.status(lot.code) == "released":
            return 100 * parse(lot.stated, want="ratio", where=lot.code).fraction
    return ASSUMED[role].value


def _plant(look: Reader, procedure: Procedure) -> Mapping[str, float]:
    if procedure.purpose != "extraction":
        return {}
    line = next(one for one in procedure.lines if one.name == procedure.scaled_by)
    drying = ASSUMED["loss on drying"].value
    assay = ASSUMED["assay of the plant"].value
    for lot in look.lots():
        if lot.substance == line.substance:
            for entry in look.results(lot.code):
                if not entry.body.counts:
                    continue
                if entry.body.what == "loss on drying":
                    drying = entry.body.value
                elif entry.body.what == "total alkaloids as quinine, as is":
                    assay = entry.body.value
    makeup = plant_makeup(
        assay,
        "quinine",
        "as is",
        drying,
        ASSUMED["other extractables"].value,
        molar_mass("quinine").value,
        molar_mass("cinchonine").value,
    )
    return {name: float(share) for name, share in makeup.items()}
