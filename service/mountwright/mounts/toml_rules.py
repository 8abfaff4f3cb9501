"""Reads the rules of a standards file; a name that nobody declared is a fault, for it would silence a check."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from mountwright.errors import InvalidQuantityError
from mountwright.measure.quantity import Limits, thousandths
from mountwright.mounts.bolt_rule import AssumedHoles, BoltsPass
from mountwright.mounts.check import Rule
from mountwright.mounts.rules import Alike, PlaneMatch, Stack, Term
from mountwright.mounts.standard import Dimension
from mountwright.mounts.toml_table import Table

#: A part may be turned by no more than half a turn.
_HALF_A_TURN_DEG = 180


@dataclass(frozen=True)
class Declared:
    """What a file declares, for its rules to be held against.

    Parameters
    ----------
    sides : tuple of str
    dimensions : Mapping[str, Dimension]
    features : frozenset of str
        Of its looks and its standards.
    """

    sides: tuple[str, ...]
    dimensions: Mapping[str, Dimension]
    features: frozenset[str]

    def check_dimension(self, name: str, table: Table, field: str, sides: tuple[str, ...] = ()) -> None:
        """Note a fault unless the dimension is declared, and on each of these sides."""
        known = self.dimensions.get(name)
        if known is None:
            table.fault(f"{field}: found {name!r}, expected one of {', '.join(sorted(self.dimensions)) or 'none'}")
            return
        for side in sides:
            if side in self.sides and side not in known.sides:
                table.fault(f"{field}: {name!r} is not measured on the {side}")

    def check_side(self, name: str, table: Table, field: str) -> None:
        """Note a fault unless it is a side."""
        if name not in self.sides:
            table.fault(f"{field}: found {name!r}, expected one of {', '.join(self.sides) or 'none'}")


def read_rule(table: Table, declared: Declared) -> Rule:
    """Read one rule; a harmless one that checks nothing where its kind is not known."""
    kind = table.text("kind")
    build = _KINDS.get(kind)
    if build is None:
        table.fault(f"kind: found {kind!r}, expected one of {', '.join(sorted(_KINDS))}")
        table.all_read()
        return lambda _joint: ()
    rule = build(table, declared)
    table.nothing_else()
    return rule


def limits_between(table: Table, low: float | None, high: float | None) -> Limits:
    """Give limits; a fault and open ones where they are the wrong way round."""
    try:
        return Limits(low, high)
    except InvalidQuantityError as error:
        table.fault(f"limits the wrong way round: {error}")
        return Limits(None, None)


def _stack(table: Table, declared: Declared) -> Stack:
    tables = table.tables("terms")
    if not tables:
        table.fault("terms: expected at least one")
    terms = tuple(_term(entry, declared) for entry in tables)
    units = {term.dimension.rpartition("_")[2] for term in terms}
    if len(units) > 1:
        table.fault(f"terms: found units {', '.join(sorted(units))} together, expected one")
    unit = terms[0].dimension.rpartition("_")[2] if terms else "mm"
    return Stack(
        table.text("code"),
        terms,
        _declared_limits(table, unit, ""),
        table.text("source"),
        _declared_limits(table, unit, "loosest_") if any(n.startswith("loosest_") for n in table.names()) else None,
        table.flag("if_recorded"),
    )


def _term(table: Table, declared: Declared) -> Term:
    side, _, dimension = table.text("of").partition(".")
    declared.check_side(side, table, "of")
    declared.check_dimension(dimension, table, "of", (side,))
    pieces = table.number("pieces", 1)
    if pieces < 1 or pieces != int(pieces):
        table.fault(f"pieces: found {pieces:g}, expected a whole number from 1")
    term = Term(side, dimension, table.number("times", 1), int(pieces))
    table.nothing_else()
    return term


def _declared_limits(table: Table, unit: str, prefix: str) -> Limits:
    low, high = (table.optional_number(f"{prefix}{end}_{unit}") for end in ("at_least", "at_most"))
    if low is None and high is None and table.names() & {"terms"}:
        table.fault(f"no limit: expected {prefix}at_least_{unit} or {prefix}at_most_{unit}")
    ends = (None if end is None else thousandths(end) for end in (low, high))
    return limits_between(table, *ends)


def _plane_match(table: Table, declared: Declared) -> PlaneMatch:
    height = table.text("height")
    declared.check_dimension(height, table, "height", declared.sides)
    within = thousandths(table.number(f"within_{height.rpartition('_')[2]}"))
    if within < 0:
        table.fault(f"within: found {within / 1000:g}, expected 0 or more")
    return PlaneMatch(table.text("code"), height, max(within, 0), table.text("source"))


def _alike(table: Table, declared: Declared) -> Alike:
    feature = table.text("feature")
    if feature not in declared.features:
        table.fault(f"feature: found {feature!r}, which no look and no standard of the file has")
    return Alike(table.text("code"), feature, table.text("source"), table.flag("if_recorded"))


def _bolts_pass(table: Table, declared: Declared) -> BoltsPass:
    spacing, bolt = table.text("spacing", ""), table.text("bolt", "")
    for field, name in (("spacing", spacing), ("bolt", bolt)):
        if name:
            declared.check_dimension(name, table, field)
    bolt_mm, turn = table.number("bolt_mm"), table.number("largest_turn_deg", 2.0)
    if "bolt_mm" in table.names() and not table.is_faulty("bolt_mm") and bolt_mm <= 0:
        table.fault(f"bolt_mm: found {bolt_mm:g}, expected more than 0")
    if not 0 <= turn <= _HALF_A_TURN_DEG:
        table.fault(f"largest_turn_deg: found {turn:g}, expected 0 to {_HALF_A_TURN_DEG}")
    assumed = table.tables_by_name("assumed")
    for side in assumed:
        declared.check_side(side, table, "assumed")
    return BoltsPass(
        table.text("code"),
        spacing,
        thousandths(bolt_mm),
        MappingProxyType({side: _assumed(entry) for side, entry in assumed.items()}),
        table.text("source"),
        turn,
        bolt,
    )


def _assumed(table: Table) -> AssumedHoles:
    found = AssumedHoles(thousandths(table.number("play_mm")), thousandths(table.number("loosest_mm")))
    if found.loosest_um < found.play_um and not table.is_faulty("loosest_mm") and not table.is_faulty("play_mm"):
        table.fault("loosest_mm: found less than play_mm, expected at least that")
    table.nothing_else()
    return found


_KINDS: Mapping[str, Callable[[Table, Declared], Rule]] = MappingProxyType(
    {"within": _stack, "stack": _stack, "plane_match": _plane_match, "alike": _alike, "bolts_pass": _bolts_pass}
)
