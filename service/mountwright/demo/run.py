"""Starts the service on a free loopback port, asks the demo's questions over HTTP, prints the answers."""

from __future__ import annotations

import json
import os
import subprocess
import textwrap
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from importlib import resources
from tempfile import TemporaryDirectory
from typing import Any

from mountwright.bootstrap import create_workshop, ready_catalogue
from mountwright.client import Client
from mountwright.demo.loading import load_demo
from mountwright.serving import served
from mountwright.settings import Settings


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
        When the service does not come up, or does not answer.
    """
    scenario = json.loads(resources.files(__package__).joinpath("questions.json").read_text(encoding="utf-8"))
    with TemporaryDirectory(prefix="mountwright-demo-") as folder, served(port, env=_stocked(folder)) as found:
        address, process = found
        say(f"{scenario['place']}\n")
        with Client(address) as client:
            for number, question in enumerate(scenario["questions"], 1):
                answer = _asked(client, question)
                say(f"{number}. {question['asked']}")
                for line in _spoken(answer):
                    say(textwrap.indent(textwrap.fill(line, 96), "   "))
                say("")
        say(f"Asked over HTTP at {address}; {len(scenario['questions'])} questions answered.")
        if keep:
            say(f"The service stays at {address} until Ctrl-C. The contract is at {address}/openapi.json.")
            _wait(process)


def _stocked(folder: str) -> dict[str, str]:
    """Give the environment of a service whose catalogue is the invented shop's."""
    settings = replace(Settings.from_env(), database=f"sqlite:///{folder}/catalogue.db")
    workshop = create_workshop(settings)
    ready_catalogue(workshop.engines)
    load_demo(workshop)
    workshop.engines.close()
    return {**os.environ, "MOUNTWRIGHT_DATABASE": settings.database}


def _asked(client: Client, question: dict[str, Any]) -> dict[str, Any]:
    return client.post(question["path"], question["body"]) if "body" in question else client.get(question["path"])


def _wait(process: subprocess.Popen[bytes]) -> None:
    try:
        process.wait()
    except KeyboardInterrupt:
        return


def _spoken(answer: dict[str, Any]) -> Iterator[str]:
    """Give the lines of an answer; which it is, a field tells that no other has."""
    told = next((told for field, told in _TOLD.items() if field in answer), _judged)
    yield from told(answer)


def _identified(answer: dict[str, Any]) -> Iterator[str]:
    for found in answer["identifications"]:
        yield found["message"]
        yield from _step(found["next_step"])


def _noted(answer: dict[str, Any]) -> Iterator[str]:
    yield answer["message"]
    yield from (f"* {note['message']}" for note in answer["notes"])


def _coloured(answer: dict[str, Any]) -> Iterator[str]:
    yield from (f"- {part['name']}, {part['colour']} ({part['sku']}): {part['message']}" for part in answer["parts"])
    yield from (f"* {note['message']}" for note in answer["notes"])


def _carded(card: dict[str, Any]) -> Iterator[str]:
    yield card["message"]
    yield from (f"- {job['number']}. {job['title']}" for job in card["jobs"])
    yield from (f"! {caution}" for job in card["jobs"] for caution in job["cautions"])


def _judged(answer: dict[str, Any]) -> Iterator[str]:
    for part in answer["parts"]:
        bound = f"{part['probability']:.2f} to {part['probability_at_most']:.2f}"
        yield f"{part['verdict'].replace('_', ' ').upper()} (probability {bound})"
        told = [check for check in part["checks"] if check["outcome"] != "pass"] or part["checks"]
        yield from (f"- {check['message']}" for check in told)
        yield from (f"- {found['message']}" for found in part["contradictions"])
        yield from (f"- {need['message']}" for need in part["needs"])
        yield from [f"* {part['experience']['message']}"] if part["experience"] else []
        yield from (
            f"! {caution['message']}" for caution in part["cautions"] if not caution["code"].startswith("caution.")
        )
        yield from _step(part["next_step"])


def _at_the_till(answer: dict[str, Any]) -> Iterator[str]:
    yield f"{answer['decision'].upper()}. {answer['message']}"
    for line in answer["lines"]:
        yield f"- {line['sku']}: {line['decision']}. {line['reasons'][0]['message']}"
        yield from [f"* {reason['check']['message']}" for reason in line["reasons"] if reason["decision"] == "stop"]
        yield from (f"* instead: {each['name']} ({each['sku']})" for each in line["alternatives"])
    yield from [f"> Ask: {answer['question']['message']}"] if answer["question"] else []


def _in_order(path: dict[str, Any]) -> Iterator[str]:
    yield path["message"]
    yield from (f"? {look['check']}" for each in path["complaints"] for look in each["first_look"])
    for step in [step for stage in path["stages"] for step in stage["steps"]]:
        cost = (step["parts_minor"] + step["labour_minor"] + step["consumables_minor"]) / 100
        yield f"- {step['message']} {cost:.2f} {path['currency']}, {step['minutes']['usual']} minutes."
    yield from [f"* {path['another_skate']['message']}"] if path["another_skate"] else []


def _compared(answer: dict[str, Any]) -> Iterator[str]:
    for set_up in answer["set_ups"]:
        against, watts = set_up["against_first"], set_up["power_w"]
        said = "what the others are held against." if against is None else against["message"]
        yield f"- {set_up['name']}: {said} {watts['low']:.0f} to {watts['high']:.0f} W."


def _stood(line: dict[str, Any]) -> Iterator[str]:
    yield line["message"]
    for wheel in line["wheels"]:
        size, gap, load = wheel["diameter_mm"], wheel["gap_mm"], wheel["load_n"]
        yield f"- wheel {wheel['axle'] + 1}, {size:g} mm: gap {gap:g} mm, carries {load:.0f} N"
    yield from (f"* {note['message']}" for note in line["notes"])


def _listed(answer: dict[str, Any]) -> Iterator[str]:
    for group in answer["groups"]:
        needs = "".join(f" {need['message']}" for need in group["needs"])
        yield f"{group['verdict'].replace('_', ' ').upper()}.{needs}"
        yield from (f"- {part['name']}, {part['colour']} ({part['sku']})" for part in group["parts"])


def _step(step: dict[str, Any] | None) -> Iterator[str]:
    if step is not None:
        yield f"> Next: {step['message']}"


#: How an answer is told, by the field that tells which it is.
_TOLD: Mapping[str, Callable[[dict[str, Any]], Iterator[str]]] = {
    "identifications": _identified,
    "decision": _at_the_till,
    "stages": _in_order,
    "together": _coloured,
    "reference": _carded,
    "groups": _listed,
    "set_ups": _compared,
    "wheels": _stood,
    # Several others have notes, too.
    "notes": _noted,
}
