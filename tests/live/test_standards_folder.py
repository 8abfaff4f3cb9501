"""Standards as files: dropped into a folder, there at the next start."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import requests

Serving = Callable[..., AbstractContextManager[tuple[str, subprocess.Popen[bytes], Path]]]

PENNANT = """
requires_api = "1.0"
family = "pennant"
positions = ["pennant_socket"]
sides = ["heel", "pennant"]

[dimensions.socket_mm]
sides = ["heel"]
plausible = [2, 20]
measure = "Bore of the socket, with a caliper."

[dimensions.staff_mm]
sides = ["pennant"]
plausible = [2, 20]
measure = "Diameter of the staff, with a caliper."

[[rules]]
kind = "stack"
code = "staff_play"
terms = [{ of = "heel.socket_mm" }, { of = "pennant.staff_mm", times = -1 }]
at_least_mm = 0.2
at_most_mm = 1.0
source = "invented"

[[standards]]
key = "socket-5"
title = "Socket of 5 mm for a pennant's staff"
mark = "A hole behind the heel."
source = "invented"
dimensions.socket_mm = { nominal = 5.0, conforming = 0.1, source = "invented" }
dimensions.staff_mm = { nominal = 4.4, conforming = 0.1, source = "invented" }
"""

SOCKET = {"position": "pennant_socket", "standard": "socket-5", "claimed_by": "maker"}

QUESTION = {"skate": {"mounts": [SOCKET]}, "parts": [{"kind": "pennant", "mounts": [SOCKET]}]}


def asked(address: str) -> requests.Response:
    """Give the answer to whether the pennant goes on the skate."""
    return requests.post(f"{address}/v1/fit-checks", json=QUESTION, timeout=30)


def left_out(address: str) -> list[dict[str, Any]]:
    """Give what the service had to leave out."""
    found: list[dict[str, Any]] = requests.get(f"{address}/readyz", timeout=30).json()["left_out"]
    return found


def test_a_file_dropped_into_the_folder_answers_from_the_next_start(serving: Serving, tmp_path: Path) -> None:
    """Nothing is installed and no line of the service changes: the standard is unknown, then it decides."""
    with serving(MOUNTWRIGHT_STANDARDS_DIR=str(tmp_path)) as (address, _, _):
        assert 422 == asked(address).status_code
    tmp_path.joinpath("pennant.toml").write_text(PENNANT, encoding="utf-8")
    with serving(MOUNTWRIGHT_STANDARDS_DIR=str(tmp_path)) as (address, _, _):
        assert "fits" == asked(address).json()["verdict"]


def test_a_broken_file_is_named_and_the_good_one_beside_it_answers(serving: Serving, tmp_path: Path) -> None:
    """The file, and the place in it, stand among what was left out."""
    tmp_path.joinpath("pennant.toml").write_text(PENNANT, encoding="utf-8")
    broken = PENNANT.replace("plausible = [2, 20]", "plausible = [20, 2]", 1)
    tmp_path.joinpath("banner.toml").write_text(broken, encoding="utf-8")
    with serving(MOUNTWRIGHT_STANDARDS_DIR=str(tmp_path)) as (address, _, _):
        (banner,) = left_out(address)
        assert "fits" == asked(address).json()["verdict"]
    assert ("banner", str(tmp_path / "banner.toml")) == (banner["plugin"], banner["distribution"])
    assert "dimensions.socket_mm: limits the wrong way round" in banner["reason"]
