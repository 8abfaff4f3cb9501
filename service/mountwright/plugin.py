"""Everything that the author of a standard imports; nothing else of this package is meant for plugins.

A plugin hands over a :class:`StandardSet`, as a rule read from its ``standards.toml``::

    from mountwright.plugin import hookimpl, standards_of

    @hookimpl
    def mountwright_standards():
        return standards_of(__name__)
"""

from __future__ import annotations

from collections.abc import Iterable
from importlib import resources

from mountwright.measure.quantity import Estimate, Limits
from mountwright.mounts.bolts import bolts_pass
from mountwright.mounts.check import Check, Rule
from mountwright.mounts.holes import Hole
from mountwright.mounts.hookspecs import hookimpl
from mountwright.mounts.joint import Joint, JointSide
from mountwright.mounts.rules import Alike, PlaneMatch, Stack, Term
from mountwright.mounts.standard import StandardSet
from mountwright.mounts.toml_file import API_VERSION, read_standards, text_of

__all__ = [
    "API_VERSION",
    "Alike",
    "Check",
    "Estimate",
    "Hole",
    "Joint",
    "JointSide",
    "Limits",
    "PlaneMatch",
    "Rule",
    "Stack",
    "StandardSet",
    "Term",
    "bolts_pass",
    "hookimpl",
    "standards_of",
]


def standards_of(package: str, own_rules: Iterable[Rule] = (), file: str = "standards.toml") -> StandardSet:
    """Read the standards file that lies in a package.

    Parameters
    ----------
    package : str
        Its import name, as a rule ``__name__``.
    own_rules : iterable of Rule
        Rules written in Python, asked after the declared ones.
    file : str
        Its name; a plugin with several families has one for each.

    Raises
    ------
    StandardsFileError
        With every fault of the file.
    OSError
        When it cannot be read.
    """
    name = f"{package}/{file}"
    return read_standards(text_of(resources.files(package).joinpath(file), name), name, own_rules)
