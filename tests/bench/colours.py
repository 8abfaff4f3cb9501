"""What a colour costs to look for: ``python tests/bench/colours.py [PARTS]`` prints a table, per engine.

Every part has a colour of its own, drawn over all that a screen can show, and is brought in as a shop would. Then parts
near colours of every sort are asked for, the first time each, by a process that knows the skate.
"""

from __future__ import annotations

import csv
import random
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import psycopg
from big_catalogue import HEADINGS, rows
from scale import postgresql
from sqlalchemy.engine import make_url

from mountwright.bootstrap import create_app, create_workshop, ready_catalogue
from mountwright.catalogue.importing import imported
from mountwright.catalogue.schema import upgrade
from mountwright.settings import Settings
from mountwright.web.records import checks_of
from mountwright.web.workshop import EXTENSION

PARTS = 100_000

#: Dark, grey, light, pale, and full of every hue, where a difference of 10 holds most colours.
SORTS = {
    "grey": ("#101010", "#808080", "#f5f5f5", "#3a3a3c"),
    "muted": ("#1a8a86", "#a2472b", "#7a6a55", "#5b6c8f"),
    "full": ("#ff0000", "#00ff00", "#0000ff", "#ffff00", "#ff8000", "#e91e63"),
}
QUESTIONS = {
    "20 parts": {},
    "20 frames": {"kinds": ["frame"]},
    "100 parts in stock": {"limit": 100, "in_stock": True},
    "20 parts, none as cheap": {"price_to_minor": 1, "currency": "EUR"},
}
SKATE = {"sku": "skate-two-bolt-165"}


def written(path: Path, parts: int) -> Path:
    """Write a catalogue in which every part has a colour of its own."""
    draw = random.Random(7)  # noqa: S311  # no secret
    with path.open("w", newline="", encoding="utf-8") as file:
        out = csv.DictWriter(file, HEADINGS)
        out.writeheader()
        for row in rows(parts):
            out.writerow({**row, "colour_srgb": f"#{draw.randrange(2**24):06x}"})
    return path


def bring_in(address: str, path: Path) -> None:
    """Bring a catalogue in."""
    workshop = create_workshop(Settings(database=address))
    (ready_catalogue if workshop.engines.is_sqlite else upgrade)(workshop.engines)
    report = imported([path], workshop.engines, checks_of(workshop))
    if not report.is_good:
        raise SystemExit(str(report.findings.faults[:3]))
    workshop.engines.close()


def measured(address: str) -> Iterator[tuple[str, str, int, float, float, float]]:
    """Yield the sort of colour, the question, how much was found, and times in ms: median, worst, worst of CPU."""
    app = create_app(Settings(database=address))
    client = app.test_client()

    def ask(body: dict[str, object]) -> int:
        answer = client.post("/v1/colour-matches", json=body)
        if answer.status_code != 200:
            raise SystemExit(answer.get_data(as_text=True))
        return len(answer.json["parts"])

    ask({"skate": SKATE, "wanted": {"srgb": "#654321"}, "within": 1})
    for sort, colours in SORTS.items():
        for name, more in QUESTIONS.items():
            times, work, found = [], [], 0
            for colour in colours:
                began, worked = time.perf_counter(), time.process_time()
                found += ask({"skate": SKATE, "wanted": {"srgb": colour}, **more})
                times.append((time.perf_counter() - began) * 1000)
                work.append((time.process_time() - worked) * 1000)
            yield sort, name, found // len(colours), statistics.median(times), max(times), max(work)
    app.extensions[EXTENSION].engines.close()


def table(engine: str, address: str, path: Path) -> None:
    """Print the rows of one engine."""
    bring_in(address, path)
    for sort, name, found, *times in measured(address):
        cells = " | ".join(f"{ms:.0f}" for ms in times)
        print(f"| {engine} | {sort} | {name} | {found} | {cells} |", flush=True)


def main() -> None:
    """Print the table."""
    parts = int(sys.argv[1]) if len(sys.argv) > 1 else PARTS
    print("| engine | colours | asked for | found | median ms | worst ms | worst CPU ms |")
    print("| --- | --- | --- | --: | --: | --: | --: |")
    with tempfile.TemporaryDirectory() as place:
        path = written(Path(place) / "parts.csv", parts)
        table("SQLite", f"sqlite:///{place}/colours.db", path)
        with postgresql() as server, psycopg.connect(server, autocommit=True) as connection:
            connection.execute('CREATE DATABASE "mountwright_colours"')
            table("PostgreSQL", make_url(server).set(database="mountwright_colours").render_as_string(False), path)
            connection.execute('DROP DATABASE "mountwright_colours" WITH (FORCE)')


if __name__ == "__main__":
    main()
