"""Sets what can be adjusted: a plate is put where the other side wants it, within its range and steps."""

from __future__ import annotations

from dataclasses import replace

from mountwright.fitting.estimates import Estimates
from mountwright.measure.quantity import Adjustable, Quantity
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.mount import Pattern, Setting
from mountwright.mounts.registry import Registry


def settled(pattern: Pattern, other: Pattern, registry: Registry, estimates: Estimates) -> Pattern:
    """Give the pattern with every adjustable dimension set as near as it goes to the other side's.

    Where nothing is known of the other side the dimension stays open and is passed over.
    """
    if not any(isinstance(figure, Adjustable) for figure in pattern.figures.values()):
        return pattern
    figures: dict[str, Quantity | Adjustable] = {}
    settings: list[Setting] = []
    for dimension, figure in pattern.figures.items():
        wanted = nominal_of(other, dimension, registry)
        if isinstance(figure, Quantity) or wanted is None:
            figures[dimension] = figure
            continue
        setting = figure.nearest_setting(wanted)
        figures[dimension] = Quantity(setting, rectangular(estimates.setting_half_width_um), "setting")
        settings.append(Setting(dimension, setting, figure.lock))
    return replace(pattern, figures=figures, settings=tuple(settings))


def nominal_of(pattern: Pattern, dimension: str, registry: Registry) -> float | None:
    """Give a pattern's own figure for a dimension, else its claimed standard's, thousandths; None where neither is."""
    figure = pattern.figures.get(dimension)
    if isinstance(figure, Quantity):
        return figure.value
    if figure is not None or pattern.standard is None:
        return None
    standard = registry.standards.get(pattern.standard)
    nominal = standard.nominals.get(dimension) if standard else None
    return nominal.stated if nominal else None
