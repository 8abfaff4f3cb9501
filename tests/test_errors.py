"""The one exception tree: what each says, and that nothing in it is idle."""

from __future__ import annotations

import ast
import inspect
from pathlib import Path

import pytest

from mountwright import errors
from mountwright.errors import (
    InvalidHoleError,
    InvalidMountError,
    InvalidQuantityError,
    MountwrightError,
    PatternError,
    PluginError,
    ProblemPlace,
    SettingsError,
    StandardsFileError,
)

SOURCES = sorted(Path(errors.__file__).parent.rglob("*.py"))

BRANCHES = [
    found
    for _, found in inspect.getmembers(errors, inspect.isclass)
    if found.__module__ == errors.__name__ and found not in (MountwrightError, ProblemPlace)
]


def raised_names() -> set[str]:
    """Give the names of all exceptions that the sources raise, by a call or as they are."""
    nodes = (node for path in SOURCES for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
    raised = (node.exc for node in nodes if isinstance(node, ast.Raise))
    named = (found.func if isinstance(found, ast.Call) else found for found in raised)
    return {found.id for found in named if isinstance(found, ast.Name)}


@pytest.mark.parametrize("branch", BRANCHES)
class TestEveryError:
    """Every error ..."""

    def test_is_caught_with_the_root(self, branch: type[Exception]) -> None:
        """... is one of this package's, so that one except clause catches them all."""
        assert issubclass(branch, MountwrightError)

    def test_is_raised_somewhere(self, branch: type[Exception]) -> None:
        """... is raised by the sources, or it would have no place in the tree."""
        assert branch.__name__ in raised_names()

    def test_stands_in_the_tree(self, branch: type[Exception]) -> None:
        """... stands in the tree at the head of its module."""
        assert f"── {branch.__name__} " in str(errors.__doc__)


@pytest.mark.parametrize(
    ("error", "sentence"),
    [
        (InvalidQuantityError(-1, "a guard band of 0 or more"), "found -1, expected a guard band of 0 or more"),
        (InvalidHoleError("rear", "it is a slot", "a hole"), "hole 'rear': it is a slot, expected a hole"),
        (InvalidMountError("mount at 'frame'", "no pattern", "one"), "mount at 'frame': no pattern, expected one"),
        (PatternError("two holes", "three"), "two holes, expected three"),
        (StandardsFileError("bells.toml", ["a: missing", "b: missing"]), "bells.toml: a: missing; b: missing"),
        (PluginError("bells", "it rang"), "plugin 'bells': it rang"),
        (SettingsError("MOUNTWRIGHT_X", "1k", "a number"), "MOUNTWRIGHT_X: found '1k', expected a number"),
    ],
    ids=lambda value: type(value).__name__ if isinstance(value, Exception) else "",
)
def test_an_error_says_where_it_is_what_was_found_and_what_was_expected(error: Exception, sentence: str) -> None:
    """An error is one sentence with the place, what was found there and what was expected."""
    assert sentence == str(error)


@pytest.mark.parametrize(
    "error",
    [
        InvalidQuantityError(-1, "0 or more"),
        InvalidHoleError("rear", "a slot", "a hole"),
        InvalidMountError("mount", "no pattern", "one"),
        PatternError("two holes", "three"),
        StandardsFileError("bells.toml", []),
        SettingsError("MOUNTWRIGHT_X", "1k", "a number"),
    ],
    ids=lambda error: type(error).__name__,
)
def test_an_error_about_a_value_is_a_value_error(error: Exception) -> None:
    """An error about a value is a ValueError to those who know nothing of this package."""
    assert isinstance(error, ValueError)


def test_the_faults_of_a_file_are_kept_one_by_one() -> None:
    """A file's faults are there as a list, not only as a sentence."""
    assert ("a: missing", "b: missing") == StandardsFileError("bells.toml", ["a: missing", "b: missing"]).faults
