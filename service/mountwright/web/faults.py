"""Faults of a request as codes and params, and the marshmallow fields and validators that speak in them."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, ValidationError, fields, validate

from mountwright.messages import Fault, shown


def fault(code: str, found: object = None, **params: str | float) -> list[Fault]:
    """Give a single fault as marshmallow takes it, with what was found."""
    return [Fault(code, {"found": shown(found), **params} if found is not None else params)]


class Strict(Schema):
    """A request's object: unknown fields are refused."""

    error_messages: Any = {  # noqa: RUF012  # marshmallow's own way to set them
        "unknown": Fault("request.unknown_field"),
        "type": Fault("request.not_object"),
    }


_COMMON = {"required": fault("request.required"), "null": fault("request.null")}


class Text(fields.String):
    """A text."""

    default_error_messages: Any = {**_COMMON, "invalid": fault("request.not_text")}  # noqa: RUF012  # as above


class Flag(fields.Boolean):
    """True or false, and nothing that stands for them."""

    default_error_messages: Any = {**_COMMON, "invalid": fault("request.not_flag")}  # noqa: RUF012  # as above

    def _deserialize(self, value: Any, *_place: Any, **_kwargs: Any) -> bool:
        # Python takes 1 for True, and a caller who writes 1 may mean a count.
        if type(value) is not bool:
            raise self.make_error("invalid", input=value)
        return value


class ListOf(fields.List[Any]):
    """A list."""

    default_error_messages: Any = {**_COMMON, "invalid": fault("request.not_list")}  # noqa: RUF012  # as above


class ObjectOf(fields.Nested):
    """An object with fields of its own."""

    default_error_messages: Any = {**_COMMON, "type": fault("request.not_object")}  # noqa: RUF012  # as above


class Texts(fields.Dict):
    """An object whose fields are all texts."""

    default_error_messages: Any = {**_COMMON, "invalid": fault("request.not_object")}  # noqa: RUF012  # as above


class Size(validate.Length):
    """How long a text or a list may be, both ends inclusive."""

    def _format_error(self, value: Any, message: str) -> Any:  # noqa: ARG002  # the base's own sentence
        return [Fault("request.size", {"found": len(value), "least": self.min or 0, "most": self.max or 0})]


class Choice(validate.OneOf):
    """One of some words."""

    def _format_error(self, value: Any) -> Any:
        return fault("request.choice", value, known=", ".join(str(choice) for choice in self.choices))


class Bounds(validate.Range):
    """Between two numbers, both inclusive."""

    def _format_error(self, value: Any, message: str) -> Any:  # noqa: ARG002  # the base's own sentence
        return fault("request.bounds", value, low=self.min, high=self.max)


class Matching(validate.Regexp):
    """A text of a form.

    Parameters
    ----------
    form : str
        A regular expression for the whole of it.
    expected : str
        The same in words.
    """

    def __init__(self, form: str, expected: str) -> None:
        super().__init__(f"^(?:{form})$")
        self.expected = expected

    def __call__(self, value: Any) -> Any:
        """Take a text of the form; to Python the form's end also stands before a last line break, which is none."""
        if isinstance(value, str) and value.endswith("\n"):
            raise ValidationError(self._format_error(value))
        return super().__call__(value)

    def _format_error(self, value: Any) -> Any:
        return fault("request.form", value, expected=self.expected)
