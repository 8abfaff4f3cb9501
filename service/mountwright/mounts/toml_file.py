"""Reads a ``standards.toml`` and judges it: every fault is named by its place, none stops the search for more."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from importlib.resources.abc import Traversable
from types import MappingProxyType
from typing import Any

from mountwright.errors import StandardsFileError
from mountwright.measure.quantity import UNITS, Estimate, Limits, Quantity, thousandths
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.check import Rule
from mountwright.mounts.kinds import kinds
from mountwright.mounts.registry import FAMILY_NAME
from mountwright.mounts.standard import (
    Conversion,
    Dimension,
    DrawnAs,
    Family,
    Loan,
    Look,
    Nominal,
    Standard,
    StandardSet,
    numbers_of,
)
from mountwright.mounts.toml_rules import LEAST_MM, Declared, limits_between, read_rule, unit_of
from mountwright.mounts.toml_table import Table
from mountwright.mounts.translations import translations_in
from mountwright.mounts.vetting import Vetted

#: Version of the plugin interface; another major version is not taken in.
API_VERSION = "1.0"

_KEY = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def text_of(path: Traversable, file: str) -> str:
    """Give the text of a standards file.

    Parameters
    ----------
    path : Traversable
        A path on disk, or a file within a package.
    file : str
        Its name, for the fault.

    Raises
    ------
    StandardsFileError
        When it is not UTF-8.
    OSError
        When it cannot be read.
    """
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise StandardsFileError(file, [f"not UTF-8: {error.reason} at byte {error.start}"]) from error


def read_standards(text: str, file: str, own_rules: Iterable[Rule] = ()) -> StandardSet:
    """Read one standards file.

    Parameters
    ----------
    text : str
        TOML.
    file : str
        Its name, for the faults.
    own_rules : iterable of Rule
        Rules written in Python, asked after the declared ones.

    Raises
    ------
    StandardsFileError
        With every fault found: a unit that is missing, limits the wrong way round, a repeated key …
    """
    top, rules = _opened(text, file), tuple(own_rules)
    family, sentences = _family(top, rules), top.texts_by_name("messages")
    listed, ways, jobs = top.tables("standards"), top.tables("conversions"), _bench_jobs(top)
    # A misspelt heading is told once, and not once more for every caution that misses its sentence.
    said = None if "messages" not in top.names() and top.unread() else sentences
    translations = translations_in(top, sentences, family.name)
    top.nothing_else()
    standards = tuple(_standard(table, family, said) for table in listed)
    conversions = tuple(_conversion(table, family, said) for table in ways)
    _unique([standard.key for standard in standards], "standards: key", top.faults)
    _unique([conversion.key for conversion in conversions], "conversions: key", top.faults)
    if top.faults:
        raise StandardsFileError(file, top.faults)
    named = MappingProxyType({f"{family.name}.{code}": template for code, template in sentences.items()})
    return StandardSet(family, standards, conversions, named, _version(text, rules), jobs, translations)


def _opened(text: str, file: str) -> Table:
    try:
        top = Table(tomllib.loads(text), "", [])
    # The parser lets through what Python says of an integer of thousands of digits, or of lists in lists without end.
    except (ValueError, RecursionError) as error:
        raise StandardsFileError(file, [f"not TOML: {error}"]) from error
    _require_api(top, file)
    return top


def _bench_jobs(top: Table) -> Mapping[str, Mapping[str, Any]]:
    """Give the jobs as they stand there: that each is a table is all that can be said of them here."""
    tables = top.tables_by_name("bench_jobs")
    return MappingProxyType(top.value("bench_jobs", {}) if tables else {})


def _version(text: str, rules: Sequence[Rule]) -> str:
    names = " ".join(getattr(rule, "__qualname__", type(rule).__qualname__) for rule in rules)
    return hashlib.sha256(f"{text}\n{names}".encode()).hexdigest()[:16]


def _require_api(top: Table, file: str) -> None:
    wanted = top.text("requires_api")
    if top.is_faulty("requires_api"):
        raise StandardsFileError(file, top.faults)
    if wanted.split(".")[0] != API_VERSION.split(".", maxsplit=1)[0]:
        raise StandardsFileError(
            file, [f"requires_api: found {wanted!r}, expected {API_VERSION!r} or its major version"]
        )


def _unique(keys: Iterable[str], what: str, faults: list[str]) -> None:
    counts = Counter(key for key in keys if key)
    faults.extend(f"{what} {key!r} stands {count} times" for key, count in sorted(counts.items()) if count > 1)


def _family(top: Table, own_rules: tuple[Rule, ...]) -> Family:
    name, positions, sides = _family_name(top), _positions(top), _two_sides(top)
    dimensions = {key: _dimension(key, table, sides) for key, table in top.tables_by_name("dimensions").items()}
    declared = Declared(sides, dimensions, frozenset((*top.tables_by_name("looks"), *_stated_features(top))))
    looks = {key: _look(key, table, declared) for key, table in top.tables_by_name("looks").items()}
    rules = tuple(read_rule(table, declared) for table in top.tables("rules"))
    _unique([getattr(rule, "code", "") for rule in rules], "rules: code", top.faults)
    own = tuple(Vetted(name, rule) for rule in own_rules)
    return Family(name, positions, sides, MappingProxyType(dimensions), MappingProxyType(looks), (*rules, *own))


def _family_name(top: Table) -> str:
    name = top.text("family")
    if not top.is_faulty("family") and not FAMILY_NAME.fullmatch(name):
        top.fault(f"family: found {name!r}, expected lower-case letters, digits and underscores")
    return name


def _positions(top: Table) -> tuple[str, ...]:
    positions = top.texts("positions")
    if not top.is_faulty("positions") and not positions:
        top.fault("positions: found none, expected at least one")
    return positions


def _two_sides(top: Table) -> tuple[str, ...]:
    """Read the sides; none where they are faulty, so that nothing else is held against them."""
    sides = top.texts("sides")
    if not top.is_faulty("sides") and len(set(sides)) < 2:
        top.fault(f"sides: found {list(sides)!r}, expected at least two that differ")
        return ()
    return sides


def _stated_features(top: Table) -> set[str]:
    return {feature for table in top.tables("standards") for feature in table.texts_by_name("features")}


def _dimension(name: str, table: Table, sides: tuple[str, ...]) -> Dimension:
    unit = unit_of(name)
    if not unit:
        table.fault(f"unit missing: the name must end in {' or '.join('_' + unit for unit in UNITS)}")
    low, high = table.pair("plausible")
    limits = Limits(None, None) if table.is_faulty("plausible") else limits_between(table, low, high)
    measured_on = _sides(table, sides)
    reach, lent_by = _reach(table, unit, measured_on), _lent_by(table.table("lent_by"), unit)
    found = Dimension(name, measured_on, limits, table.text("measure"), reach, lent_by, _drawn_as(table, unit))
    table.nothing_else()
    return found


def _reach(table: Table, unit: str, sides: Sequence[str]) -> int | None:
    """Read how far two sides may differ at most; None where the file does not say."""
    for other in UNITS:
        # Told as a wrong unit, and not as a field that nobody knows.
        if table.value(f"reach_{other}", None) is not None and unit and other != unit:
            table.fault(f"reach_{other}: expected reach_{unit}, in the unit of the dimension's name")
    field = f"reach_{unit}"
    if field not in table.names():
        return None
    if len(set(sides)) == 1:
        table.fault(f"{field}: found with one side, expected a dimension that two sides have")
    return thousandths(table.number(field, least=LEAST_MM))


def _drawn_as(table: Table, unit: str) -> DrawnAs | None:
    """Read what a length is on a printed gauge; None where the file does not say."""
    if "drawn_as" not in table.names():
        return None
    found = table.text("drawn_as")
    if table.is_faulty("drawn_as"):
        return None
    if found not in list(DrawnAs):
        table.fault(f"drawn_as: found {found!r}, expected one of {', '.join(DrawnAs)}")
        return None
    if unit and unit != "mm":
        table.fault("drawn_as: found with an angle, expected a length in mm")
    return DrawnAs(found)


def _lent_by(table: Table | None, unit: str) -> Loan | None:
    """Read whose figure a dimension is; None where the file does not say, or says what cannot be."""
    if table is None:
        return None
    kind = table.text("kind")
    if kind not in kinds():
        if not table.is_faulty("kind"):
            table.fault(f"kind: found {kind!r}, expected one of {', '.join(kinds())}")
        # Whether such an article has the other figures, nobody can say.
        table.all_read()
        return None
    spec, where = _lent_spec(table, kind, unit), _where(table, kind)
    conforming = _spread(table, "conforming", 0) if "conforming" in table.names() else None
    table.nothing_else()
    return Loan(kind, spec, MappingProxyType(where), conforming) if spec else None


def _lent_spec(table: Table, kind: str, unit: str) -> str:
    """Read the figure that is lent; empty where it is no number of the kind in the dimension's unit."""
    known = [name for name in numbers_of(kind) if unit_of(name) == unit or not unit]
    spec = table.text("spec")
    if spec in known:
        return spec
    if not table.is_faulty("spec"):
        table.fault(f"spec: found {spec!r}, expected one of {', '.join(known) or 'none'}")
    return ""


def _where(table: Table, kind: str) -> dict[str, Limits]:
    """Read which articles lend; what is no number of the kind is left out."""
    wanted, known = table.table("where"), numbers_of(kind)
    if wanted is None:
        return {}
    for name in sorted(wanted.names() - set(known)):
        table.fault(f"where: found {name!r}, expected some of {', '.join(known)}")
    return {name: limits_between(wanted, *wanted.pair(name)) for name in known if name in wanted.names()}


def _sides(table: Table, sides: tuple[str, ...]) -> tuple[str, ...]:
    found = table.texts("sides", sides)
    if sides and not found and not table.is_faulty("sides"):
        table.fault(f"sides: found none, expected some of {', '.join(sides)}")
    for side in found:
        if sides and side not in sides:
            table.fault(f"sides: found {side!r}, expected some of {', '.join(sides)}")
    return found


def _look(feature: str, table: Table, declared: Declared) -> Look:
    sides = _sides(table, declared.sides)
    answers = {name: _answer(answer, declared, sides) for name, answer in table.tables_by_name("answers").items()}
    table.nothing_else()
    return Look(feature, MappingProxyType(answers), sides)


def _answer(table: Table, declared: Declared, sides: tuple[str, ...]) -> tuple[str, Quantity] | None:
    if not table.names():
        return None
    dimension = table.text("dimension")
    if not table.is_faulty("dimension"):
        declared.check_dimension(dimension, table, "dimension", sides)
    value, half_width = thousandths(table.number("value")), thousandths(table.number("plus_minus", least=LEAST_MM))
    table.nothing_else()
    return dimension, Quantity(value, rectangular(half_width), "look")


def _standard(table: Table, family: Family, messages: Collection[str] | None) -> Standard:
    key = table.text("key")
    if not table.is_faulty("key") and not _KEY.fullmatch(key):
        table.fault(f"key: found {key!r}, expected lower-case words and numbers joined by hyphens")
    nominals = {name: _nominal(name, entry, family) for name, entry in table.tables_by_name("dimensions").items()}
    without = table.texts("without", ())
    for name in without:
        if name not in family.dimensions:
            known = ", ".join(sorted(family.dimensions)) or "none"
            table.fault(f"without: found {name!r}, expected some of {known}")
    found = Standard(
        key=key,
        family=family,
        title=table.text("title"),
        interchange=table.flag("interchange"),
        nominals=MappingProxyType(nominals),
        features=MappingProxyType(table.texts_by_name("features")),
        mark=table.text("mark"),
        source=table.text("source"),
        also_known_as=table.texts("also_known_as", ()),
        cautions=tuple(f"{family.name}.{code}" for code in _cautions(table, messages)),
        without=frozenset(without),
    )
    table.nothing_else()
    return found


def _cautions(table: Table, messages: Collection[str] | None) -> tuple[str, ...]:
    codes = table.texts("cautions", ())
    for code in codes:
        if messages is not None and code not in messages:
            table.fault(f"cautions: {code!r} has no sentence in [messages]")
    return codes


def _nominal(name: str, table: Table, family: Family) -> Nominal:
    dimension = family.dimensions.get(name)
    if dimension is None:
        table.fault(f"dimension not declared: expected one of {', '.join(sorted(family.dimensions)) or 'none'}")
    stated = thousandths(table.number("nominal"))
    known = not table.is_faulty("nominal")
    if known and dimension is not None and not dimension.plausible.contain(stated):
        table.fault(f"nominal {stated / 1000} lies outside its own plausible range")
    conforming = _spread(table, "conforming", stated)
    met = _spread(table, "met", stated) if "met" in table.names() else conforming
    found = Nominal(stated, conforming, met, table.text("source"))
    table.nothing_else()
    return found


def _spread(table: Table, name: str, stated: int) -> Estimate:
    """Read a half-width, or a pair of deviations from the nominal, as a rectangular spread."""
    if isinstance(table.value(name, None), list):
        low, high = table.pair(name)
    else:
        high = table.number(name, least=0)
        low = -high
    limits = limits_between(table, low, high)
    if limits.low is None or limits.high is None:
        return Estimate(stated, 0)
    return Estimate(stated + (limits.low + limits.high) / 2, rectangular((limits.high - limits.low) / 2))


def _conversion(table: Table, family: Family, messages: Collection[str] | None) -> Conversion:
    kind = table.text("kind")
    if kind not in ("adapter", "bench") and not table.is_faulty("kind"):
        table.fault(f"kind: found {kind!r}, expected 'adapter' or 'bench'")
    height: Limits | None = None
    if "added_height_mm" in table.names():
        height = limits_between(table, *table.pair("added_height_mm"))
    found = Conversion(
        key=table.text("key"),
        from_standard=table.text("from"),
        to_standard=table.text("to"),
        kind=kind,
        reversible=table.flag("reversible"),
        resolves=table.texts("resolves"),
        added_height=height,
        cautions=tuple(f"{family.name}.{code}" for code in _cautions(table, messages)),
        source=table.text("source"),
    )
    table.nothing_else()
    return found
