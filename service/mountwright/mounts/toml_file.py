"""Reads a ``standards.toml`` and judges it: every fault is named by its place, none stops the search for more."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import Any

from mountwright.errors import InvalidQuantityError, StandardsFileError
from mountwright.measure.quantity import UNITS, Estimate, Limits, Quantity, thousandths
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.bolt_rule import AssumedHoles, BoltsPass
from mountwright.mounts.check import Rule
from mountwright.mounts.rules import Alike, PlaneMatch, Stack, Term
from mountwright.mounts.standard import Conversion, Dimension, Family, Look, Nominal, Standard, StandardSet
from mountwright.mounts.toml_table import Table

#: Version of the plugin interface; another major version is not taken in.
API_VERSION = "1.0"

_KEY = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


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
    family = _family(top, rules)
    standards = tuple(_standard(table, family) for table in top.tables("standards"))
    conversions = tuple(_conversion(table) for table in top.tables("conversions"))
    messages = {f"{family.name}.{code}": template for code, template in top.texts_by_name("messages").items()}
    top.nothing_else()
    _unique([standard.key for standard in standards], "standards", faults)
    if faults:
        raise StandardsFileError(file, faults)
    names = " ".join(getattr(rule, "__qualname__", type(rule).__qualname__) for rule in rules)
    version = hashlib.sha256(f"{text}\n{names}".encode()).hexdigest()[:16]
    return StandardSet(family, standards, conversions, MappingProxyType(messages), version)


def _require_api(top: Table, file: str) -> None:
    wanted = top.text("requires_api")
    if wanted.split(".")[0] != API_VERSION.split(".", maxsplit=1)[0]:
        raise StandardsFileError(
            file, [f"requires_api: found {wanted!r}, expected {API_VERSION!r} or its major version"]
        )


def _unique(keys: list[str], where: str, faults: list[str]) -> None:
    faults.extend(
        f"{where}: key {key!r} stands {keys.count(key)} times" for key in sorted(set(keys)) if keys.count(key) > 1
    )


def _family(top: Table, own_rules: tuple[Rule, ...]) -> Family:
    sides = top.texts("sides")
    dimensions = {name: _dimension(name, table, sides) for name, table in top.tables_by_name("dimensions").items()}
    looks = {name: _look(name, table, sides) for name, table in top.tables_by_name("looks").items()}
    declared = tuple(_rule(table) for table in top.tables("rules"))
    return Family(
        name=top.text("family"),
        positions=top.texts("positions"),
        sides=sides,
        dimensions=MappingProxyType(dimensions),
        looks=MappingProxyType(looks),
        rules=(*declared, *own_rules),
    )


def _dimension(name: str, table: Table, sides: tuple[str, ...]) -> Dimension:
    if name.rpartition("_")[2] not in UNITS:
        table.fault(f"unit missing: the name must end in {' or '.join('_' + unit for unit in UNITS)}")
    low, high = table.pair("plausible")
    limits = _limits(table, thousandths(low), thousandths(high))
    found = Dimension(name, table.texts("sides", sides), limits, table.text("measure"))
    table.nothing_else()
    return found


def _limits(table: Table, low: float | None, high: float | None) -> Limits:
    try:
        return Limits(low, high)
    except InvalidQuantityError as error:
        table.fault(f"limits the wrong way round: {error}")
        return Limits(None, None)


def _look(feature: str, table: Table, sides: tuple[str, ...]) -> Look:
    answers = {name: _answer(answer) for name, answer in table.tables_by_name("answers").items()}
    found = Look(feature, MappingProxyType(answers), table.texts("sides", sides))
    table.nothing_else()
    return found


def _answer(table: Table) -> tuple[str, Quantity] | None:
    if not table.names():
        return None
    dimension = table.text("dimension")
    value, half_width = thousandths(table.number("value")), thousandths(table.number("plus_minus"))
    table.nothing_else()
    return dimension, Quantity(value, rectangular(half_width), "look")


def _stack(table: Table) -> Stack:
    terms = tuple(_term(entry) for entry in table.tables("terms"))
    unit = terms[0].dimension.rpartition("_")[2] if terms else ""
    return Stack(
        table.text("code"),
        terms,
        _declared_limits(table, unit, ""),
        table.text("source"),
        _declared_limits(table, unit, "loosest_") if any(n.startswith("loosest_") for n in table.names()) else None,
        table.flag("if_recorded"),
    )


def _term(table: Table) -> Term:
    side, _, dimension = table.text("of").partition(".")
    term = Term(side, dimension, table.number("times", 1), int(table.number("pieces", 1)))
    table.nothing_else()
    return term


def _declared_limits(table: Table, unit: str, prefix: str) -> Limits:
    low, high = (table.optional_number(f"{prefix}{end}_{unit}") for end in ("at_least", "at_most"))
    if low is None and high is None:
        table.fault(f"no limit: expected {prefix}at_least_{unit} or {prefix}at_most_{unit}")
    ends = (None if end is None else thousandths(end) for end in (low, high))
    return _limits(table, *ends)


def _plane_match(table: Table) -> PlaneMatch:
    height = table.text("height")
    within = thousandths(table.number(f"within_{height.rpartition('_')[2]}"))
    return PlaneMatch(table.text("code"), height, within, table.text("source"))


def _alike(table: Table) -> Alike:
    return Alike(table.text("code"), table.text("feature"), table.text("source"), table.flag("if_recorded"))


def _bolts_pass(table: Table) -> BoltsPass:
    return BoltsPass(
        table.text("code"),
        table.text("spacing", ""),
        thousandths(table.number("bolt_mm")),
        MappingProxyType({side: _assumed(entry) for side, entry in table.tables_by_name("assumed").items()}),
        table.text("source"),
        table.number("largest_turn_deg", 2.0),
        table.text("bolt", ""),
    )


def _assumed(table: Table) -> AssumedHoles:
    found = AssumedHoles(thousandths(table.number("play_mm")), thousandths(table.number("loosest_mm")))
    table.nothing_else()
    return found


_KINDS: Mapping[str, Callable[[Table], Rule]] = MappingProxyType(
    {"within": _stack, "stack": _stack, "plane_match": _plane_match, "alike": _alike, "bolts_pass": _bolts_pass}
)


def _rule(table: Table) -> Rule:
    kind = table.text("kind")
    build = _KINDS.get(kind)
    if build is None:
        table.fault(f"kind: found {kind!r}, expected one of {', '.join(sorted(_KINDS))}")
        return lambda _joint: ()
    rule = build(table)
    table.nothing_else()
    return rule


def _standard(table: Table, family: Family) -> Standard:
    key = table.text("key")
    if not _KEY.fullmatch(key):
        table.fault(f"key: found {key!r}, expected lower-case words and numbers joined by hyphens")
    nominals = {name: _nominal(name, entry, family) for name, entry in table.tables_by_name("dimensions").items()}
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
        cautions=tuple(f"{family.name}.{code}" for code in table.texts("cautions", ())),
        without=frozenset(table.texts("without", ())),
    )
    table.nothing_else()
    return found


def _nominal(name: str, table: Table, family: Family) -> Nominal:
    dimension = family.dimensions.get(name)
    if dimension is None:
        table.fault(f"dimension not declared: expected one of {', '.join(sorted(family.dimensions)) or 'none'}")
    stated = thousandths(table.number("nominal"))
    if dimension is not None and not dimension.plausible.contain(stated):
        table.fault(f"nominal {stated / 1000} lies outside its own plausible range")
    conforming = _spread(table, "conforming", stated)
    met = _spread(table, "met", stated) if "met" in table.names() else conforming
    found = Nominal(stated, conforming, met, table.text("source"))
    table.nothing_else()
    return found


def _spread(table: Table, name: str, stated: int) -> Estimate:
    """Read a half-width, or a pair of deviations from the nominal, as a rectangular spread."""
    given = table.value(name)
    low, high = (-given, given) if isinstance(given, int | float) else table.pair(name)
    limits = _limits(table, thousandths(low), thousandths(high))
    if limits.low is None or limits.high is None:
        return Estimate(stated, 0)
    return Estimate(stated + (limits.low + limits.high) / 2, rectangular((limits.high - limits.low) / 2))


def _conversion(table: Table) -> Conversion:
    kind = table.text("kind")
    if kind not in ("adapter", "bench"):
        table.fault(f"kind: found {kind!r}, expected 'adapter' or 'bench'")
    height: Any = None
    if "added_height_mm" in table.names():
        low, high = table.pair("added_height_mm")
        height = _limits(table, thousandths(low), thousandths(high))
    found = Conversion(
        key=table.text("key"),
        from_standard=table.text("from"),
        to_standard=table.text("to"),
        kind=kind,
        reversible=table.flag("reversible"),
        resolves=table.texts("resolves"),
        added_height=height,
        cautions=table.texts("cautions", ()),
        source=table.text("source"),
    )
    table.nothing_else()
    return found
