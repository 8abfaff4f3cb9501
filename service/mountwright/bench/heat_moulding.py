"""Heat moulding: whether a part may be moulded, and what to do in order. No temperature is named but the maker's."""

from __future__ import annotations

from dataclasses import dataclass

from mountwright.errors import InvalidQuantityError
from mountwright.mounts.kinds import kinds
from mountwright.riding.note import Note

#: In the order of the work; spelt out, so that each is found where messages are looked for.
_STEPS = (
    "moulding.read_label",
    "moulding.strip",
    "moulding.heat",
    "moulding.feel_inside",
    "moulding.sock_on",
    "moulding.let_cool",
)

_CAUTIONS = (
    "moulding.only_marked",
    "moulding.no_flame",
    "moulding.burns",
    "moulding.few_times",
    "caution.cannot_be_undone",
    "caution.makers_word",
)


@dataclass(frozen=True)
class Moulding:
    """What is to be said about moulding one part by heat.

    Parameters
    ----------
    may : bool or None
        None where the mark or the maker's figures are not known: the label has to be read first.
    temperature_c, time_min : float or None
        The maker's; both where it may, none of them anywhere else.
    notes : tuple of Note
        The answer first, then the steps in order where it may, cautions last; no cautions where it may not.

    Raises
    ------
    InvalidQuantityError
        For figures where it may not, and for one figure without the other.
    """

    may: bool | None
    temperature_c: float | None
    time_min: float | None
    notes: tuple[Note, ...]

    def __post_init__(self) -> None:
        figures = (self.temperature_c, self.time_min)
        if any((figure is not None) != (self.may is True) for figure in figures):
            raise InvalidQuantityError((self.may, *figures), "temperature and time where it may, and nowhere else")


def heat_moulding(
    kind: str, mouldable: bool | None, temperature_c: float | None = None, time_min: float | None = None
) -> Moulding:
    """Tell whether a part may be moulded by heat, and how.

    Common practice; figures are the maker's or none.

    Parameters
    ----------
    kind : str
        Of the article, as in ``mounts/kinds.toml``.
    mouldable : bool or None
        Whether its maker marks it so; None where nobody knows.
    temperature_c, time_min : float or None
        The maker's ``moulding_temperature_c`` and ``moulding_time_min``, within the bounds of ``mounts/kinds.toml``,
        both inclusive; None where they are not catalogued.

    Raises
    ------
    InvalidQuantityError
        For an unknown kind and for figures beyond these bounds.
    """
    if kind not in kinds():
        raise InvalidQuantityError(kind, "a kind of article")
    if "mouldable" not in kinds()[kind].specs:
        return Moulding(False, None, None, (Note("moulding.not_this_kind", {"kind": kind}),))
    _check(kind, moulding_temperature_c=temperature_c, moulding_time_min=time_min)
    if mouldable is False:
        return Moulding(False, None, None, (Note("moulding.not_mouldable"),))
    cautions = tuple(Note(code) for code in _CAUTIONS)
    if mouldable is None:
        return Moulding(None, None, None, (Note("moulding.mark_unknown"), *cautions))
    if temperature_c is None or time_min is None:
        return Moulding(None, None, None, (Note("moulding.figures_unknown"), *cautions))
    answer = Note("moulding.may", {"temperature_c": temperature_c, "time_min": time_min})
    return Moulding(True, temperature_c, time_min, (answer, *(Note(code) for code in _STEPS), *cautions))


def _check(kind: str, **figures: float | None) -> None:
    for name, figure in figures.items():
        spec = kinds()[kind].specs[name]
        if figure is not None and not spec.low <= figure <= spec.high:
            raise InvalidQuantityError(f"{name} {figure}", f"{spec.low:g} to {spec.high:g}")
