"""What the pictures say, in English: a caller may bring other words for any of these."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from mountwright.drawing.lettering import plain

#: Templates by key, with ``{name}`` for figures. Wheels are counted from 1 at the front, steps from 1, stages from A.
ENGLISH: Mapping[str, str] = MappingProxyType(
    {
        "name": "Wheel line",
        "front": "← front",
        "load": "load {load}",
        "newton": "{value} N",
        "percent": "{value} %",
        "wheel": "{number} Ø{diameter_mm}",
        "gap": "gap {gap_mm} mm",
        "wheelbase": "wheelbase {length_mm} mm",
        "effective": "effective wheelbase {length_mm} mm",
        "flat": "No rocker: flat",
        "rocker": "Rocker {rocker_mm} mm",
        "rocker_radius": "Rocker {rocker_mm} mm, like an arc of {radius_m} m radius",
        "hollow": "Hollow: the inner wheels hang by {rocker_mm} mm",
        "stretched": "Gaps are drawn {factor} times as large as they are",
        "wheels_overlap": "Wheels {number} and {other} overlap by {by_mm} mm",
        "wheels_touch": "Wheels {number} and {other} touch",
        "wheels_close": "Wheels {number} and {other} are only {by_mm} mm apart",
        "sole_overlap": "Wheel {number} stands {by_mm} mm in the sole",
        "sole_touch": "Wheel {number} touches the sole",
        "sole_close": "Wheel {number} is only {by_mm} mm from the sole",
        "frame_overlap": "Wheel {number} stands {by_mm} mm in the frame",
        "frame_touch": "Wheel {number} touches the frame",
        "frame_close": "Wheel {number} is only {by_mm} mm from the frame",
        "bolt_overlap": "Wheel {number} stands {by_mm} mm in a frame bolt",
        "bolt_touch": "Wheel {number} touches a frame bolt",
        "bolt_close": "Wheel {number} is only {by_mm} mm from a frame bolt",
        "block_overlap": "Wheel {number} stands {by_mm} mm in a mounting block",
        "block_touch": "Wheel {number} touches a mounting block",
        "block_close": "Wheel {number} is only {by_mm} mm from a mounting block",
        "told_view": "Side view to scale, front on the left.",
        "told_stands": "Wheel {number} of {diameter_mm} mm touches the ground.",
        "told_carries": "Wheel {number} of {diameter_mm} mm touches the ground and carries {load}.",
        "told_hangs": "Wheel {number} of {diameter_mm} mm hangs {gap_mm} mm above the ground.",
        "told_load": "The load of {load} stands {behind_mm} mm behind the front axle.",
        "told_load_ahead": "The load of {load} stands {ahead_mm} mm ahead of the front axle.",
        "told_heel": "The heel stands {step_mm} mm higher than the toe.",
        "path": "Upgrade path",
        "path_up": "↑ relieved",
        "path_along": "money spent, {currency} →",
        "path_along_free": "no money is spent",
        "path_money": "{amount} {currency}",
        "path_decimal_mark": ".",
        "path_free": "free",
        "path_price": "+{amount}",
        "path_figures": "{price}, {money} so far, {relieved} relieved",
        "path_start": "the skate as it is",
        "path_route": "the path: a mark for each step, by number",
        "path_limit": "where the money of a stage ends, by letter",
        "path_way": "{letter}: {label}",
        "path_other": "wins from {price}: {label}",
        "path_other_beyond": "wins from {price}, further along: {label}",
        "path_stage": "{letter}: {label}",
        "path_budget": "up to {budget} in all",
        "path_no_step": "no step",
        "path_unnamed_step": "a step",
        "path_unnamed_stage": "a stage",
        "path_unnamed_way": "another way",
        "path_unnamed_skate": "another skate",
        "told_path_view": "Money spent so far runs along, what it relieves runs up.",
        "told_path_stage": "Stage {letter}, {label}, up to {budget} in all: {steps}.",
        "told_path_step": "step {number}, {name} ({figures})",
        "told_path_way": "Alternative {letter}, {label}: {points}.",
        "told_path_point": "{money} for {relieved}",
    }
)


class Words:
    """The words of one picture: those that a caller brings, English for the rest."""

    def __init__(self, own: Mapping[str, str]) -> None:
        self._templates = {**ENGLISH, **own}

    def say(self, key: str, **figures: object) -> str:
        """Give the words for a key with its figures, on one line."""
        return plain(self._templates[key].format_map(figures))


def figure(value: float, decimals: int = 2) -> str:
    """Give a figure as a reader wants it: no noughts at its end, and a true minus."""
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text.replace("-", "\N{MINUS SIGN}")
