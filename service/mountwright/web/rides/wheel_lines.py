"""The way of a wheel line: what was read in, JSON with receipt or a picture out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from mountwright.riding.largest_wheel import largest_wheel_alike, largest_wheels
from mountwright.riding.posture import brake_pad_after
from mountwright.riding.rocker_options import rocker_options
from mountwright.riding.room import room, shortest_wheelbase_mm
from mountwright.riding.shift import slot_shift
from mountwright.riding.stands import circles
from mountwright.riding.wheel_line import Outcome, wheel_line
from mountwright.web.answering import receipt
from mountwright.web.answers.wheel_line_answers import wheel_line_json
from mountwright.web.parsing import Question
from mountwright.web.picturing import picture_answer, told_or_drawn
from mountwright.web.rides.asked import Seen, WheelLineAsked
from mountwright.web.rides.line_drawn import line_drawn
from mountwright.web.workshop import Workshop

#: Diameter of the bolts that hold a frame, micrometres: M6 (common practice).
_FRAME_BOLT_UM = 6000


def wheel_line_told(question: Question, workshop: Workshop) -> Response:
    """Give the answer in the form that the caller accepts: JSON, or the picture alone."""
    return told_or_drawn(lambda: wheel_line_answered(question, workshop), lambda: picture(question, workshop))


def wheel_line_answered(question: Question, workshop: Workshop) -> Mapping[str, Any]:
    """Give all there is to say about a wheel line."""
    asked: WheelLineAsked = question.asked
    told = wheel_line_json(asked, _seen(asked), workshop.messages)
    return {**told, "receipt": receipt(question.digest, question.version, workshop)}


def drawn(question: Question, workshop: Workshop) -> Response:
    """Give the picture of a wheel line as an answer."""
    return picture_answer(picture(question, workshop))


def picture(question: Question, workshop: Workshop) -> str:
    """Give the picture of a wheel line, as SVG."""
    asked: WheelLineAsked = question.asked
    wanted = asked.picture
    return line_drawn(asked.set_up, asked.load, workshop.messages, wanted.theme, wanted.gap_factor).svg()


def _seen(asked: WheelLineAsked) -> Seen:
    skate, before = asked.set_up.skate, asked.before
    line = wheel_line(skate, asked.load)
    stands = line.outcome is Outcome.STANDS
    return Seen(
        line,
        None if before is None else wheel_line(before.skate, asked.load),
        skate.brake_pad_mm if before is None else brake_pad_after(before.skate, skate.line, None),
        room(skate),
        largest_wheels(skate),
        largest_wheel_alike(skate),
        shortest_wheelbase_mm(tuple(circles(skate.line).diameters_mm.tolist())),
        None if asked.set_up.holes is None else slot_shift(*asked.set_up.holes, _FRAME_BOLT_UM),
        rocker_options(skate, asked.wish) if asked.wish is not None and stands else None,
    )
