"""The answer about a basket as JSON."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from typing import Any, NamedTuple

import orjson

from mountwright.checkout.alternatives import Alternative
from mountwright.checkout.article import Article
from mountwright.checkout.basket import Lot, Status, Unknown
from mountwright.checkout.cart_check import CartAnswer, LotAnswer, SkateAnswer, blocks
from mountwright.checkout.counts import Count
from mountwright.checkout.finding import Decision, Finding
from mountwright.measure.quantity import significant
from mountwright.messages import Messages
from mountwright.web.answers.fit_answers import check_json, need_json, step_json
from mountwright.web.answers.wording import plain
from mountwright.web.carts.cart import Cart
from mountwright.web.memory import Memory

Json = dict[str, Any]

#: Said with every part that may go on.
_ALWAYS = ("caution.geometry_only", "caution.follow_maker")


class _Scene(NamedTuple):
    """What every sentence about one skate needs: who says it, whose an article is, and what the shop holds up."""

    messages: Messages
    memory: Memory
    line_of: Mapping[int, int]
    unknown: Unknown


class _Told(NamedTuple):
    """What was found of a lot, its first line, and what is needed to say it."""

    answer: LotAnswer
    line: int
    scene: _Scene


class _Whose(NamedTuple):
    """Whose an article is: of a line, of the skate as it stands, or the skate itself."""

    what: str
    line: int | None
    sku: str | None
    kind: str


def cart_json(
    cart: Cart,
    answer: CartAnswer,
    instead: Mapping[Lot, tuple[Alternative, ...]],
    messages: Messages,
    memory: Memory,
) -> Json:
    """Give the answer about a basket, all but its receipt.

    Parameters
    ----------
    cart : Cart
    answer : CartAnswer
    instead : Mapping[Lot, tuple of Alternative]
        What goes on instead of lots that do not.
    messages : Messages
    memory : Memory
        Of what was said before about the same findings.
    """
    scenes = [
        _Scene(messages, memory, _lines_of(cart, number), cart.basket.policy.unknown)
        for number in range(len(cart.skates))
    ]
    told = [_Told(found, cart.lots.index(number), scenes[found.skate]) for number, found in enumerate(answer.lots)]
    lots = [_lot(each, instead.get(each.answer.lot, ())) for each in told]
    deciding = max(told, key=_weight, default=None)
    reason = Finding(Decision.CLEAR, "cart.empty") if deciding is None else deciding.answer.findings[0]
    return {
        "decision": answer.decision,
        "blocking": any(lot["blocking"] for lot in lots),
        **_said(reason, deciding.scene if deciding else scenes[0]),
        "question": _question(deciding) if deciding and answer.decision is Decision.CONFIRM else None,
        "lines": [
            {"index": index, "sku": sku, **lots[number]}
            for index, (sku, number) in enumerate(zip(cart.skus, cart.lots, strict=True))
        ],
        "skates": [
            _skate(index, sku, found) for index, (sku, found) in enumerate(zip(cart.skates, answer.skates, strict=True))
        ],
    }


def _lines_of(cart: Cart, skate: int) -> dict[int, int]:
    """Give the first line of each article that is for a skate, by the article's identity."""
    found: dict[int, int] = {}
    for index, number in enumerate(cart.lots):
        lot = cart.basket.lots[number]
        if lot.skate in (None, skate):
            found.setdefault(id(lot.article), index)
    return found


def _weight(told: _Told) -> tuple[int, bool]:
    """Give how much a lot decides: the worst most, what blocks more than what does not; the first of several."""
    finding = told.answer.findings[0]
    return finding.decision.rank, blocks(finding, told.scene.unknown)


def _lot(told: _Told, instead: Iterable[Alternative]) -> Json:
    found, scene = told.answer, told.scene
    findings = found.findings
    return {
        "decision": found.decision,
        "blocking": any(blocks(finding, scene.unknown) for finding in findings),
        "status": found.lot.status,
        "reasons": [_reason(finding, scene) for finding in findings],
        "question": _question(told),
        "needs": [need_json(need, scene.messages) for need in _needs(findings)],
        "cautions": [{"code": code, "message": scene.messages.text(code)} for code in _cautions(found)],
        "alternatives": [_alternative(each) for each in instead],
    }


def _alternative(found: Alternative) -> Json:
    article = found.article
    return {
        "sku": article.sku,
        "name": article.name or None,
        "decision": found.decision,
        "price_minor": article.price.minor if article.price else None,
        "currency": article.price.currency if article.price else None,
        "probability": significant(found.probability),
        "same_colour": found.same_colour,
    }


def _needs(findings: Iterable[Finding]) -> Iterable[Any]:
    return {need.key: need for finding in findings for need in finding.needs}.values()


def _cautions(found: LotAnswer) -> Iterable[str]:
    codes = dict.fromkeys(code for finding in found.findings for code in finding.cautions)
    if found.lot.status is Status.JUDGED and found.decision is not Decision.STOP:
        codes |= dict.fromkeys(_ALWAYS)
    return codes


def _reason(finding: Finding, scene: _Scene) -> orjson.Fragment:
    """Give a finding; only the lines of what it was judged against differ from basket to basket."""
    whose = [_whose(article, scene) for article in finding.against]
    key = _content(finding), blocks(finding, scene.unknown), *[(each.what, each.kind) for each in whose]
    text = scene.memory.reason(key)
    if text is None:
        text = orjson.dumps(_reason_alone(finding, scene))
        scene.memory.keep_reason(key, text)
    return orjson.Fragment(text[:-1] + b',"against":' + orjson.dumps([_against(each) for each in whose]) + b"}")


def _content(finding: Finding) -> Hashable:
    """Give all that is said of a finding beside what it was judged against."""
    check = finding.check
    compared = None if check is None else (*check[:-1], *check.params.items())
    return finding.decision, finding.code, *finding.params.items(), compared


def _against(whose: _Whose) -> Json:
    return {"what": whose.what, "line": whose.line, "sku": whose.sku, "kind": whose.kind}


def _reason_alone(finding: Finding, scene: _Scene) -> Json:
    return {
        "decision": finding.decision,
        "blocking": blocks(finding, scene.unknown),
        **_said(finding, scene),
        "check": None if finding.check is None else check_json(finding.check, scene.messages),
    }


def _said(finding: Finding, scene: _Scene) -> Json:
    return {
        "code": finding.code,
        "params": _params(finding),
        "message": scene.messages.text(finding.code, _words(finding, scene)),
    }


def _params(finding: Finding) -> Json:
    return {name: significant(value) if isinstance(value, float) else value for name, value in finding.params.items()}


def _words(finding: Finding, scene: _Scene) -> dict[str, Any]:
    """Give what a sentence is made from: kinds in plain words, figures as one says them."""
    words = {name: _spoken(value) for name, value in finding.params.items()}
    words["against"] = _together([_spoken_of(article, scene) for article in finding.against], scene)
    return words


def _together(against: list[str], scene: _Scene) -> str:
    return scene.messages.all_of(against) if against else scene.messages.text("against.skate")


def _spoken(value: str | float) -> str | float:
    return plain(value) if isinstance(value, str) else f"{value:g}"


def _spoken_of(article: Article, scene: _Scene) -> str:
    """Give an article in words: the frame in the basket, the frame that stands on the skate, the skate."""
    return scene.messages.text(f"against.{_whose(article, scene).what}", {"kind": plain(article.kind)})


def _whose(article: Article, scene: _Scene) -> _Whose:
    line = scene.line_of.get(id(article))
    what = "line" if line is not None else "skate" if article.kind == "skate" else "fitted"
    return _Whose(what, line, article.sku or None, article.kind)


def _question(told: _Told) -> Json | None:
    """Give the one question about a lot: what blocks first."""
    found, scene = told.answer, told.scene
    open_ = [finding for finding in found.findings if finding.decision is Decision.CONFIRM]
    if found.decision is Decision.STOP or not open_:
        return None
    asked = max(open_, key=lambda finding: blocks(finding, scene.unknown))
    code = f"ask.{asked.code.removeprefix('cart.')}"
    step = step_json(asked.step, scene.messages)
    words = {**_words(asked, scene), "step": step["message"] if step else ""}
    return {
        "code": code,
        "params": _params(asked),
        "message": scene.messages.text(code, words).strip(),
        "line": told.line,
        "skate": found.skate,
        "step": step,
    }


def _skate(index: int, sku: str | None, found: SkateAnswer) -> Json:
    return {"index": index, "sku": sku, "decision": found.decision, "counts": [_count(count) for count in found.counts]}


def _count(count: Count) -> Json:
    return {
        "kind": count.kind,
        "wanted": count.wanted,
        "in_basket": count.in_basket,
        "missing": count.missing,
        "too_many": count.too_many,
        "fills": [{"sku": fill.article.sku, "packs": fill.packs} for fill in count.fills],
    }
