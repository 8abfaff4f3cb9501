"""The documents are true: every command in them runs, every answer in them is the real one."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
import requests

from mountwright.serving import free_port, served

ROOT = Path(__file__).parents[1]
BLOCK = re.compile(r"^```(\w+)(?: title=(\S+))?\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def blocks(document: str, language: str) -> list[str]:
    """Give the code blocks of a language in a document of the project."""
    return [body for kind, _, body in BLOCK.findall((ROOT / document).read_text()) if kind == language]


def titled(document: str) -> dict[str, str]:
    """Give the code blocks that carry a file name."""
    return {title: body for _, title, body in BLOCK.findall((ROOT / document).read_text()) if title}


@pytest.fixture(scope="module")
def checkout(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a fresh copy of what git tracks, as a stranger's checkout is, with nothing installed."""
    target = tmp_path_factory.mktemp("checkout")
    names = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"],  # noqa: S607  # git of this machine
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split("\n")
    for name in filter(None, names):
        if (ROOT / name).is_file():
            (target / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / name, target / name)
    return target


@pytest.fixture(scope="module")
def installed(checkout: Path) -> Path:
    """Give the checkout after the README's first command, whose output is kept beside it."""
    (command, *_) = blocks("README.md", "sh")
    done = run(command, checkout)
    (checkout / "demo.txt").write_text(done.stdout)
    return checkout


def run(command: str, where: Path) -> subprocess.CompletedProcess[str]:
    """Run a command of a document as it stands; it must succeed."""
    env = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHONPATH", "VIRTUAL_ENV"))}
    done = subprocess.run(["bash", "-c", command], cwd=where, capture_output=True, text=True, timeout=600, env=env)  # noqa: S607
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done


def test_the_first_command_installs_and_runs_the_demo(installed: Path) -> None:
    """One line on a fresh machine: the demo loads a catalogue, asks its questions over HTTP and is answered."""
    told = (installed / "demo.txt").read_text()

    assert "29 questions answered" in told
    assert "Experience speaks against the geometry" in told
    assert "DOES NOT FIT" in told
    assert "> Next: Look at the boot" in told
    assert "as if the road rose" in told


def test_the_test_command_is_the_one_that_ci_runs() -> None:
    """The README's second command is not run from within the tests; CI takes it from there word for word."""
    command = blocks("README.md", "sh")[1].strip()
    taken = subprocess.run(
        ["sed", "-n", r"s/^\(python3 -m venv .*pytest.*\)$/\1/p", "README.md"],  # noqa: S607  # as .ci/run does
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.strip()

    assert command == taken
    assert r"s/^\(python3 -m venv .*pytest.*\)$/\1/p" in (ROOT / ".ci" / "run").read_text()


@pytest.fixture(scope="module")
def answered(installed: Path) -> Iterator[dict[str, object]]:
    """Give the answer that the README's curl gets from a server started as the README says, on a port that is free."""
    serve, ask = blocks("README.md", "sh")[2:4]
    port = free_port()
    process = subprocess.Popen(["bash", "-c", "exec " + serve.replace("8000", str(port))], cwd=installed)  # noqa: S607
    try:
        retry = "--retry 60 --retry-delay 1 --retry-connrefused"
        told = run(ask.replace("curl -s", f"curl -s {retry}").replace("8000", str(port)), installed)
        yield json.loads(told.stdout)
    finally:
        process.terminate()
        process.wait(30)


def test_the_readmes_request_gets_the_readmes_answer(answered: dict[str, object]) -> None:
    """The answer printed is the real one; long lists are shortened by an ellipsis."""
    shown, *_ = blocks("README.md", "json")
    lines = [line.strip().rstrip(",") for line in shown.splitlines() if "…" not in line]
    real = [line.strip().rstrip(",") for line in json.dumps(answered, indent=1, ensure_ascii=False).splitlines()]
    rest = iter(real)

    assert all(any(line == told for told in rest) for line in lines), "the README shows lines that the answer has not"


@pytest.mark.parametrize("number", range(4, len(blocks("README.md", "sh"))))
def test_every_other_command_of_the_readme_runs(installed: Path, number: int) -> None:
    """Commands without a server, with the README's own request as the question."""
    body = re.search(r"-d '\n(.*)'", blocks("README.md", "sh")[3], re.DOTALL)
    assert body is not None
    (installed / "question.json").write_text(body[1])
    for name, text in titled("README.md").items():
        (installed / name).write_text(text)

    assert run(blocks("README.md", "sh")[number], installed).stdout.strip()


def test_ones_own_two_files_answer_a_question(installed: Path) -> None:
    """The README's files go in, and its question is answered with the mark to look for."""
    (command,) = [body for body in blocks("README.md", "sh") if "my_skates.csv" in body]
    for name, text in titled("README.md").items():
        (installed / name).write_text(text)
    told = run(command, installed).stdout
    answer = json.loads(told[told.index("{") :])

    assert "look" == answer["parts"][0]["next_step"]["kind"]
    assert ["fits", "fits_with_parts"] == [version["verdict"] for version in answer["parts"][0]["versions"]]


def test_the_rides_of_the_readme_are_told_as_it_tells_them(installed: Path) -> None:
    """The sentence beside the README's comparison is the answer's own."""
    (installed / "my_rides.json").write_text(titled("README.md")["my_rides.json"])
    (command,) = [body for body in blocks("README.md", "sh") if "my_rides.json" in body]
    second = json.loads(run(command, installed).stdout)["set_ups"][1]

    assert blocks("README.md", "text") == [second["against_first"]["message"] + "\n"]


def test_the_picture_in_the_readme_is_the_one_that_is_drawn(installed: Path) -> None:
    """The README shows what its own question draws."""
    (installed / "my_line.json").write_text(titled("README.md")["my_line.json"])
    (command,) = [body for body in blocks("README.md", "sh") if "my_line.json" in body]
    run(command, installed)

    assert (ROOT / "openapi/wheel_line.svg").read_text() == (installed / "my_line.svg").read_text()


def test_the_settings_in_the_readme_are_the_ones_that_are_read() -> None:
    """No setting without a row, no row without a setting."""
    documented = set(re.findall(r"^\| `(MOUNTWRIGHT_\w+)`", (ROOT / "README.md").read_text(), re.MULTILINE))
    read = set(re.findall(r'"(MOUNTWRIGHT_\w+)"', (ROOT / "service/mountwright/settings.py").read_text()))

    assert documented == read


def test_the_calls_in_the_readme_are_those_of_the_contract() -> None:
    """Every path of the contract stands in the README's table and the reverse."""
    paths = set(json.loads((ROOT / "openapi/openapi.json").read_text())["paths"]) | {"/openapi.json"}

    assert paths == set(re.findall(r"`(?:GET|POST) (/\S+)`", (ROOT / "README.md").read_text()))


@pytest.fixture(scope="module")
def workplace(installed: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a folder with the files of DEVELOPERS.md's walk-through, beside an installed checkout."""
    place = tmp_path_factory.mktemp("ten_minutes")
    for name, text in titled("DEVELOPERS.md").items():
        (place / name).parent.mkdir(parents=True, exist_ok=True)
        (place / name).write_text(text)
    (place / ".venv").symlink_to(installed / ".venv")
    return place


def test_every_command_of_the_walk_to_a_new_standard_runs(workplace: Path) -> None:
    """DEVELOPERS.md leads from nothing to a standard that answers; the commands run in the order they stand in."""
    walk = (ROOT / "DEVELOPERS.md").read_text().split("## A standard in ten minutes")[1].split("\n## ")[0]
    told = [run(body, workplace).stdout for kind, _, body in BLOCK.findall(walk) if kind == "sh"]

    assert any("good: two-bolt-180" in output for output in told)
    assert any('"verdict": "fits"' in output for output in told)


def test_the_standard_of_the_walk_answers_over_http(workplace: Path) -> None:
    """A service started with the folder knows the new standard."""
    env = {**os.environ, "MOUNTWRIGHT_STANDARDS_DIR": str(workplace / "standards")}
    with served(env=env) as (address, _):
        body = json.loads((workplace / "question.json").read_text())
        answer = requests.post(f"{address}/v1/fit-checks", json=body, timeout=10).json()

    assert answer["verdict"] == "fits"


def test_every_module_has_its_place_on_the_map() -> None:
    """Each package of the service is named in DEVELOPERS.md's map of the house."""
    house = (ROOT / "DEVELOPERS.md").read_text()
    packages = {path.parent.name for path in (ROOT / "service/mountwright").glob("*/__init__.py")}
    modules = {path.name for path in (ROOT / "service/mountwright").glob("*.py") if path.name != "__init__.py"}

    assert not {name for name in packages if f"{name}/" not in house}
    assert not {name for name in modules if name not in house}
