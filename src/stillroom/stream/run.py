"""Run a procedure: the same steps before (plan), during (forecast) and after (account).

Promises that every step closes in every draw, or an error names the step. Everything is in proportion to the
scale, which may be one number or one for each draw; a fixed loss is not. Keeps what each step took and gave,
since a page shows it; only inputs need ever be stored.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.records.procedures import Procedure, Step
from stillroom.stream.closure import must_close
from stillroom.stream.components import Array, Grams, Number, made_of, whole_mass
from stillroom.stream.kind import Feed, Kind, Work
from stillroom.stream.kinds import KINDS


@dataclass(frozen=True, slots=True)
class StepAccount:
    """What one step took, gave and lost, in grams of components by draws."""

    name: str
    kind: str
    taken: Mapping[str, Grams]
    given: Mapping[str, Grams]
    losses: Mapping[str, Grams]
    work: Work


@dataclass(frozen=True, slots=True)
class Account:
    """Where the mass went.

    Attributes
    ----------
    steps : tuple of StepAccount
    from_shelf : mapping of str to array
        What each line of the procedure gave. [g]
    outs : mapping of str to array
        What was given and not taken again: the product, and all that stays behind. [g]
    """

    steps: tuple[StepAccount, ...]
    from_shelf: Mapping[str, Grams]
    outs: Mapping[str, Grams]

    def step(self, name: str) -> StepAccount:
        """The account of one step.

        Raises
        ------
        UnknownName
            There is no such step.
        """
        for one in self.steps:
            if one.name == name:
                return one
        raise UnknownName.among(name, "a step of this account", (one.name for one in self.steps))

    def given(self, name: str) -> Grams:
        """What some step gave under that name, whether or not it was taken again [g].

        Raises
        ------
        UnknownName
            Nothing of that name was given.
        """
        for one in self.steps:
            if name in one.given:
                return one.given[name]
        raise UnknownName.among(name, "something given", (key for one in self.steps for key in one.given))

    def rows(self, component: int | None = None) -> tuple["Row", ...]:
        """The account as a table: what went into, came out of and was lost at each step.

        Parameters
        ----------
        component : int, optional
            Row of one component; the whole mass when left out. [-]
        """
        found = []
        for one in self.steps:
            for role, streams in (("in", one.taken), ("out", one.given), ("lost", one.losses)):
                for name, stream in streams.items():
                    mass_g = whole_mass(stream) if component is None else stream[component]
                    low, middle, high = np.percentile(mass_g, (5.0, 50.0, 95.0))
                    found.append(Row(one.name, role, name, float(middle), float(low), float(high)))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the account: median, 5 and 95 % [g]."""

    step: str
    role: str
    name: str
    median_g: float
    low_g: float
    high_g: float


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
    if np.min(scale_g) <= 0:
        raise BadEntry("The scale must be above zero", f"{float(np.min(scale_g)):.6g} g")
    at_hand: dict[str, Grams] = {}
    from_shelf: dict[str, Grams] = {}
    accounts = []
    for step in procedure.steps:
        kind = kind_of(step)
        values = _values(step, kind, settings)
        taken: dict[str, Grams] = {}
        upon = _from_shelf(procedure, step, kind, feeds, values, scale_g, draws, dosed_g, at_hand)
        for name in step.takes:
            if name in at_hand:
                taken[name] = at_hand.pop(name)
            else:
                taken[name] = upon[name]
                from_shelf[name] = from_shelf.get(name, 0.0) + upon[name]
        inlets = tuple(taken.values())
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
        at_hand.update(given)
        work = _work(step, kind, inlets, done.outlets, values) if with_work else Work()
        accounts.append(StepAccount(step.name, step.kind, taken, given, done.losses, work))
    return Account(tuple(accounts), from_shelf, at_hand)


def kind_of(step: Step) -> Kind:
    """The kind of a step, with its doors compared.

    Raises
    ------
    UnknownName
        There is no such kind; the nearest names are offered.
    BadEntry
        The step takes or gives another number of things, lacks a setting, or has one too many.
    """
    if step.kind not in KINDS:
        raise UnknownName.among(step.kind, "a kind of step", KINDS)
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
    extra = sorted(named - set(kind.settings) - amounts)
    if extra:
        raise UnknownName.among(extra[0], f"a setting of the step {step.name!r}", (*kind.settings, *amounts))
    return kind


def amount_settings(line: str) -> tuple[str, str]:
    """Names of the settings that say how much of a shelf line a step takes per gram of scale."""
    name = line.replace(" ", "_").replace("-", "_")
    return f"{name}_ml_per_g", f"{name}_g_per_g"


def _values(step: Step, kind: Kind, settings: Mapping[str, Number]) -> dict[str, Number]:
    values = {one.name: settings.get(f"{step.name}/{one.name}", one.value) for one in step.settings}
    told = {name: f"{step.name}/{name}" for name in kind.told}
    return values | {name: settings[key] for name, key in told.items() if key in settings}


def _from_shelf(
    procedure: Procedure,
    step: Step,
    kind: Kind,
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
        )
    return rest


def _work(
    step: Step,
    kind: Kind,
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
