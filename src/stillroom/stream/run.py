"""Run a procedure: the same steps before (plan), during (forecast) and after (account).

Promises that every step closes in every draw, or an error names the step. Everything is in proportion to the
scale, which may be one number or one for each draw; a fixed loss is not. Keeps what each step took and gave,
since a page shows it; only inputs need ever be stored. A plan may be refused (``run``); a record may not
(``run_for_record``): there the account reaches as far as the model does, and says why no further.
"""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from stillroom.errors import BadEntry, NotEnough, OutsideModel, StillroomError, UnknownName, worded
from stillroom.records.procedures import Procedure, Step
from stillroom.stream.account import Account, StepAccount
from stillroom.stream.closure import must_close
from stillroom.stream.components import FIXED_OIL, GLYCEROL, Array, Grams, Number, made_of, whole_mass
from stillroom.stream.kind import Feed, Runs, StepKind, Work
from stillroom.stream.kinds import KINDS

ONLY_A_SLIP = 0.75
"""How alike a kind must be spelt to be offered alone; else all are named."""


def run(
    procedure: Procedure,
    feeds: Mapping[str, Feed],
    settings: Mapping[str, Number],
    scale_g: Number,
    draws: int,
    *,
    dosed_g: Number | None = None,
    with_work: bool = False,
) -> Account:
    """Run every step of a procedure in order.

    Parameters
    ----------
    procedure : Procedure
        Lines and steps.
    feeds : mapping of str to Feed
        What stands on the shelf for each line.
    settings : mapping of str to float or array
        "step/setting" and its value; what is missing is taken from the procedure at its median. What a kind is
        told of the marker stands here too.
    scale_g : float or array
        Mass of the line everything is in proportion to, or of the bulk of a formula. [g]
    draws : int
        Number of draws. [1]
    dosed_g : float or array, optional
        Mass of the dosed line of a formula. [g]
    with_work : bool
        Whether minutes, heat and cooling are reckoned too.

    Raises
    ------
    UnknownName
        A kind, line or component is not known.
    BadEntry
        A step takes what is not there, lacks a setting, or has one that its kind does not read.
    BookTrouble
        A step does not close.
    """
    found = _Running(procedure, feeds, settings, scale_g, draws, dosed_g, with_work=with_work)
    for step in procedure.steps:
        found.through(step)
    return found.account()


def run_for_record(
    procedure: Procedure,
    feeds: Mapping[str, Feed],
    settings: Mapping[str, Number],
    scale_g: Number,
    draws: int,
    *,
    dosed_g: Number | None = None,
    weighed_g: Mapping[str, float] | None = None,
    until: str = "",
    with_work: bool = False,
) -> Account:
    """Run a procedure as far as its model reaches; what it cannot do is told in the account, never raised.

    Parameters
    ----------
    procedure, feeds, settings, scale_g, draws, dosed_g, with_work
        As for ``run``.
    weighed_g : mapping of str to float, optional
        What was weighed of something given, and does not fit the model: later steps take that much, of the make-up
        the model gives it. [g]
    until : str
        Name of something given after which nothing more is asked; "" for the whole.
    """
    found = _Running(procedure, feeds, settings, scale_g, draws, dosed_g, with_work=with_work)
    for step in procedure.steps:
        try:
            found.through(step, weighed_g or {})
        except StillroomError as error:
            return found.account(step.name, error.sentence)
        if until in step.gives:
            break
    return found.account()


class _Running:
    """A procedure under way: what is at hand after the steps so far."""

    def __init__(
        self,
        procedure: Procedure,
        feeds: Mapping[str, Feed],
        settings: Mapping[str, Number],
        scale_g: Number,
        draws: int,
        dosed_g: Number | None,
        *,
        with_work: bool,
    ) -> None:
        self._procedure, self._feeds, self._settings = procedure, feeds, settings
        self._scale_g, self._draws, self._dosed_g, self._with_work = scale_g, draws, dosed_g, with_work
        self._at_hand: dict[str, Grams] = {}
        self._from_shelf: dict[str, Grams] = {}
        self._steps: list[StepAccount] = []

    def through(self, step: Step, weighed_g: Mapping[str, float] = MappingProxyType({})) -> None:
        if np.min(self._scale_g) <= 0:
            raise BadEntry("The scale must be above zero", f"{float(np.min(self._scale_g)):.6g} g")
        kind = kind_of(step)
        values = _values(step, kind, self._settings)
        taken: dict[str, Grams] = {}
        upon = _from_shelf(
            self._procedure,
            step,
            kind,
            self._feeds,
            values,
            self._scale_g,
            self._draws,
            self._dosed_g,
            self._at_hand,
        )
        for name in step.takes:
            if name in self._at_hand:
                taken[name] = self._at_hand.pop(name)
            else:
                taken[name] = upon[name]
                before = self._from_shelf.get(name)
                self._from_shelf[name] = upon[name] if before is None else before + upon[name]
        inlets = tuple(taken.values())
        self._steps.append(StepAccount(step.name, step.kind, taken, {}, {}, Work()))
        if not kind.reckons_stays and any(one[[GLYCEROL, FIXED_OIL]].any() for one in inlets):
            raise OutsideModel(
                worded(
                    "A step of the kind {kind!r} is calculated with water and spirit only", kind=kind.name
                ),
                "glycerol or a plant oil",
                "Macerate with it; what is weighed is kept all the same",
            )
        done = kind.works(inlets, values)
        if len(done.outlets) != len(step.gives) or set(done.losses) != set(kind.losses):
            raise BadEntry(
                worded(
                    "The step {step_name!r} must name what its kind gives ({outlets})",
                    step_name=step.name,
                    outlets=", ".join(kind.outlets),
                ),
                ", ".join(step.gives),
            )
        must_close(step.name, inlets, (*done.outlets, *done.losses.values()), kind.turns)
        given = dict(zip(step.gives, done.outlets, strict=True))
        work = _work(step, kind, inlets, done.outlets, values) if self._with_work else Work()
        self._steps[-1] = StepAccount(step.name, step.kind, taken, given, done.losses, work)
        self._at_hand.update(
            {name: _as_weighed(name, stream, weighed_g.get(name)) for name, stream in given.items()}
        )

    def account(self, stopped_at: str = "", because: str = "") -> Account:
        return Account(tuple(self._steps), self._from_shelf, self._at_hand, stopped_at, because)


def _as_weighed(name: str, stream: Grams, weighed_g: float | None) -> Grams:
    """A stream of the mass that was weighed, in the make-up the model gives it."""
    if weighed_g is None:
        return stream
    mass_g = whole_mass(stream)
    if not weighed_g > 0 or not np.min(mass_g) > 0:
        raise NotEnough(
            worded("Nothing is calculated from {called} on", called=name),
            worded("{weighed_g:g} g of it", weighed_g=weighed_g),
        )
    return np.asarray(stream * (weighed_g / mass_g))


def kind_of(step: Step) -> StepKind:
    """The kind of a step, with its doors compared.

    Raises
    ------
    UnknownName
        There is no such kind; the nearest names are offered.
    BadEntry
        The step takes or gives another number of things, lacks a setting, or has one too many.
    """
    if step.kind not in KINDS:
        raise UnknownName.among(step.kind, "a kind of step", KINDS, near=ONLY_A_SLIP)
    kind = KINDS[step.kind]
    takes, fits = len(step.takes), len(kind.inlets)
    if takes < fits or (takes > fits and not kind.any_number) or len(step.gives) != len(kind.outlets):
        raise BadEntry(
            worded(
                "A step of kind {kind_name!r} takes {inlets} and gives {outlets}",
                kind_name=kind.name,
                inlets=", ".join(kind.inlets),
                outlets=", ".join(kind.outlets),
            ),
            worded(
                "{step_name!r} taking {takes} and giving {gives}",
                step_name=step.name,
                takes=", ".join(step.takes),
                gives=", ".join(step.gives),
            ),
        )
    named = {one.name for one in step.settings}
    missing = [name for name in kind.settings if name not in named]
    if missing:
        raise BadEntry(
            worded(
                "The step {step_name!r} must set {settings}",
                step_name=step.name,
                settings=", ".join(kind.settings),
            ),
            worded("no {missing}", missing=missing[0]),
        )
    amounts = {amount for line in step.takes for amount in amount_settings(line)}
    extra = sorted(named - set(kind.known_settings) - amounts)
    if extra:
        raise UnknownName.among(
            extra[0], f"a setting of the step {step.name!r}", (*kind.known_settings, *amounts)
        )
    return kind


def amount_settings(line: str) -> tuple[str, str]:
    """Names of the settings that say how much of a shelf line a step takes per gram of scale."""
    name = line.replace(" ", "_").replace("-", "_")
    return f"{name}_ml_per_g", f"{name}_g_per_g"


def _values(step: Step, kind: StepKind, settings: Mapping[str, Number]) -> dict[str, Number]:
    values = {one.name: settings.get(f"{step.name}/{one.name}", one.value) for one in step.settings}
    told = {name: f"{step.name}/{name}" for name in kind.told}
    return values | {name: settings[key] for name, key in told.items() if key in settings}


def _from_shelf(
    procedure: Procedure,
    step: Step,
    kind: StepKind,
    feeds: Mapping[str, Feed],
    values: Mapping[str, Number],
    scale_g: Number,
    draws: int,
    dosed_g: Number | None,
    at_hand: Mapping[str, Grams],
) -> dict[str, Grams]:
    lines = {one.name: one for one in procedure.lines}
    wanted = [name for name in step.takes if name not in at_hand]
    for name in wanted:
        if name not in lines:
            known = (*lines, *at_hand)
            raise UnknownName.among(name, f"something the step {step.name!r} can take", known)
        if name not in feeds:
            raise BadEntry(
                worded("The make-up of the line {called!r} must be known", called=name),
                "nothing",
                "Give its feed",
            )
    if kind.takes_up is not None and len(wanted) == len(step.takes):
        amounts = kind.takes_up(tuple(feeds[name] for name in step.takes), values, scale_g)
        return {
            name: made_of(feeds[name].makeup, grams, draws)
            for name, grams in zip(step.takes, amounts, strict=True)
        }
    found = {}
    for name in wanted:
        if name == procedure.scaled_by:
            grams: Number = scale_g
        elif procedure.purpose == "formula":
            grams = _formula_line_g(procedure, name, scale_g, dosed_g)
        else:
            grams = _in_proportion_g(step, name, feeds[name], values, scale_g)
        found[name] = made_of(feeds[name].makeup, grams, draws)
    return found


def _in_proportion_g(
    step: Step, name: str, feed: Feed, values: Mapping[str, Number], scale_g: Number
) -> Number:
    by_volume, by_mass = amount_settings(name)
    if by_mass in values:
        return np.asarray(scale_g) * values[by_mass]
    if by_volume not in values:
        raise BadEntry(
            worded(
                "The step {step_name!r} must say how much {called} it takes", step_name=step.name, called=name
            ),
            "nothing",
            worded("Set {by_mass} or {by_volume}", by_mass=by_mass, by_volume=by_volume),
        )
    if feed.density_g_ml is None:
        raise BadEntry(
            worded("{called} is measured by volume, so its density must be known", called=name), "none"
        )
    return np.asarray(scale_g) * values[by_volume] * feed.density_g_ml


def _formula_line_g(procedure: Procedure, name: str, bulk_g: Number, dosed_g: Number | None) -> Number:
    line = next(one for one in procedure.lines if one.name == name)
    if line.role == "dosed":
        if dosed_g is None:
            raise BadEntry(
                worded("The dosed line {called!r} needs its mass", called=name),
                "none",
                "Dose it by its assay first",
            )
        return dosed_g
    if line.percent is not None:
        return np.asarray(bulk_g) * (line.percent / 100.0)
    stated = sum(one.percent or 0.0 for one in procedure.lines) / 100.0
    rest: Array = np.asarray(bulk_g) * (1.0 - stated) - (0.0 if dosed_g is None else dosed_g)
    if np.min(rest) < 0:
        raise BadEntry(
            "The lines of a formula cannot exceed 100 %",
            worded("{stated:.6g} % and the dosed line", stated=100 * stated),
            "Ask for less of the active, or for a stronger extract: this one may hold too little",
        )
    return rest


def runs_of(procedure: Procedure, account: Account, settings: Mapping[str, Number]) -> dict[str, Runs]:
    """How the steps run that have something to show, by their names; a step that the model does not reach is left out.

    Parameters
    ----------
    account : Account
        Of a run of it.
    settings : mapping of str to float or array
        As for ``run``.
    """
    found = {}
    for step in procedure.steps:
        kind = KINDS.get(step.kind)
        if kind is not None and kind.shows is not None and account.reaches(step.name):
            inlets = tuple(account.step(step.name).taken.values())
            runs = kind.shows(inlets, _values(step, kind, settings))
            if runs.figures or runs.says or runs.cannot:
                found[step.name] = runs
    return found


def _work(
    step: Step,
    kind: StepKind,
    inlets: tuple[Grams, ...],
    outlets: tuple[Grams, ...],
    values: Mapping[str, Number],
) -> Work:
    asked = kind.asks(inlets, outlets, values)
    return Work(
        hands_min=step.hands_min + asked.hands_min,
        watch_min=step.watch_min + asked.watch_min,
        free_min=step.free_min + asked.free_min,
        heat_kwh=asked.heat_kwh,
        cooling_j=asked.cooling_j,
    )
