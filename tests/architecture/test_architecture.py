"""What holds the house together: who imports whom, what is built when, and what goes into the wheel."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SERVICE, PLUGINS = ROOT / "service", ROOT / "plugins"
PACKAGES = sorted(path for path in PLUGINS.iterdir() if path.is_dir() and path.name != "__pycache__")

#: The domain reaches none of these, not even through what it imports.
KEPT_OUT = ("flask", "flask_smorest", "marshmallow", "sqlalchemy", "orjson")

IMPORT_THE_DOMAIN = """
import importlib, pkgutil, sys
for name in ("measure", "mounts", "fitting", "riding", "checkout"):
    package = importlib.import_module(f"mountwright.{name}")
    for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
        importlib.import_module(module.name)
print(*sorted(name for name in sys.modules if name.startswith("mountwright.")))
print(*sorted({name.partition(".")[0] for name in sys.modules}))
"""

COUNT_THE_APPS = """
import gc
import mountwright.bootstrap, mountwright.cli
from flask import Flask
print(sum(isinstance(thing, Flask) for thing in gc.get_objects()))
"""


def printed(program: str) -> list[list[str]]:
    """Give the words of each line that a program prints in a fresh interpreter."""
    command = [sys.executable, "-c", program]
    found = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    return [line.split() for line in found.stdout.splitlines()]


def imported(path: Path) -> Iterator[str]:
    """Give the module behind every import statement of a file; one relative to its own package starts with a dot."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module == "mountwright":
            yield from (f"mountwright.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield "." * node.level + (node.module or "")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> frozenset[str]:
    """Give the names of the files in a freshly built wheel."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(command, cwd=ROOT, capture_output=True, timeout=120, check=True)
    (built,) = folder.glob("*.whl")
    with zipfile.ZipFile(built) as archive:
        return frozenset(archive.namelist())


def test_every_plugin_folder_has_one_entry_point_and_every_entry_point_a_folder() -> None:
    """A standard in the box is registered as a stranger's would be, and nothing is registered that is not there."""
    project = tomllib.loads(ROOT.joinpath("pyproject.toml").read_text(encoding="utf-8"))["project"]
    registered = project["entry-points"]["mountwright.standards"]
    assert [package.name for package in PACKAGES] == sorted(registered.values())
    assert {name: f"mountwright_{name}" for name in registered} == registered


def test_the_domain_loads_neither_the_web_nor_a_database() -> None:
    """Every module of measure, mounts and fitting is imported in a fresh interpreter."""
    ours, roots = printed(IMPORT_THE_DOMAIN)
    assert {"mountwright.measure.quantity", "mountwright.mounts.registry", "mountwright.fitting.joints"} <= set(ours)
    assert [] == [name for name in KEPT_OUT if name in roots]


def test_importing_bootstrap_and_cli_builds_no_app() -> None:
    """No application exists anywhere in the interpreter until somebody asks for one."""
    assert [["0"]] == printed(COUNT_THE_APPS)


@pytest.mark.parametrize("package", PACKAGES, ids=lambda package: package.name)
def test_a_plugin_imports_nothing_of_ours_but_the_plugin_module(package: Path) -> None:
    """What a plugin in the box needs, a stranger's has too."""
    names = {name for path in package.rglob("*.py") for name in imported(path) if name.startswith("mountwright")}
    foreign = {name for name in names if name.partition(".")[0] != package.name}
    assert {"mountwright.plugin"} == foreign


@pytest.mark.parametrize("package", PACKAGES, ids=lambda package: package.name)
def test_a_plugin_in_the_box_is_complete(package: Path) -> None:
    """It says what it is, brings its standards as data, and is typed."""
    assert [] == [name for name in ("README.md", "__init__.py", "py.typed") if not package.joinpath(name).is_file()]
    assert [] != list(package.glob("*.toml"))


def test_the_wheel_holds_only_packages_of_ours_and_their_metadata(wheel: frozenset[str]) -> None:
    """No test, no tool and no stray file gets into anybody's environment."""
    expected = {"mountwright", *(package.name for package in PACKAGES)}
    roots = {name.partition("/")[0] for name in wheel}
    assert expected == {root for root in roots if not root.endswith(".dist-info")}
    assert ["mountwright"] == [root.partition("-")[0] for root in roots if root.endswith(".dist-info")]


def test_the_wheel_holds_every_module_and_every_data_file(wheel: frozenset[str]) -> None:
    """What is read at run time, and what marks a package as typed, travels along."""
    roots = [SERVICE / "mountwright", *PACKAGES]
    kinds = ("*.py", "*.toml", "*.json", "py.typed")
    wanted = {str(path.relative_to(root.parent)) for root in roots for kind in kinds for path in root.rglob(kind)}
    assert {"mountwright/messages.en.toml", "mountwright/demo/questions.json", "mountwright/py.typed"} <= wanted
    assert set() == wanted - wheel


def test_the_wheel_holds_nothing_that_is_made_at_run_time(wheel: frozenset[str]) -> None:
    """No byte code of one interpreter is sent to all others."""
    assert [] == [name for name in wheel if "__pycache__" in name or name.endswith(".pyc")]
