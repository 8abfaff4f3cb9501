"""The command line: it says what the service says, and in one line what is wrong."""

from __future__ import annotations

import json
import os
import subprocess
import sysconfig
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from flask.testing import FlaskClient
from pypdf import PdfReader

from mountwright.cli import main

#: The installed command.
MOUNTWRIGHT = str(Path(sysconfig.get_path("scripts"), "mountwright"))

BOLTS = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
READ = {**BOLTS, "dimensions": {"hole_spacing_mm": {"value": 164.6, "instrument": "steel_rule"}}}
FLAT = {**BOLTS, "standard": "flat-167"}
QUESTION: dict[str, Any] = {
    "skate": {"mounts": [READ]},
    "parts": [{"kind": "frame", "mounts": [BOLTS]}, {"kind": "frame", "mounts": [FLAT]}],
}

#: An invented standard, whole and sound.
BELL = """
requires_api = "1.0"
family = "bell"
positions = ["bell_bracket"]
sides = ["cuff", "bell"]

[dimensions.pin_mm]
plausible = [1, 20]
measure = "Across the pin, or its hole."

[[rules]]
kind = "stack"
code = "pin_play"
terms = [{ of = "cuff.pin_mm" }, { of = "bell.pin_mm", times = -1 }]
at_least_mm = 0.1
at_most_mm = 0.6
source = "invented"

[[standards]]
key = "pin-6"
title = "Pin of 6 mm"
mark = "A pin at the cuff."
source = "invented"
"""

#: The same with faults, each in a place of its own; a dimension that is renamed is missed where a rule names it.
CRACKED_BELL = (
    BELL.replace("dimensions.pin_mm", "dimensions.pin")
    .replace("plausible = [1, 20]", "plausible = [20, 1]")
    .replace('mark = "A pin at the cuff."', 'marque = "A pin at the cuff."')
)
CRACKS = (
    "dimensions.pin: unit missing",
    "dimensions.pin: limits the wrong way round",
    "rules[0].terms[0]: of: found 'pin_mm', expected one of pin",
    "rules[0].terms[1]: of: found 'pin_mm', expected one of pin",
    "standards[0]: mark: missing",
    "standards[0]: marque: unknown field",
)


def run(*arguments: object, body: str = "", **settings: str) -> Result:
    """Run a command in this process, with no setting but those given."""
    unset: dict[str, str | None] = {name: None for name in os.environ if name.startswith("MOUNTWRIGHT_")}
    return CliRunner(env={**unset, **settings}).invoke(main, [str(argument) for argument in arguments], input=body)


def written(folder: Path, name: str, text: str) -> Path:
    """Write a file and give its path."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_standards_list_names_every_standard_that_the_service_has(client: FlaskClient) -> None:
    """One line a standard, its key in front."""
    keys = [standard["key"] for standard in client.get("/v1/standards").get_json()["standards"]]
    found = run("standards", "list")
    assert 0 == found.exit_code
    assert keys == [line.split()[0] for line in found.stdout.splitlines()]


def test_standards_list_names_what_was_left_out_and_why(tmp_path: Path) -> None:
    """A broken file in the folder is told apart from the standards, on standard error."""
    cracked = written(tmp_path, "bell.toml", CRACKED_BELL)
    found = run("standards", "list", MOUNTWRIGHT_STANDARDS_DIR=str(tmp_path))
    assert (0, f"left out: bell ({cracked}): bell.toml: ") == (found.exit_code, found.stderr.partition("dimensions")[0])
    assert [] == [crack for crack in CRACKS if crack not in found.stderr]


def test_standards_check_calls_a_sound_file_good(tmp_path: Path) -> None:
    """Its keys are listed."""
    path = written(tmp_path, "bell.toml", BELL)
    found = run("standards", "check", path)
    assert (0, f"{path}: good: pin-6\n") == (found.exit_code, found.output)


def test_standards_check_names_every_fault_of_a_file(tmp_path: Path) -> None:
    """Every fault, every place, one run; the exit code stops a deployment."""
    found = run("standards", "check", written(tmp_path, "bell.toml", CRACKED_BELL))
    assert (1, True) == (found.exit_code, f"{len(CRACKS)} fault(s)" in found.stderr)
    assert [] == [crack for crack in CRACKS if crack not in found.stderr]


def test_standards_check_reads_the_jobs_as_a_bench_does(tmp_path: Path) -> None:
    """A job without steps is a fault of the file, though no standard has to do with it."""
    job = '\n[bench_jobs.oil_bell]\ntitle = "Oil it"\n'
    found = run("standards", "check", written(tmp_path, "bell.toml", BELL + job))
    assert 1 == found.exit_code
    assert "  bench_jobs.oil_bell: steps: missing\n" in found.stderr


def test_standards_check_says_what_is_no_toml(tmp_path: Path) -> None:
    """The line and column of the slip are given."""
    found = run("standards", "check", written(tmp_path, "bell.toml", 'family = "bell\n'))
    assert 1 == found.exit_code
    assert "not TOML" in found.stderr
    assert "line 1" in found.stderr


def test_standards_check_goes_through_a_whole_folder(tmp_path: Path) -> None:
    """A faulty file does not end the look at the next one."""
    written(tmp_path, "a_cracked.toml", CRACKED_BELL)
    sound = written(tmp_path, "b_sound.toml", BELL)
    found = run("standards", "check", tmp_path)
    assert (1, f"{sound}: good: pin-6\n") == (found.exit_code, found.stdout)
    assert f"{tmp_path / 'a_cracked.toml'}: {len(CRACKS)} fault(s)" in found.stderr


def test_standards_check_refuses_an_empty_folder(tmp_path: Path) -> None:
    """Nothing to check is more likely a wrong path than a sound deployment."""
    found = run("standards", "check", tmp_path)
    assert (1, f"Error: no *.toml in {tmp_path}\n") == (found.exit_code, found.stderr)


def test_standards_check_says_that_a_file_is_not_text(tmp_path: Path) -> None:
    """A file in another encoding is refused in words, without a stack trace."""
    path = tmp_path / "bell.toml"
    path.write_bytes(BELL.replace("Pin of 6 mm", "Pin ø 6 mm").encode("latin-1"))
    found = run("standards", "check", path)
    assert (1, str(path) in found.stderr) == (found.exit_code, True)
    assert isinstance(found.exception, SystemExit)


def test_fit_gives_the_answer_of_the_service(tmp_path: Path, client: FlaskClient) -> None:
    """Verdict, checks and receipt are the same on both ways."""
    found = run("fit", written(tmp_path, "question.json", json.dumps(QUESTION)))
    assert 0 == found.exit_code
    assert client.post("/v1/fit-checks", json=QUESTION).get_json() == json.loads(found.stdout)


def test_fit_reads_standard_input(tmp_path: Path) -> None:
    """A dash stands for it."""
    body = json.dumps(QUESTION)
    from_file = run("fit", written(tmp_path, "question.json", body))
    assert (0, from_file.stdout) == ((found := run("fit", "-", body=body)).exit_code, found.stdout)


def test_fit_knows_the_standards_of_the_folder(tmp_path: Path) -> None:
    """Settings count on the command line as they do in the service."""
    written(tmp_path, "bell.toml", BELL)
    mount = {"position": "bell_bracket", "standard": "pin-6", "claimed_by": "maker"}
    body = json.dumps({"skate": {"mounts": [mount]}, "parts": [{"kind": "bell", "mounts": [mount]}]})
    found = run("fit", "-", body=body, MOUNTWRIGHT_STANDARDS_DIR=str(tmp_path))
    assert ["pin-6", "pin-6"] == json.loads(found.stdout)["parts"][0]["joints"][0]["standards"]


def test_fit_prints_every_fault_with_its_pointer(tmp_path: Path) -> None:
    """Exit code 1, nothing on standard output, and each fault on a line of its own."""
    faulty = {**QUESTION, "stake": "hope", "skate": {"mounts": [{**BOLTS, "standard": "two-bolt-166"}]}}
    found = run("fit", written(tmp_path, "question.json", json.dumps(faulty)))
    assert (1, "") == (found.exit_code, found.stdout)
    pointers = [line.strip().split(":")[0] for line in found.stderr.splitlines() if line.startswith("  ")]
    assert ["/skate/mounts/0/standard", "/stake"] == sorted(pointers)


def test_fit_says_that_a_file_is_no_json(tmp_path: Path) -> None:
    """In one line."""
    found = run("fit", written(tmp_path, "question.json", "{"))
    assert (1, 1) == (found.exit_code, len(found.stderr.splitlines()))
    assert found.stderr.startswith("The body is not JSON: ")


def test_fit_names_a_setting_that_cannot_be_used() -> None:
    """The variable, what was found, and what is expected."""
    found = run("fit", "-", body="{}", MOUNTWRIGHT_MAX_BODY_BYTES="much")
    expected = "Error: MOUNTWRIGHT_MAX_BODY_BYTES: found 'much', expected a whole number above 0\n"
    assert (1, expected) == (found.exit_code, found.stderr)


def test_the_demo_prints_every_question_and_an_answer_to_it() -> None:
    """It starts a service of its own, asks it over HTTP, and ends with code 0."""
    scenario = json.loads(resources.files("mountwright.demo").joinpath("questions.json").read_text(encoding="utf-8"))
    found = subprocess.run([MOUNTWRIGHT, "demo"], capture_output=True, text=True, timeout=120, check=False)
    assert (0, "") == (found.returncode, found.stderr)
    questions = [f"{number}. {question['asked']}" for number, question in enumerate(scenario["questions"], 1)]
    told = [paragraph.partition("\n") for paragraph in found.stdout.split("\n\n")]
    assert questions == [asked for asked, _, answer in told if answer.strip()]


def test_serve_names_a_setting_that_cannot_be_used_in_one_line() -> None:
    """No worker is started and no stack trace is shown."""
    env = {**os.environ, "MOUNTWRIGHT_STANDARDS_DIR": "/nowhere"}
    command = [MOUNTWRIGHT, "serve", "--port", "0"]
    found = subprocess.run(command, env=env, capture_output=True, text=True, timeout=60, check=False)
    expected = "Error: MOUNTWRIGHT_STANDARDS_DIR: found '/nowhere', expected an existing folder\n"
    assert (1, "", expected) == (found.returncode, found.stdout, found.stderr)


@pytest.mark.parametrize("command", [["fit", "nowhere.json"], ["standards", "check", "nowhere.toml"]])
def test_a_file_that_is_not_there_is_a_wrong_use_of_the_command(command: list[str]) -> None:
    """The file is named, and the exit code is that of a wrong use."""
    found = run(*command)
    assert (2, True) == (found.exit_code, command[-1] in found.stderr)


WHEELS = {"kind": "wheel", "specs": {"diameter_mm": 80, "hardness_shore_a": 85}}
PLACES = [{"along_mm": along, "down_mm": 46} for along in (121.5, 40.5, -40.5, -121.5)]
SET_UP = {"name": "Flat", "parts": [{"kind": "frame", "specs": {"axle_places": PLACES}}, WHEELS]}
LINE = {"set_up": SET_UP, "load": {"mass_kg": 80}}
RIDES = {"set_ups": [SET_UP, SET_UP], "rider": {"mass_kg": 80}}


def test_ride_gives_the_answer_of_the_service(tmp_path: Path, client: FlaskClient) -> None:
    """A comparison is the same on both ways."""
    found = run("ride", written(tmp_path, "rides.json", json.dumps(RIDES)))
    assert 0 == found.exit_code
    assert client.post("/v1/ride-estimates", json=RIDES).get_json() == json.loads(found.stdout)


def test_ride_prints_what_no_run_can_be(tmp_path: Path) -> None:
    """A coast-down that nothing explains is named by its place."""
    runs = [{"start_speed_m_s": 5, "distance_m": 4000, "slope_percent": 0}]
    found = run("ride", written(tmp_path, "rides.json", json.dumps({**RIDES, "coast_downs": runs})))
    assert (1, "", True) == (found.exit_code, found.stdout, "/coast_downs: Found" in found.stderr)


def test_wheel_line_gives_the_answer_of_the_service(tmp_path: Path, client: FlaskClient) -> None:
    """A wheel line is the same on both ways, the address of its picture included."""
    found = run("wheel-line", written(tmp_path, "line.json", json.dumps(LINE)))
    assert 0 == found.exit_code
    assert client.post("/v1/wheel-lines", json=LINE).get_json() == json.loads(found.stdout)


def test_wheel_line_draws_the_picture_of_the_service(tmp_path: Path, client: FlaskClient) -> None:
    """The file is the picture that the service gives, byte for byte."""
    found = run("wheel-line", written(tmp_path, "line.json", json.dumps(LINE)), "--picture", tmp_path / "line.svg")
    drawn = client.post("/v1/wheel-lines", json=LINE, headers={"Accept": "image/svg+xml"})
    assert 0 == found.exit_code
    assert drawn.data == (tmp_path / "line.svg").read_bytes()


UPGRADES = {
    "skate": {"mounts": [BOLTS]},
    "complaints": ["knees_fall_inward"],
    "budget": {"currency": "EUR", "amount_minor": 0},
}


def test_upgrade_path_gives_the_answer_of_the_service(tmp_path: Path, client: FlaskClient) -> None:
    """A path is the same on both ways."""
    new = f"sqlite:///{tmp_path}/new.db"
    found = run("upgrade-path", written(tmp_path, "path.json", json.dumps(UPGRADES)), MOUNTWRIGHT_DATABASE=new)
    assert 0 == found.exit_code
    assert client.post("/v1/upgrade-paths", json=UPGRADES).get_json() == json.loads(found.stdout)


def test_upgrade_path_draws_the_picture_of_the_service(tmp_path: Path, client: FlaskClient) -> None:
    """The file is the picture that the service gives, byte for byte."""
    asked = written(tmp_path, "path.json", json.dumps(UPGRADES))
    new = f"sqlite:///{tmp_path}/new.db"
    found = run("upgrade-path", asked, "--picture", tmp_path / "p.svg", MOUNTWRIGHT_DATABASE=new)
    drawn = client.post("/v1/upgrade-paths", json=UPGRADES, headers={"Accept": "image/svg+xml"})
    assert 0 == found.exit_code
    assert drawn.data == (tmp_path / "p.svg").read_bytes()


def test_gauge_prints_a_page_for_each_standard(tmp_path: Path, client: FlaskClient) -> None:
    """Several keys are pages of one PDF; a page alone is what the service gives."""
    both, one = tmp_path / "both.pdf", tmp_path / "one.pdf"
    found = run("gauge", "two-bolt-165", "hub-608", "-o", both)
    run("gauge", "hub-608", "-o", one, "--paper", "letter")

    assert (0, f"Printed to {both}.\n") == (found.exit_code, found.stdout)
    assert 2 == len(PdfReader(both).pages)
    assert client.get("/v1/standards/hub-608/gauge?paper=letter").data == one.read_bytes()


def test_gauge_draws_one_as_svg(tmp_path: Path, client: FlaskClient) -> None:
    """The file's ending says so; it holds what the service gives."""
    out = tmp_path / "gauge.svg"
    found = run("gauge", "flat-167", "-o", out)
    service = client.get("/v1/standards/flat-167/gauge", headers={"Accept": "image/svg+xml"})

    assert (0, service.get_data(as_text=True)) == (found.exit_code, out.read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("two-bolt-165", "hub-608", "-o", "both.svg"), "an SVG holds one gauge, found 2"),
        (("two-bolt-165", "-o", "gauge.png"), "expected a file that ends in .pdf or .svg"),
        (("-o", "gauge.pdf"), "Missing argument 'KEY...'"),
        (("two-bolt-165", "-o", "gauge.pdf", "--paper", "a3"), "'a3' is not one of 'a4', 'letter'"),
    ],
)
def test_gauge_says_how_it_is_asked(arguments: tuple[str, ...], told: str) -> None:
    """What cannot be drawn so is a slip in the command, and said in one line below how it is used."""
    found = run("gauge", *arguments)

    assert (2, True) == (found.exit_code, told in found.stderr)


def test_gauge_says_what_to_measure_instead(tmp_path: Path) -> None:
    """One standard without a length to draw stops the whole: no file is written that lacks a page."""
    out = tmp_path / "gauges.pdf"
    found = run("gauge", "two-bolt-165", "riveted", "-o", out)

    assert (1, False) == (found.exit_code, out.exists())
    assert "The standard riveted states no length that could be drawn. By eye: Rivet heads" in found.stderr
    assert "Measure instead: heel_step_mm: " in found.stderr


CARD = {"reference": "T-1042", "skate": {"name": "Marrowby Lantern"}, "jobs": [{"job": "shorten_strap"}]}


def test_bench_card_gives_the_answer_of_the_service(tmp_path: Path, client: FlaskClient) -> None:
    """A card is the same on both ways, its addresses included."""
    found = run("bench-card", written(tmp_path, "card.json", json.dumps(CARD)))
    assert 0 == found.exit_code
    assert client.post("/v1/bench-cards", json=CARD).get_json() == json.loads(found.stdout)


@pytest.mark.parametrize(("name", "accept"), [("card.html", "text/html"), ("card.PDF", "application/pdf")])
def test_bench_card_prints_what_the_service_prints(tmp_path: Path, client: FlaskClient, name: str, accept: str) -> None:
    """The file is the service's own, byte for byte, where both are told the same address."""
    asked, out = written(tmp_path, "card.json", json.dumps(CARD)), tmp_path / name
    found = run("bench-card", asked, "-o", out, MOUNTWRIGHT_ADDRESS="http://localhost/")
    printed = client.post("/v1/bench-cards", json=CARD, headers={"Accept": accept})
    assert (0, f"Written to {out}.\n") == (found.exit_code, found.stdout)
    assert printed.data == out.read_bytes()


def test_bench_card_has_no_code_where_nobody_says_where_it_would_lead(tmp_path: Path) -> None:
    """Without an address of the service the card says why it has no QR code."""
    asked, out = written(tmp_path, "card.json", json.dumps(CARD)), tmp_path / "card.html"
    assert 0 == run("bench-card", asked, "-o", out).exit_code
    assert "the service was not told its own address" in out.read_text(encoding="utf-8")


def test_bench_card_refuses_a_file_of_another_kind(tmp_path: Path) -> None:
    """What a card is written as is told by its file's ending; another one is a wrong use of the command."""
    found = run("bench-card", written(tmp_path, "card.json", json.dumps(CARD)), "-o", tmp_path / "card.txt")
    assert (2, False) == (found.exit_code, (tmp_path / "card.txt").exists())
    assert "ends in .html or .pdf" in found.stderr
