"""Every example in a docstring of `genetics` runs."""

import doctest
import importlib
import pkgutil

import pytest

import genetics

MODULES = ["genetics", *(module.name for module in pkgutil.walk_packages(genetics.__path__, "genetics."))]


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_run(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_every_public_value_and_function_has_an_example() -> None:
    finder = doctest.DocTestFinder(recurse=False)
    public = {name: getattr(genetics, name) for name in genetics.__all__}
    # A kind of failure says in its docstring which facts it carries; the tree's leaves need no example each.
    failures = {"CrossFault", "KinshipFault", "ModelFault", "Problem", "StateFault", "TraitFault"} | {
        name
        for name, value in public.items()
        if isinstance(value, type) and issubclass(value, genetics.GeneticsError) and name != "NotationError"
    }
    bare = {name for name, value in public.items() if not any(test.examples for test in finder.find(value, name))}
    assert bare == failures


def test_every_public_name_has_a_docstring_of_its_own() -> None:
    assert [name for name in genetics.__all__ if not (getattr(genetics, name).__doc__ or "").strip()] == []


def test_the_package_loads_nothing_heavy() -> None:
    import subprocess
    import sys

    code = "import sys, genetics; print(sorted({'numpy', 'scipy', 'matplotlib', 'bot'} & set(sys.modules)))"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
