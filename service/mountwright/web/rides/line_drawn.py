"""From a set-up under its load to the picture of its wheel line."""

from __future__ import annotations

from mountwright.drawing.palette import Theme
from mountwright.drawing.standing import standing_scene
from mountwright.drawing.wheel_line import Picture, wheel_line_picture
from mountwright.drawing.words import PICTURE
from mountwright.messages import Messages
from mountwright.riding.line import Load
from mountwright.riding.room import room
from mountwright.riding.wheel_line import wheel_line
from mountwright.web.rides.assembling import SetUp


def line_drawn(set_up: SetUp, load: Load, messages: Messages, theme: Theme, gap_factor: float) -> Picture:
    """Give the picture of a wheel line, with its notes as sentences and its words in the language of the messages."""
    skate = set_up.skate
    line = wheel_line(skate, load)
    notes = [messages.text(note.code, note.params) for note in line.notes]
    scene = standing_scene(skate, load, line, conflicts=room(skate).conflicts, name=set_up.name, notes=notes)
    return wheel_line_picture(scene, words=messages.group(PICTURE), theme=theme, gap_factor=gap_factor)
