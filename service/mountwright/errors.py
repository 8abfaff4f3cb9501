"""The one exception tree.

::

    MountwrightError
    ├── InvalidQuantityError     a number that cannot be a length, angle or doubt
    ├── InvalidHoleError         a hole that cannot be
    ├── InvalidMountError        a mount that contradicts itself
    ├── InvalidSpecError         a spec of an article that contradicts itself
    ├── PatternError             two hole patterns that cannot be compared
    ├── StandardsFileError       a standards file with faults, all of them listed
    ├── PluginError              a plugin that cannot be taken in
    ├── SettingsError            an environment variable that cannot be used
    ├── ServiceProblem           the service refused or failed, and says why
    ├── NoAnswer                 the service gave no answer that can be used
    └── CatalogueError           the catalogue cannot be used
        ├── CatalogueAwayError       its database is not to be reached, or is full
        │   └── CatalogueBusyError       it is there and takes too long: another writer, too large a question
        ├── CatalogueSchemaError     its tables are not those of this release
        ├── FamilyCycleError         families that inherit from each other in a ring
        └── ImportRunsError          another file is being brought in
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple


class MountwrightError(Exception):
    """Root of everything this package raises on purpose."""


class InvalidQuantityError(MountwrightError, ValueError):
    """A number that cannot be a length, an angle or a doubt."""

    def __init__(self, found: object, expected: str) -> None:
        self.found, self.expected = found, expected
        super().__init__(f"found {found!r}, expected {expected}")


class InvalidHoleError(MountwrightError, ValueError):
    """A hole that cannot be."""

    def __init__(self, hole: str, found: str, expected: str) -> None:
        self.hole, self.found, self.expected = hole, found, expected
        super().__init__(f"hole {hole!r}: {found}, expected {expected}")


class InvalidMountError(MountwrightError, ValueError):
    """A mount that contradicts itself."""

    def __init__(self, where: str, found: str, expected: str) -> None:
        self.where, self.found, self.expected = where, found, expected
        super().__init__(f"{where}: {found}, expected {expected}")


class InvalidSpecError(MountwrightError, ValueError):
    """A spec of an article that contradicts itself."""

    def __init__(self, where: str, found: str, expected: str) -> None:
        self.where, self.found, self.expected = where, found, expected
        super().__init__(f"{where}: found {found}, expected {expected}")


class PatternError(MountwrightError, ValueError):
    """Two hole patterns that cannot be compared."""

    def __init__(self, found: str, expected: str) -> None:
        self.found, self.expected = found, expected
        super().__init__(f"{found}, expected {expected}")


class StandardsFileError(MountwrightError, ValueError):
    """A standards file with faults, each given by its place in the file."""

    def __init__(self, file: str, faults: Sequence[str]) -> None:
        self.file, self.faults = file, tuple(faults)
        super().__init__(f"{file}: " + "; ".join(self.faults))


class PluginError(MountwrightError):
    """A plugin that cannot be taken in."""

    def __init__(self, plugin: str, reason: str) -> None:
        self.plugin, self.reason = plugin, reason
        super().__init__(f"plugin {plugin!r}: {reason}")


class SettingsError(MountwrightError, ValueError):
    """An environment variable that cannot be used."""

    def __init__(self, variable: str, found: str, expected: str) -> None:
        self.variable, self.found, self.expected = variable, found, expected
        super().__init__(f"{variable}: found {found!r}, expected {expected}")


class ProblemPlace(NamedTuple):
    """A fault of a request.

    Parameters
    ----------
    pointer : str
        JSON pointer (RFC 6901) into the request.
    code : str
    detail : str
        What was found, expected, and what to do.
    """

    pointer: str
    code: str
    detail: str


class ServiceProblem(MountwrightError):  # noqa: N818  # the name that RFC 9457 has for it
    """A service answered with a problem document (RFC 9457), each fault of the request with its place."""

    def __init__(self, status: int, code: str, title: str, detail: str, errors: Sequence[ProblemPlace] = ()) -> None:
        self.status, self.code, self.title, self.detail, self.errors = status, code, title, detail, tuple(errors)
        places = "".join(f"; {place.pointer or 'the whole'}: {place.detail}" for place in self.errors)
        super().__init__(f"{status} {code}: {detail}{places}")


class NoAnswer(MountwrightError):  # noqa: N818  # nothing has to be in error: it may come too late only
    """A service gave no answer that can be used: no connection, none in time, or not one of its own."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(f"no answer: {reason}")


class CatalogueError(MountwrightError):
    """The catalogue cannot be used."""


class CatalogueAwayError(CatalogueError):
    """The catalogue's database is not to be reached, or is full."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(f"the catalogue's database does not answer: {reason}")


class CatalogueBusyError(CatalogueAwayError):
    """The catalogue's database is there, but another writer keeps it, or the question takes it too long."""


class CatalogueSchemaError(CatalogueError):
    """The catalogue's tables are not those of this release."""

    def __init__(self, where: str, found: str, expected: str, remedy: str) -> None:
        self.where, self.found, self.expected, self.remedy = where, found, expected, remedy
        super().__init__(f"catalogue at {where}: found {found}, expected {expected}; {remedy}")


class FamilyCycleError(CatalogueError, ValueError):
    """Families that inherit from each other in a ring."""

    def __init__(self, ring: Sequence[str]) -> None:
        self.ring = tuple(ring)
        super().__init__("families inherit in a ring: " + " from ".join(self.ring))


class ImportRunsError(CatalogueError):
    """Another file is being brought in; there is one import at a time."""

    def __init__(self) -> None:
        super().__init__("another import is running; wait for it to end")
