"""Reads the rules of a standards file; a name that nobody declared is a fault, for it would silence a check."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from mountwright.measure.quantity import UNITS, Limits, thousandths
from mountwright.mounts.bolt_rule import AssumedHoles, BoltsPass
from mountwright.mounts.check import Rule
from mountwright.mounts.rules import Alike, PlaneMatch, Stack, Term
from mountwright.mounts.standard import Dimension
from mountwright.mounts.toml_table import Table, as_written

#: A part may be turned by no more than half a turn.
_HALF_A_TURN_DEG = 180

#: The least length that is still one in whole micrometres.
LEAST_MM = 0.001


@dataclass(frozen=True)
class Declared:
    """What a file declares, for its rules to be held against.

    Parameters
    ----------
    sides : tuple of str
        Empty where they could not be read, so that nothing is held against them.
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

    def check_length(self, name: str, table: Table, field: str) -> None:
        """Note a fault unless the dimension is declared and a length."""
        self.check_dimension(name, table, field)
        if name in self.dimensions and unit_of(name) != "mm":
            table.fault(f"{field}: found {name!r}, expected a length in mm")

    def check_side(self, name: str, table: Table, field: str) -> None:
        """Note a fault unless it is a side."""
        if self.sides and name not in self.sides:
            table.fault(f"{field}: found {name!r}, expected one of {', '.join(self.sides)}")


def unit_of(dimension: str) -> str:
    """Give the unit that a dimension's name ends in; empty where it ends in none."""
    unit = dimension.rpartition("_")[2]
    return unit if unit in UNITS else ""


def read_rule(table: Table, declared: Declared) -> Rule:
    """Read one rule; a harmless one that checks nothing where its kind is not known."""
    kind = table.text("kind")
    build = _KINDS.get(kind)
    if build is None:
        if not table.is_faulty("kind"):
            table.fault(f"kind: found {kind!r}, expected one of {', '.join(sorted(_KINDS))}")
        table.all_read()
        return lambda _joint: ()
    rule = build(table, declared)
    table.nothing_else()
    return rule


def limits_between(table: Table, low: float | None, high: float | None) -> Limits:
    """Give limits in thousandths from figures in their unit; a fault and open ones where they are the wrong way round.

    Parameters
    ----------
    table : Table
        Takes the fault.
    low, high : float or None
        As the file has them; None leaves an end open.
    """
    if low is not None and high is not None and low > high:
        found = f"({as_written(low)}, {as_written(high)})"
        table.fault(f"limits the wrong way round: found {found}, expected limits with the lower one first")
        return Limits(None, None)
    return Limits(*(None if end is None else thousandths(end) for end in (low, high)))


def _stack(table: Table, declared: Declared) -> Stack:
    terms = _terms(table, declared)
    units = sorted({unit_of(term.dimension) for term in terms} - {""})
    if len(units) > 1:
        table.fault(f"terms: found units {', '.join(units)} together, expected one")
    loosest = any(name.startswith("loosest_") for name in table.names())
    return Stack(
        table.text("code"),
        terms,
        _declared_limits(table, units, ""),
        table.text("source"),
        _declared_limits(table, units, "loosest_") if loosest else None,
        table.flag("if_recorded"),
    )


def _terms(table: Table, declared: Declared) -> tuple[Term, ...]:
    if table.value("terms") == []:
        table.fault("terms: found none, expected at least one")
    return tuple(_term(entry, declared) for entry in table.tables("terms"))


def _term(table: Table, declared: Declared) -> Term:
    side, dimension = _place(table, declared)
    pieces = table.number("pieces", 1, least=1)
    if not pieces.is_integer():
        table.fault(f"pieces: found {as_written(pieces)}, expected a whole number")
    term = Term(side, dimension, table.number("times", 1), int(pieces))
    table.nothing_else()
    return term


def _place(table: Table, declared: Declared) -> tuple[str, str]:
    place = table.text("of")
    side, _, dimension = place.partition(".")
    if table.is_faulty("of"):
        return "", ""
    if not side or not dimension:
        table.fault(f"of: found {place!r}, expected side.dimension")
        return "", ""
    declared.check_side(side, table, "of")
    declared.check_dimension(dimension, table, "of", (side,))
    return side, dimension


def _declared_limits(table: Table, units: list[str], prefix: str) -> Limits:
    if len(units) != 1:
        # The terms' fault is told already; whose limits these would be, nobody can say.
        for unit in UNITS:
            _ends(table, unit, prefix)
        return Limits(None, None)
    (unit,) = units
    low, high = _ends(table, unit, prefix)
    if low is None and high is None:
        table.fault(f"no limit: expected {prefix}at_least_{unit} or {prefix}at_most_{unit}")
    return limits_between(table, low, high)


def _ends(table: Table, unit: str, prefix: str) -> tuple[float | None, float | None]:
    return table.optional_number(f"{prefix}at_least_{unit}"), table.optional_number(f"{prefix}at_most_{unit}")


def _plane_match(table: Table, declared: Declared) -> PlaneMatch:
    height = table.text("height")
    if not table.is_faulty("height"):
        declared.check_dimension(height, table, "height", declared.sides)
    return PlaneMatch(table.text("code"), height, _within(table, unit_of(height)), table.text("source"))


def _within(table: Table, unit: str) -> int:
    if unit:
        return thousandths(table.number(f"within_{unit}", least=0))
    for each in UNITS:
        table.optional_number(f"within_{each}")
    return 0


def _alike(table: Table, declared: Declared) -> Alike:
    feature = table.text("feature")
    if feature not in declared.features and not table.is_faulty("feature"):
        table.fault(f"feature: found {feature!r}, which no look and no standard of the file has")
    return Alike(table.text("code"), feature, table.text("source"), table.flag("if_recorded"))


def _bolts_pass(table: Table, declared: Declared) -> BoltsPass:
    spacing, bolt = table.text("spacing", ""), table.text("bolt", "")
    for field, name in (("spacing", spacing), ("bolt", bolt)):
        if name:
            declared.check_length(name, table, field)
    assumed = table.tables_by_name("assumed")
    for side in assumed:
        declared.check_side(side, table, "assumed")
    return BoltsPass(
        table.text("code"),
        spacing,
        thousandths(table.number("bolt_mm", least=LEAST_MM)),
        MappingProxyType({side: _assumed(entry) for side, entry in assumed.items()}),
        table.text("source"),
        table.number("largest_turn_deg", 2.0, least=0, most=_HALF_A_TURN_DEG),
        bolt,
    )


def _assumed(table: Table) -> AssumedHoles:
    play, loosest = table.number("play_mm", least=0), table.number("loosest_mm", least=0)
    if loosest < play and not table.is_faulty("loosest_mm"):
        table.fault(f"loosest_mm: found {as_written(loosest)}, expected at least play_mm, {as_written(play)}")
    table.nothing_else()
    return AssumedHoles(thousandths(play), thousandths(loosest))


_KINDS: Mapping[str, Callable[[Table, Declared], Rule]] = MappingProxyType(
    {"within": _stack, "stack": _stack, "plane_match": _plane_match, "alike": _alike, "bolts_pass": _bolts_pass}
)
