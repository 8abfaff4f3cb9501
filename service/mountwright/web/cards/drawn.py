"""From a card in JSON to what is printed of it, in the same sentences."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from mountwright.drawing.card_scene import CardFact, CardScene, DrawnJob, DrawnPart, DrawnPlace, OldFrame
from mountwright.drawing.qr import Code, qr_code
from mountwright.drawing.wheel_line import Picture
from mountwright.drawing.words import figure
from mountwright.messages import Messages
from mountwright.web.answers.wording import plain
from mountwright.web.cards.asked import CardAsked, CardLine
from mountwright.web.rides.line_drawn import line_drawn

Json = Mapping[str, Any]

#: Headings and labels, spelt out so that each is found where messages are looked for.
_LABELS = (
    "card.title",
    "card.jobs",
    "card.tools",
    "card.consumables",
    "card.parts",
    "card.part",
    "card.sku",
    "card.place",
    "card.job",
    "card.old_frame",
    "card.side",
    "card.along",
    "card.across",
    "card.after_checks",
    "card.remarks",
    "card.consent_heading",
    "card.name",
    "card.date",
    "card.signature",
    "card.checked_by",
    "card.notes",
    "card.wheel_line",
    "card.caution",
    "card.colon",
    "card.code_alt",
)

_SIDES = {"left": "card.side_left", "right": "card.side_right", "both": "card.side_both"}

_BETWEEN = " · "


def card_scene(asked: CardAsked, told: Json, address: str, messages: Messages) -> CardScene:
    """Give what is printed.

    Parameters
    ----------
    asked : CardAsked
    told : Mapping
        The card as JSON, receipt and all.
    address : str
        Of the service, as phones at the bench reach it; empty where nobody knows it.
    messages : Messages
    """
    code, code_said = _code(told["links"]["card"], address, messages)
    numbers = {each["job"]: each["number"] for each in told["jobs"]}
    return CardScene(
        language=messages.language,
        words={label.removeprefix("card."): messages.text(label) for label in _LABELS},
        reference=told["reference"],
        facts=tuple(_facts(told, messages)),
        summary=told["message"],
        jobs=tuple(_job(each, told, messages) for each in told["jobs"]),
        tools=tuple(CardFact(each["tool"], _numbered(each["jobs"], numbers)) for each in told["tools"]),
        consumables=tuple(each["name"] for each in told["consumables"]),
        parts=tuple(_part(each, numbers, messages) for each in told["parts"]),
        old_frame=_old_frame(told["old_frame_place"], messages),
        after_checks=tuple(told["after_checks"]),
        consent=None if told["consent"] is None else told["consent"]["message"],
        remarks=(
            *(each["message"] for each in (*told["remarks"], *told["cautions"])),
            messages.text("card.receipt", told["receipt"]),
        ),
        note=tuple(told["notes"].splitlines()),
        picture=None if asked.line is None else _picture(asked.line, messages),
        code=code,
        code_said=code_said,
    )


def _code(path: str | None, address: str, messages: Messages) -> tuple[Code | None, str]:
    """Give the code that leads to the same card, and what is said beside it or instead of it."""
    if not address:
        return None, messages.text("card.code_without_address")
    code = None if path is None else qr_code(address + path)
    return code, messages.text("card.code_too_long" if code is None else "card.code_leads_here")


def _facts(told: Json, messages: Messages) -> Iterator[CardFact]:
    skate = told["skate"]
    yield CardFact(messages.text("card.skate"), _BETWEEN.join(filter(None, (skate["name"], skate["sku"]))))
    if skate["eu_size"] is not None:
        yield CardFact(messages.text("card.eu_size"), messages.phrase(figure(skate["eu_size"], 1)))
    if skate["mounts"]:
        mounts = (
            f"{messages.phrase(plain(each['position']))}{messages.text('card.colon')} {each['standard']}"
            for each in skate["mounts"]
        )
        yield CardFact(messages.text("card.mounts"), ", ".join(mounts))


def _job(found: Json, told: Json, messages: Messages) -> DrawnJob:
    for_good = [] if found["can_be_undone"] else [messages.text("caution.cannot_be_undone")]
    known = [each["message"] for each in found["mouldings"] if each["may"]]
    unknown = [each["message"] for each in found["mouldings"] if not each["may"]]
    return DrawnJob(
        found["number"],
        found["title"],
        tuple(_job_facts(found, told, messages)),
        tuple(_targets(found["targets"], told["parts"], messages)),
        (*for_good, *unknown, *found["cautions"]),
        (*known, *(each["message"] for each in found["torques"])),
        tuple(found["steps"]),
    )


def _job_facts(found: Json, told: Json, messages: Messages) -> Iterator[str]:
    yield messages.text("card.minutes", found["minutes"])
    if found["where"] == "workshop":
        yield messages.text("card.for_workshop")
    if found["needed_by"]:
        titles = [each["title"] for each in told["jobs"] if each["job"] in found["needed_by"]]
        yield messages.text("card.needed_by", {"jobs": "; ".join(titles)})
    if found["tools"]:
        yield messages.text("card.with_tools", {"tools": ", ".join(found["tools"])})


def _targets(targets: Iterable[Json], parts: list[Json], messages: Messages) -> Iterator[str]:
    """Give where a job is done; of one that is done on both skates and said no more of, there is nothing to say."""
    for target in targets:
        where = [target["place"], *(_name(parts[index], messages) for index in target["parts"])]
        if target["side"] != "both" or any(where):
            yield _BETWEEN.join(filter(None, (messages.text(_SIDES[target["side"]]), *where)))


def _name(part: Json, messages: Messages) -> str:
    return str(part["name"] or part["sku"] or messages.phrase(plain(part["kind"])))


def _part(part: Json, numbers: Mapping[str, int], messages: Messages) -> DrawnPart:
    pieces = "" if part["pieces"] is None else f"{part['pieces']} \N{MULTIPLICATION SIGN} "
    return DrawnPart(
        pieces + _name(part, messages), part["sku"] or "", part["place"] or "", _numbered(part["jobs"], numbers)
    )


def _numbered(keys: Iterable[str], numbers: Mapping[str, int]) -> str:
    return ", ".join(str(numbers[key]) for key in keys)


def _old_frame(told: Json | None, messages: Messages) -> OldFrame | None:
    if told is None:
        return None
    sides = ((side, told[side]) for side in ("left", "right"))
    return OldFrame(
        told["message"], tuple(_place(messages.text(_SIDES[side]), place, messages) for side, place in sides)
    )


def _place(side: str, place: Json | None, messages: Messages) -> DrawnPlace:
    if place is None:
        return DrawnPlace(side, "", "")
    along, across, doubt = (messages.phrase(figure(place[name])) for name in ("along_mm", "across_mm", "plus_minus_mm"))
    return DrawnPlace(side, f"{along} ± {doubt}", f"{across} ± {doubt}")


def _picture(asked: CardLine, messages: Messages) -> Picture:
    # Paper is white.
    return line_drawn(asked.set_up, asked.load, messages, "light", asked.gap_factor)
