"""Finds the installed standards: entry points of the group ``mountwright.standards`` and a folder of TOML files."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import replace
from functools import partial
from importlib.metadata import EntryPoint, entry_points
from pathlib import Path

import pluggy

from mountwright.errors import MountwrightError, PluginError
from mountwright.mounts import hookspecs
from mountwright.mounts.registry import PluginFailure, Registry, assembled
from mountwright.mounts.standard import StandardSet
from mountwright.mounts.toml_file import read_standards, text_of

GROUP = "mountwright.standards"
HOME = "mountwright"


def _content(_registry: Registry) -> None:
    """Find nothing wrong."""


def discovered(
    folder: Path | None = None,
    blocked: Collection[str] = (),
    found: Sequence[EntryPoint] | None = None,
    package_version: str = "",
    judge: Callable[[Registry], object] = _content,
) -> Registry:
    """Load every plugin and standards file, each on its own, and keep those that hold together.

    Parameters
    ----------
    folder : Path or None
        Folder of ``*.toml`` files, each a set of standards.
    blocked : collection of str
        Plugin names (for a file, its name without the ending) not to load.
    found : sequence of EntryPoint or None
        Instead of those that are installed.
    package_version : str
        Enters the rules' version.
    judge : callable
        Looks at what is kept with one more plugin, for whoever reads in it what this package does not; what it raises
        costs that plugin.

    Raises
    ------
    PluginError
        When a plugin of our own distribution fails; a stranger's is left out and listed.
    """
    candidates = [*_plugins(entry_points(group=GROUP) if found is None else found), *_files(folder)]
    kept: list[StandardSet] = []
    failures: list[PluginFailure] = []
    names: set[str] = set()
    for name, distribution, load in candidates:
        if name in blocked:
            continue
        try:
            _refuse_repeated(name, names)
            sets = load()
            _refuse_known(sets, kept)
            # Whatever else is wrong with them comes out here, where it costs this plugin and not the service.
            judge(assembled((*kept, *sets)))
        # A stranger's plugin may raise anything at import; whatever it is, the others still load.
        except (Exception, SystemExit) as error:
            if distribution == HOME:
                raise PluginError(name, _reason(error)) from error
            failures.append(PluginFailure(name, distribution, _reason(error)))
            continue
        names.add(name)
        kept.extend(sets)
    return assembled(kept, failures, package_version)


_Candidate = tuple[str, str, Callable[[], tuple[StandardSet, ...]]]


def _plugins(found: Iterable[EntryPoint]) -> list[_Candidate]:
    """Give our own plugins first, so that a stranger's of the same name or key never takes their place."""
    named = [(point.name, point.dist.name if point.dist else "unknown", point) for point in found]
    ordered = sorted(named, key=lambda entry: (entry[1] != HOME, entry[0], entry[1]))
    return [(name, distribution, partial(_handed_over, point)) for name, distribution, point in ordered]


def _files(folder: Path | None) -> list[_Candidate]:
    paths = sorted(folder.glob("*.toml")) if folder else []
    return [(path.stem, str(path), partial(_alone, path)) for path in paths]


def _alone(path: Path) -> tuple[StandardSet, ...]:
    return (standards_in(path),)


def standards_in(path: Path) -> StandardSet:
    """Read one standards file from disk.

    Raises
    ------
    StandardsFileError
        With every fault of the file.
    OSError
        When it cannot be read.
    """
    return read_standards(text_of(path, path.name), path.name)


def _handed_over(point: EntryPoint) -> tuple[StandardSet, ...]:
    manager = pluggy.PluginManager(hookspecs.PROJECT)
    manager.add_hookspecs(hookspecs)
    manager.register(point.load(), point.name)
    manager.check_pending()
    handed = manager.hook.mountwright_standards()
    sets = handed if isinstance(handed, tuple) else (handed,)
    for one in sets:
        if not isinstance(one, StandardSet):
            raise PluginError(point.name, f"hook mountwright_standards gave {one!r}, expected a StandardSet")
    # Rules in Python change without their file: the distribution's version stands for them.
    release = point.dist.version if point.dist else ""
    return tuple(replace(one, version=f"{one.version} {release}") for one in sets)


def _refuse_repeated(name: str, names: Collection[str]) -> None:
    if name in names:
        raise PluginError(name, "a plugin of this name is already loaded")


def _refuse_known(sets: Iterable[StandardSet], kept: Iterable[StandardSet]) -> None:
    families = [one.family.name for one in (*kept, *sets)]
    for name in sorted(name for name, count in Counter(families).items() if count > 1):
        raise PluginError(name, f"family {name!r} is already installed")
    keys = [standard.key for one in (*kept, *sets) for standard in one.standards]
    ways = [conversion.key for one in (*kept, *sets) for conversion in one.conversions]
    for what, names in (("standard key", keys), ("conversion key", ways)):
        repeated = sorted(name for name, count in Counter(names).items() if count > 1)
        if repeated:
            raise PluginError(families[-1], f"{what} repeated: {', '.join(repeated)}")


def _reason(error: BaseException) -> str:
    return str(error) if isinstance(error, MountwrightError) else f"{type(error).__name__}: {error}"
