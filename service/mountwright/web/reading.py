"""From well-formed request data to mounts, with the faults that only the installed standards can tell."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from mountwright.measure.instruments import instruments
from mountwright.measure.quantity import UNITS, Adjustable, Limits, Quantity, in_units, thousandths
from mountwright.measure.uncertainty import rectangular
from mountwright.messages import Fault, shown
from mountwright.mounts.holes import Hole
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.mounts.registry import Registry
from mountwright.mounts.sides import side_of
from mountwright.web.faults import fault

#: Places on a skate that a mount can be at; plugins serve some of these and may add others.
_POSITIONS = (
    "axle",
    "axle_place",
    "brake",
    "cuff",
    "frame",
    "hub",
    "insole",
    "lace",
    "liner",
    "side_guard",
    "strap_cuff",
    "strap_instep",
)

Faults = dict[Any, Any]


def merge(faults: Faults, more: Mapping[Any, Any]) -> None:
    """Add faults to faults, place by place; what is there already stands."""
    for place, below in more.items():
        known = faults.setdefault(place, below)
        if known is not below and isinstance(known, dict) and isinstance(below, Mapping):
            merge(known, below)


_PATTERN_FIELDS = ("standard", "claimed_by", "instrument", "dimensions", "seen", "holes", "drawing_id", "damage")


def mount_read(data: Mapping[str, Any], registry: Registry, *, kept: bool = False) -> tuple[Mount, Faults]:
    """Give a mount and its faults by field; a mount with faults is not to be used.

    Parameters
    ----------
    data : Mapping
        Fields of the schema, those that were ill-formed left out.
    registry : Registry
    kept : bool
        Of the catalogue: a position that nothing serves and a standard that is not installed are no faults there.
        What only the missing plugin can read, figures and looks, is left out of the mount.
    """
    position, side = data.get("position", ""), data.get("side", "")
    faults: Faults = {}
    known_positions = {*_POSITIONS, *registry.positions}
    if position and position not in known_positions and not kept:
        return Mount(position, side, (Pattern(),)), {
            "position": _unknown(position, sorted(known_positions), "position")
        }
    alternatives = data.get("patterns") or [{}]
    merged = [_inherited(data, alternative) for alternative in alternatives]
    unread = _unread(data, merged, registry) if kept else [_NOTHING] * len(merged)
    known_sides = {side for family in registry.families_at(position) for side in family.sides}
    if side and known_sides and side not in known_sides and not any(each.standard for each in unread):
        faults["side"] = fault("request.choice", side, known=", ".join(sorted(known_sides)))
    patterns = []
    _check_names(alternatives, faults)
    for index, alternative in enumerate(alternatives):
        pattern, wrong = _pattern(merged[index], position, registry, unread[index])
        patterns.append(pattern)
        if wrong:
            _place(faults, wrong, index, alternative if "patterns" in data else data)
    return Mount(position, side, tuple(patterns)), faults


class _Unread(NamedTuple):
    """What of a pattern only a plugin that is not installed could read: its standard, and names beside it."""

    standard: bool
    names: frozenset[str]


_NOTHING = _Unread(standard=False, names=frozenset())


def _unread(data: Mapping[str, Any], merged: Sequence[Mapping[str, Any]], registry: Registry) -> list[_Unread]:
    """Tell, pattern by pattern, what may be unknown: all beside a standard that is not installed.

    What such a pattern shares with its neighbours, they need not know either.
    """
    position = data.get("position", "")
    unserved = not registry.at(position)
    absent = [_is_absent(pattern.get("standard"), position, registry) for pattern in merged]
    shared = _names(data) if any(absent) else frozenset()
    return [
        _Unread(gone, _names(pattern) if gone or unserved else shared)
        for gone, pattern in zip(absent, merged, strict=True)
    ]


def _is_absent(standard: str | None, position: str, registry: Registry) -> bool:
    """Tell whether a standard is not installed; one that serves another position, or goes by another name, is."""
    if standard is None or standard in registry.standards:
        return False
    return all(standard not in installed.also_known_as for installed in registry.at(position))


def _names(data: Mapping[str, Any]) -> frozenset[str]:
    return frozenset((*data.get("dimensions", ()), *data.get("seen", ())))


def _inherited(mount: Mapping[str, Any], alternative: Mapping[str, Any]) -> dict[str, Any]:
    merged = {name: mount[name] for name in _PATTERN_FIELDS if name in mount}
    shared = {
        name: {**merged.get(name, {}), **alternative[name]} for name in ("dimensions", "seen") if name in alternative
    }
    return {**merged, **alternative, **shared, "name": alternative.get("name", "")}


def _check_names(alternatives: Sequence[Mapping[str, Any]], faults: Faults) -> None:
    names = [alternative.get("name", "") for alternative in alternatives]
    for index, name in enumerate(names):
        if len(names) > 1 and (not name or names.index(name) < index):
            faults.setdefault("patterns", {})[index] = {"name": fault("request.pattern_name", name)}


def _place(faults: Faults, wrong: Faults, index: int, source: Mapping[str, Any]) -> None:
    """File a fault where the caller wrote the field: in the alternative, or in the mount it inherits from."""
    for name, below in wrong.items():
        inherited = name not in source and name != "claimed_by"
        if "position" in source or inherited:
            faults.setdefault(name, below)
        else:
            faults.setdefault("patterns", {}).setdefault(index, {})[name] = below


def _pattern(data: Mapping[str, Any], position: str, registry: Registry, unread: _Unread) -> tuple[Pattern, Faults]:
    faults: Faults = {}
    standard, claimed_by = data.get("standard"), data.get("claimed_by")
    _check_claimant(standard, claimed_by, faults)
    if not unread.standard:
        _check_standard(standard, position, registry, faults)
    figures = _figures(data, position, registry, faults, unread)
    seen = _seen(data.get("seen", {}), position, registry, faults, unread)
    holes = _holes(data.get("holes", ()), data.get("instrument"), faults)
    # A claim that is only half there is refused; the pattern behind it never reaches a rule.
    whole = standard is not None and claimed_by is not None
    pattern = Pattern(
        name=data["name"],
        standard=standard if whole else None,
        claimed_by=Claimant(str(claimed_by)) if whole else None,
        figures=figures,
        seen=seen,
        holes=holes,
        drawing_id=data.get("drawing_id"),
        damage=tuple(data.get("damage", ())),
    )
    return pattern, faults


def _check_claimant(standard: str | None, claimed_by: str | None, faults: Faults) -> None:
    if standard is not None and claimed_by is None:
        faults["claimed_by"] = fault("request.no_claimant", known=", ".join(Claimant))
    if standard is None and claimed_by is not None:
        faults["standard"] = fault("request.no_standard")


def _check_standard(standard: str | None, position: str, registry: Registry, faults: Faults) -> None:
    if standard is not None and all(installed.key != standard for installed in registry.at(position)):
        names = {name: installed.key for installed in registry.at(position) for name in installed.also_known_as}
        known = [installed.key for installed in registry.at(position)]
        faults["standard"] = _unknown(standard, known, f"standard at {position}", names.get(standard))


def _unknown(found: str, known: Sequence[str], what: str, meant: str | None = None) -> list[Fault]:
    """Say what was expected, and what was meant: given, or the nearest spelling."""
    if not known:
        return fault("request.nothing_installed", found, what=what)
    listed = ", ".join(sorted(known))
    near = [meant] if meant else difflib.get_close_matches(found, known, n=1)
    if near:
        return fault("request.unknown_name_near", found, what=what, known=listed, near=repr(near[0]))
    return fault("request.unknown_name", found, what=what, known=listed)


def _figures(
    data: Mapping[str, Any], position: str, registry: Registry, faults: Faults, unread: _Unread
) -> dict[str, Quantity | Adjustable]:
    figures: dict[str, Quantity | Adjustable] = {}
    wrong: Faults = {}
    for name, given in data.get("dimensions", {}).items():
        plausible = registry.plausible(position, name)
        if plausible is None and not (name in unread.names and _unit(name) in UNITS):
            known = {n for family in registry.families_at(position) for n in family.dimensions}
            wrong[name] = _unknown(name, sorted(known), f"dimension at {position}")
            continue
        entry = given if isinstance(given, dict) else {"value": given}
        found = _adjustable(entry) if "from" in entry else _quantity(entry, name, data.get("instrument"))
        if isinstance(found, Fault):
            wrong[name] = {"check_bar_mm": [found]} if found.code in _OF_THE_BAR else [found]
        elif plausible is None:
            continue
        elif out := _implausible(found, name, plausible):
            # What is plausible under a standard that is not installed, nobody here can tell.
            wrong.update({} if unread.standard else {name: out})
        else:
            figures[name] = found
    if wrong:
        faults["dimensions"] = wrong
    return figures


def _unit(name: str) -> str:
    return name.rpartition("_")[2]


def _implausible(figure: Quantity | Adjustable, name: str, plausible: Limits) -> list[Fault]:
    ends = (figure.low, figure.high) if isinstance(figure, Adjustable) else (figure.value,)
    low, high = ("any" if end is None else f"{in_units(end):g}" for end in (plausible.low, plausible.high))
    return [
        Fault("request.implausible", {"found": in_units(end), "low": low, "high": high, "dimension": name})
        for end in ends
        if not plausible.contain(end)
    ]


def _adjustable(entry: Mapping[str, Any]) -> Adjustable | Fault:
    low, high = thousandths(entry["from"]), thousandths(entry["to"])
    if low > high:
        return Fault("request.setting_order", {"low": entry["from"], "high": entry["to"]})
    # A step below the resolution of a length slides freely.
    step = thousandths(entry["step"]) if "step" in entry else 0
    return Adjustable(low, high, step or None, entry.get("lock", "friction"))


#: Faults of the check bar, and not of the reading beside it.
_OF_THE_BAR = ("request.bar_elsewhere", "request.check_bar")


def _quantity(entry: Mapping[str, Any], name: str, default: str | None) -> Quantity | Fault:
    """Give a reading, corrected where a printed gauge's bar was measured."""
    found = _as_read(entry, name, default)
    if "check_bar_mm" not in entry or isinstance(found, Fault):
        return found
    instrument = entry.get("instrument", default)
    bar = instruments()[instrument].check_bar if instrument is not None else None
    if bar is None or _unit(name) != "mm":
        known = ", ".join(name for name, each in instruments().items() if each.check_bar is not None)
        return Fault("request.bar_elsewhere", {"found": shown(instrument), "known": known, "dimension": name})
    measured_um = thousandths(entry["check_bar_mm"])
    if not bar.measurable.contain(measured_um):
        low, high = (0 if end is None else in_units(end) for end in (bar.measurable.low, bar.measurable.high))
        params = {"found": entry["check_bar_mm"], "low": low, "high": high, "length": in_units(bar.length_um)}
        return Fault("request.check_bar", params)
    return bar.corrected(found, measured_um)


def _as_read(entry: Mapping[str, Any], name: str, default: str | None) -> Quantity | Fault:
    value = thousandths(entry["value"])
    if "plus_minus" in entry:
        return too_close(entry, _unit(name), default) or _told_doubt(value, entry)
    instrument = entry.get("instrument", default)
    if instrument is None:
        return Fault("request.no_doubt")
    known, unit = instruments()[instrument], _unit(name)
    if unit not in known.half_widths:
        return Fault("request.instrument_unit", {"found": instrument, "unit": unit})
    method = entry.get("method")
    if method is not None and method not in known.methods:
        return Fault("request.choice", {"found": shown(method), "known": ", ".join(sorted(known.methods)) or "none"})
    half_width = known.half_widths[unit] if method is None else known.methods[method]
    return Quantity(value, rectangular(half_width), instrument)


def _told_doubt(value: int, entry: Mapping[str, Any]) -> Quantity:
    return Quantity(value, rectangular(entry["plus_minus"] * 1000), entry.get("instrument", "plus_minus"))


def too_close(entry: Mapping[str, Any], unit: str, default: str | None = None) -> Fault | None:
    """Give the fault of a reading that is told closer than its instrument reads, None where it has none.

    Parameters
    ----------
    entry : Mapping
        With ``plus_minus``, and an ``instrument`` of those known, if any.
    unit : str
    default : str or None
        The instrument of every reading that names none.
    """
    name = entry.get("instrument", default)
    instrument = instruments().get(name or "")
    least = 0 if instrument is None else instrument.least.get(unit, 0)
    if entry["plus_minus"] * 1000 >= least:
        return None
    params = {"found": entry["plus_minus"], "instrument": name, "least": in_units(least), "unit": unit}
    return Fault("request.closer_than_instrument", params)


def _seen(
    seen: Mapping[str, str], position: str, registry: Registry, faults: Faults, unread: _Unread
) -> Mapping[str, str]:
    """Give the looks that an installed standard can read."""
    answers: dict[str, set[str]] = {}
    for family in registry.families_at(position):
        for feature, look in family.looks.items():
            answers.setdefault(feature, set()).update(look.answers)
    wrong = {}
    for feature, answer in seen.items():
        if feature not in answers and feature not in unread.names:
            wrong[feature] = _unknown(feature, sorted(answers), f"feature at {position}")
        elif answer not in answers.get(feature, (answer,)) and not unread.standard:
            wrong[feature] = fault("request.choice", answer, known=", ".join(sorted(answers[feature])))
    if wrong:
        faults["seen"] = wrong
    return {feature: answer for feature, answer in seen.items() if answer in answers.get(feature, ())}


def _holes(given: Iterable[Mapping[str, Any]], instrument: str | None, faults: Faults) -> tuple[Hole, ...]:
    holes: list[Hole] = []
    wrong: Faults = {}
    names: set[str] = set()
    for index, entry in enumerate(given):
        found = _hole_faults(entry, instrument, names)
        names.add(entry["name"])
        if found:
            wrong[index] = found
        else:
            holes.append(_hole(entry, instrument))
    if wrong:
        faults["holes"] = wrong
    return tuple(holes)


def _hole_faults(entry: Mapping[str, Any], instrument: str | None, names: Collection[str]) -> Faults:
    found: Faults = {}
    if entry["name"] in names:
        found["name"] = fault("request.hole_twice", entry["name"])
    if "along_mm" in entry and instrument is None:
        found["along_mm"] = fault("request.place_without_doubt")
    slot = entry.get("slot_length_mm")
    if slot is not None and slot < entry["diameter_mm"]:
        found["slot_length_mm"] = fault("request.slot_short", slot, width=entry["diameter_mm"])
    elif slot is not None and entry.get("tapped"):
        found["slot_length_mm"] = fault("request.slot_tapped")
    return found


def _hole(entry: Mapping[str, Any], instrument: str | None) -> Hole:
    half_width = instruments()[instrument].half_widths.get("mm", 0) if instrument else 0
    along = entry.get("along_mm")
    return Hole(
        name=entry["name"],
        along_um=None if along is None else thousandths(along),
        across_um=thousandths(entry.get("across_mm", 0)),
        diameter_um=thousandths(entry["diameter_mm"]),
        slot_length_um=thousandths(entry.get("slot_length_mm", 0)),
        slot_direction_deg=float(entry.get("slot_direction_deg", 0)),
        tapped=entry.get("tapped", False),
        standard_uncertainty_um=rectangular(half_width) if along is not None else 0.0,
        axis_deg=entry.get("axis_deg"),
    )


def part_built(kind: str, mounts: Iterable[Mount], name: str, registry: Registry) -> tuple[Part, Faults]:
    """Give a part with each mount's side settled, and a fault for every side that stands twice at one position.

    Parameters
    ----------
    kind : str
        Empty for the skate.
    mounts : iterable of Mount
    name : str
    registry : Registry
    """
    settled: list[Mount] = []
    faults: Faults = {}
    for index, mount in enumerate(mounts):
        pattern = mount.patterns[0]
        side = side_of(mount.position, mount.side, pattern.standard, pattern.figures, registry, kind)
        if any(other.position == mount.position and other.side == side for other in settled):
            faults[index] = {"position": fault("request.position_twice", mount.position, side=side)}
        settled.append(replace(mount, side=side))
    return Part(kind, tuple(settled), name), faults
