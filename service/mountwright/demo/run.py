"""Starts the service on a free loopback port, asks the demo's questions over HTTP, prints the answers."""

from __future__ import annotations

import json
import subprocess
import textwrap
from collections.abc import Callable, Iterator
from importlib import resources
from typing import Any

import requests

from mountwright.serving import served


def run_demo(port: int, keep: bool, say: Callable[[str], object]) -> None:
    """Run the demo.

    Parameters
    ----------
    port : int
        On loopback; 0 takes a free one.
    keep : bool
        Leave the service running until interrupted.
    say : callable
        Takes each line of output.

    Raises
    ------
    MountwrightError
        When the service does not come up.
    """
    scenario = json.loads(resources.files(__package__).joinpath("questions.json").read_text(encoding="utf-8"))
    with served(port) as (address, process):
        say(f"{scenario['place']}\n")
        for number, question in enumerate(scenario["questions"], 1):
            answer = requests.post(f"{address}{question['path']}", json=question["body"], timeout=10).json()
            say(f"{number}. {question['asked']}")
            for line in _spoken(answer):
                say(textwrap.indent(textwrap.fill(line, 96), "   "))
            say("")
        say(f"Asked over HTTP at {address}; {len(scenario['questions'])} questions answered.")
        if keep:
            say(f"The service stays at {address} until Ctrl-C. The contract is at {address}/openapi.json.")
            _wait(process)


def _wait(process: subprocess.Popen[bytes]) -> None:
    try:
        process.wait()
    except KeyboardInterrupt:
        return


def _spoken(answer: dict[str, Any]) -> Iterator[str]:
    if "identifications" in answer:
        for found in answer["identifications"]:
            yield found["message"]
            yield from _step(found["next_step"])
        return
    for part in answer["parts"]:
        bound = f"{part['probability']:.2f} to {part['probability_at_most']:.2f}"
        yield f"{part['verdict'].replace('_', ' ').upper()} (probability {bound})"
        told = [check for check in part["checks"] if check["outcome"] != "pass"] or part["checks"]
        yield from (f"- {check['message']}" for check in told)
        yield from (f"- {found['message']}" for found in part["contradictions"])
        yield from (f"- {need['message']}" for need in part["needs"])
        yield from (
            f"! {caution['message']}" for caution in part["cautions"] if not caution["code"].startswith("caution.")
        )
        yield from _step(part["next_step"])


def _step(step: dict[str, Any] | None) -> Iterator[str]:
    if step is not None:
        yield f"> Next: {step['message']}"
