"""Every public function of science says the unit of each parameter; a unit in a name is the unit it says."""

import importlib
import inspect
import pkgutil
import re

import pytest

import stillroom.science

NAME_TO_UNIT = {
    "mass_g": "g",
    "mass_mg": "mg",
    "ml": "mL",
    "ml_g": "mL/g",
    "l": "L",
    "mg_l": "mg/L",
    "mg_per_l": "mg/L",
    "c": "°C",
    "k": "K",
    "pa": "Pa",
    "w": "W",
    "j": "J",
    "j_g": "J/g",
    "j_g_k": "J/(g K)",
    "kj_kg": "kJ/kg",
    "m": "m",
    "kg_m3": "kg/m3",
    "g_ml": "g/mL",
    "mol_l": "mol/L",
    "g_mol": "g/mol",
    "mg_ml": "mg/mL",
    "per_k": "1/K",
    "fraction": "1",
    "fraction_20c": "1",
    "difference_g": "g",
    "weighings_g": "g",
    "kelvin": "K",
    "minutes": "min",
}
ENDINGS = sorted(NAME_TO_UNIT, key=len, reverse=True)


def modules():
    found = pkgutil.walk_packages(stillroom.science.__path__, "stillroom.science.")
    return [importlib.import_module(one.name) for one in found]


def public_functions():
    for module in modules():
        if module.__name__ == "stillroom.science.arrays":
            continue
        for name, one in inspect.getmembers(module, inspect.isfunction):
            if one.__module__ == module.__name__ and not name.startswith("_"):
                yield pytest.param(one, id=f"{module.__name__.removeprefix('stillroom.science.')}.{name}")


def sections(function):
    text = inspect.getdoc(function) or ""
    parts = re.split(r"\n\n?(\w+)\n-{3,}\n", text)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def entries(section):
    """Name of each entry with everything said under it."""
    found, name = {}, None
    for line in section.splitlines():
        if line and not line.startswith(" "):
            name = line.split(":")[0].strip()
            found[name] = ""
        elif name:
            found[name] += " " + line.strip()
    return found


def unit_of_name(name):
    return next((NAME_TO_UNIT[end] for end in ENDINGS if name == end or name.endswith("_" + end)), None)


@pytest.mark.parametrize("function", list(public_functions()))
def test_every_parameter_is_described_with_its_unit(function):
    described = entries(sections(function).get("Parameters", ""))
    units = {name: re.findall(r"\[([^\[\]]+)\]", text) for name, text in described.items()}

    assert list(described) == list(inspect.signature(function).parameters)
    assert all(units.values()), [name for name, unit in units.items() if not unit]
    for name, found in units.items():
        expected = unit_of_name(name)
        assert expected is None or found[-1] == expected, (name, found, expected)


@pytest.mark.parametrize("function", list(public_functions()))
def test_what_comes_back_is_described_with_its_unit(function):
    if inspect.signature(function).return_annotation is None:
        return
    returned = sections(function).get("Returns", "")
    annotation = str(inspect.signature(function).return_annotation)
    is_record = inspect.isclass(inspect.signature(function).return_annotation) and annotation.startswith(
        "<class 'stillroom"
    )
    is_record = is_record or "Dilution" in annotation or "Mixture" in annotation or "Distilled" in annotation
    units = re.findall(r"\[([^\[\]]+)\]", returned)
    expected = unit_of_name(function.__name__)

    assert returned
    assert is_record or units, returned
    assert expected is None or is_record or units[0] == expected


@pytest.mark.parametrize("function", list(public_functions()))
def test_every_source_named_under_a_function_is_a_listed_publication(function):
    sources = importlib.import_module("stillroom.reference.sources").sources()
    named = re.split(r"[,\s]+", sections(function).get("References", "").strip())

    assert set(named) - {""} <= set(sources)


def test_a_unit_that_contradicts_its_name_would_be_seen():
    assert unit_of_name("ethanol_mass_fraction") == "1"
    assert unit_of_name("stock_mass_g") == "g"
    assert unit_of_name("solvent_ml_per_shake") is None
    assert entries("mass_g : float\n    How heavy [kg].") == {"mass_g": " How heavy [kg]."}
