"""A bench card as a page: it prints on A4, reads well on a phone and aloud, and needs no script."""

from __future__ import annotations

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from mountwright.drawing.card_scene import CardScene


def card_html(scene: CardScene) -> str:
    """Give a card as one HTML page, the same for the same scene; whatever a caller said is escaped."""
    picture = None if scene.picture is None else Markup(scene.picture.svg())  # noqa: S704  # escaped by ElementTree
    style = Markup(_style(scene.reference))  # noqa: S704  # our own, and numbers of letters
    return _template().render({**scene._asdict(), "note_leads": scene.note_leads, "picture": picture, "style": style})


@cache
def _environment() -> Environment:
    return Environment(loader=PackageLoader(__package__), autoescape=True, undefined=StrictUndefined, trim_blocks=False)


def _template() -> Template:
    return _environment().get_template("bench_card.html")


def _style(reference: str) -> str:
    """Give the style sheet; the reference stands in the foot of printed pages, each letter by its number."""
    letters = "".join(f"\\{ord(letter):06x}" for letter in reference)
    return _environment().get_template("bench_card.css").render(reference=letters)
