"""Standards of strangers: they answer like our own, and what is broken costs nobody else anything."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import pytest
import requests

Serving = Callable[..., AbstractContextManager[tuple[str, subprocess.Popen[bytes], Path]]]

#: Every lantern and every hook is invented.
RAIL = {"position": "lamp_rail", "standard": "rail-12", "claimed_by": "maker"}
HOOK = {"position": "lamp_hook", "standard": "hook-6", "claimed_by": "maker"}
BOLTS = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}

LOAD_FAULTS = {
    "lantern_import_error": "No module named 'wick_and_oil'",
    "lantern_misspelt_hook": "unknown hook 'mountwright_standard'",
    "lantern_repeated_key": "standard key repeated: two-bolt-165",
}


def lantern(**figures: float) -> dict[str, Any]:
    """Give a lantern whose figures were read with a caliper."""
    return {"kind": "lantern", "mounts": [{**RAIL, "instrument": "caliper", "dimensions": figures}]}


def asked(address: str, *parts: dict[str, Any]) -> dict[str, Any]:
    """Give the answer for a skate with a lamp rail, a lamp hook and bolts under the sole."""
    body = {"skate": {"mounts": [RAIL, HOOK, BOLTS]}, "parts": parts}
    answer = requests.post(f"{address}/v1/fit-checks", json=body, timeout=30)
    answer.raise_for_status()
    found: dict[str, Any] = answer.json()
    return found


def told(address: str, path: str) -> dict[str, Any]:
    """Give what a path answers."""
    found: dict[str, Any] = requests.get(f"{address}{path}", timeout=30).json()
    return found


def failed(part: dict[str, Any]) -> dict[str, str]:
    """Give the sentences of the failed checks by code."""
    return {check["code"]: check["message"] for check in part["checks"] if check["outcome"] == "fail"}


def test_a_strangers_standard_at_a_position_of_its_own_says_that_a_part_fits(address: str) -> None:
    """Two teeth, 8 mm apart, meet notches every 4 mm; the answer comes over HTTP with the plugin's own sentence."""
    part = asked(address, lantern(tooth_gap_mm=8.0))["parts"][0]
    assert "fits" == part["verdict"]
    assert "Both teeth drop into notches, 2 apart." in [check["message"] for check in part["checks"]]


def test_a_strangers_rule_in_python_says_that_a_part_does_not_fit(address: str) -> None:
    """A gap of 10 mm ends halfway between two notches."""
    part = asked(address, lantern(tooth_gap_mm=10.0))["parts"][0]
    assert "does_not_fit" == part["verdict"]
    assert {"teeth_meet_notches": "One tooth stands 2 mm beside its notch."} == failed(part)


def test_a_strangers_declared_rule_says_that_a_part_does_not_fit(address: str) -> None:
    """Jaws 14 mm apart rattle on a rail of 12 mm, whatever the teeth do."""
    part = asked(address, lantern(tooth_gap_mm=8.0, clip_width_mm=14.0))["parts"][0]
    assert "does_not_fit" == part["verdict"]
    assert ["clip_play"] == list(failed(part))


def test_a_strangers_standard_asks_for_the_figure_that_it_misses(address: str) -> None:
    """Nobody said how far the teeth are apart, and the standard does not know it."""
    part = asked(address, lantern())["parts"][0]
    assert "cannot_tell" == part["verdict"]
    assert ("measure", "tooth_gap_mm") == (part["next_step"]["kind"], part["next_step"]["what"])


@pytest.mark.parametrize("path", ["/readyz", "/v1/standards"])
@pytest.mark.parametrize("plugin", LOAD_FAULTS)
def test_a_broken_plugin_is_named_with_its_distribution_and_its_reason(address: str, path: str, plugin: str) -> None:
    """Whoever runs the service sees what was left out, and why."""
    left_out = {entry["plugin"]: entry for entry in told(address, path)["left_out"]}
    assert plugin.replace("_", "-") == left_out[plugin]["distribution"]
    assert LOAD_FAULTS[plugin] in left_out[plugin]["reason"]


def test_only_the_broken_plugins_are_left_out(address: str) -> None:
    """A sound plugin, and one that fails only when it is asked, stay in."""
    assert sorted(LOAD_FAULTS) == sorted(entry["plugin"] for entry in told(address, "/readyz")["left_out"])


def test_a_key_that_is_taken_stays_with_the_plugin_in_the_box(address: str) -> None:
    """A stranger cannot take the place of a standard that others rely on."""
    assert "frame_spacing" == told(address, "/v1/standards/two-bolt-165")["plugin"]


def test_a_check_that_raises_costs_only_its_own_answer(address: str) -> None:
    """The hook cannot be judged, and the plugin is named; the frame beside it is judged as ever."""
    hook, frame = asked(address, {"kind": "lantern", "mounts": [HOOK]}, {"kind": "frame", "mounts": [BOLTS]})["parts"]
    assert ("cannot_tell", "fits") == (hook["verdict"], frame["verdict"])
    assert "lantern_raising_check" == hook["next_step"]["params"]["family"]


def test_a_check_that_raises_is_counted_and_logged(serving: Serving, foreign_site: Path) -> None:
    """One question, one fault, with the stack trace in the log."""
    with serving(site=foreign_site) as (where, _, log):
        asked(where, {"kind": "lantern", "mounts": [HOOK]})
        assert {"lantern_raising_check": 1} == told(where, "/readyz")["plugin_faults"]
        assert "KeyError: 'hook_width_mm'" in log.read_text(encoding="utf-8")


def test_a_blocked_plugin_is_neither_loaded_nor_reported(serving: Serving, foreign_site: Path) -> None:
    """What is blocked by name is left out on purpose, so it is no fault."""
    blocked = "lantern_mounts, lantern_import_error"
    with serving(site=foreign_site, MOUNTWRIGHT_BLOCKED_PLUGINS=blocked) as (where, _, _):
        found = told(where, "/v1/standards")
    assert {"hook-6"} == {each["key"] for each in found["standards"] if "lantern" in each["plugin"]}
    assert ["lantern_misspelt_hook", "lantern_repeated_key"] == [entry["plugin"] for entry in found["left_out"]]
