"""Reads a ``standards.toml`` and judges it: every fault is named by its place, none stops the search for more."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Sequence
from types import MappingProxyType

from mountwright.errors import StandardsFileError
from mountwright.measure.quantity import UNITS, Estimate, Limits, Quantity, thousandths
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.check import Rule
from mountwright.mounts.standard import Conversion, Dimension, Family, Look, Nominal, Standard, StandardSet
from mountwright.mounts.toml_rules import Declared, limits_between, read_rule
from mountwright.mounts.toml_table import Table
from mountwright.mounts.vetting import Vetted

#: Version of the plugin interface; another major version is not taken in.
API_VERSION = "1.0"

_KEY = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_FAMILY = re.compile(r"[a-z][a-z0-9_]*")


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
    faults: list[str] = []
    try:
        top = Table(tomllib.loads(text), "", faults)
    except tomllib.TOMLDecodeError as error:
        raise StandardsFileError(file, [f"not TOML: {error}"]) from error
    _require_api(top, file)
    rules = tuple(own_rules)
    sentences = top.texts_by_name("messages")
    # A file without sentences is told so by its misspelt heading, not once for every caution.
    messages = sentences if "messages" in top.names() else None
    family = _family(top, rules)
    standards = tuple(_standard(table, family, messages) for table in top.tables("standards"))
    conversions = tuple(_conversion(table, messages) for table in top.tables("conversions"))
    top.nothing_else()
    _unique([standard.key for standard in standards], "standards: key", faults)
    _unique([conversion.key for conversion in conversions], "conversions: key", faults)
    if faults:
        raise StandardsFileError(file, faults)
    named = MappingProxyType({f"{family.name}.{code}": template for code, template in sentences.items()})
    return StandardSet(family, standards, conversions, named, _version(text, rules))


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


def _unique(keys: Sequence[str], what: str, faults: list[str]) -> None:
    faults.extend(f"{what} {key!r} stands {count} times" for key, count in sorted(Counter(keys).items()) if count > 1)


def _family(top: Table, own_rules: tuple[Rule, ...]) -> Family:
    name, sides, positions = top.text("family"), top.texts("sides"), top.texts("positions")
    if not top.is_faulty("family") and not _FAMILY.fullmatch(name):
        top.fault(f"family: found {name!r}, expected lower-case letters, digits and underscores")
    if not top.is_faulty("sides") and len(set(sides)) < 2:
        top.fault(f"sides: found {list(sides)!r}, expected at least two that differ")
    if not top.is_faulty("positions") and not positions:
        top.fault("positions: found none, expected at least one")
    dimensions = {key: _dimension(key, table, sides) for key, table in top.tables_by_name("dimensions").items()}
    declared = Declared(sides, dimensions, frozenset((*top.tables_by_name("looks"), *_stated_features(top))))
    looks = {key: _look(key, table, declared) for key, table in top.tables_by_name("looks").items()}
    rules = tuple(read_rule(table, declared) for table in top.tables("rules"))
    _unique([rule.code for rule in rules if hasattr(rule, "code") and rule.code], "rules: code", top.faults)
    own = tuple(Vetted(name, rule) for rule in own_rules)
    return Family(name, positions, sides, MappingProxyType(dimensions), MappingProxyType(looks), (*rules, *own))


def _stated_features(top: Table) -> set[str]:
    return {feature for table in top.tables("standards") for feature in table.texts_by_name("features")}


def _dimension(name: str, table: Table, sides: tuple[str, ...]) -> Dimension:
    if name.rpartition("_")[2] not in UNITS:
        table.fault(f"unit missing: the name must end in {' or '.join('_' + unit for unit in UNITS)}")
    low, high = table.pair("plausible")
    limits = Limits(None, None) if table.is_faulty("plausible") else limits_between(table, *_counted(low, high))
    found = Dimension(name, _sides(table, sides), limits, table.text("measure"))
    table.nothing_else()
    return found


def _counted(low: float, high: float) -> tuple[int, int]:
    return thousandths(low), thousandths(high)


def _sides(table: Table, sides: tuple[str, ...]) -> tuple[str, ...]:
    found = table.texts("sides", sides)
    for side in found:
        if side not in sides:
            table.fault(f"sides: found {side!r}, expected some of {', '.join(sides) or 'none'}")
    return found


def _look(feature: str, table: Table, declared: Declared) -> Look:
    answers = {name: _answer(answer, declared) for name, answer in table.tables_by_name("answers").items()}
    found = Look(feature, MappingProxyType(answers), _sides(table, declared.sides))
    table.nothing_else()
    return found


def _answer(table: Table, declared: Declared) -> tuple[str, Quantity] | None:
    if not table.names():
        return None
    dimension = table.text("dimension")
    declared.check_dimension(dimension, table, "dimension")
    value, half_width = thousandths(table.number("value")), thousandths(table.number("plus_minus"))
    if half_width <= 0 and not table.is_faulty("plus_minus"):
        table.fault(f"plus_minus: found {half_width / 1000:g}, expected more than 0")
    table.nothing_else()
    return dimension, Quantity(value, rectangular(max(half_width, 0)), "look")


def _standard(table: Table, family: Family, messages: dict[str, str] | None) -> Standard:
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


def _cautions(table: Table, messages: dict[str, str] | None) -> tuple[str, ...]:
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
        high = table.number(name)
        low = -high
    limits = limits_between(table, *_counted(low, high))
    if limits.low is None or limits.high is None:
        return Estimate(stated, 0)
    return Estimate(stated + (limits.low + limits.high) / 2, rectangular((limits.high - limits.low) / 2))


def _conversion(table: Table, messages: dict[str, str] | None) -> Conversion:
    kind = table.text("kind")
    if kind not in ("adapter", "bench"):
        table.fault(f"kind: found {kind!r}, expected 'adapter' or 'bench'")
    height: Limits | None = None
    if "added_height_mm" in table.names():
        height = limits_between(table, *_counted(*table.pair("added_height_mm")))
    found = Conversion(
        key=table.text("key"),
        from_standard=table.text("from"),
        to_standard=table.text("to"),
        kind=kind,
        reversible=table.flag("reversible"),
        resolves=table.texts("resolves"),
        added_height=height,
        cautions=_cautions(table, messages),
        source=table.text("source"),
    )
    table.nothing_else()
    return found
