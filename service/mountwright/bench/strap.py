"""A toothed strap as a fitter counts and measures it at the bench."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from mountwright.bench.length import Length
from mountwright.errors import InvalidQuantityError


@dataclass(frozen=True)
class Closing:
    """A strap that is closed on the foot as tight as it is ever worn.

    Parameters
    ----------
    engaged : int
        Teeth that have passed the pawl, the one that it holds among them, 0 or more: the clicks while it is closed.
    standing_out : int
        Of these, how many stand out beyond the ratchet, 0 or more.

    Raises
    ------
    InvalidQuantityError
        When more stand out than have passed.
    """

    engaged: int
    standing_out: int

    def __post_init__(self) -> None:
        if not 0 <= self.standing_out <= self.engaged:
            found = (self.engaged, self.standing_out)
            raise InvalidQuantityError(found, "no more teeth standing out than have passed the pawl")

    @property
    def hidden(self) -> int:
        """Give how many teeth lie in the ratchet, the same with every sock."""
        return self.engaged - self.standing_out


@dataclass(frozen=True)
class Pitch:
    """The tooth pitch, measured over several teeth.

    Parameters
    ----------
    span : Length
        Above 0.
    teeth : int
        How many pitches it spans, 1 or more.

    Raises
    ------
    InvalidQuantityError
        For other figures.
    """

    span: Length
    teeth: int

    def __post_init__(self) -> None:
        if not (self.teeth >= 1 and self.span.least_um > 0):
            raise InvalidQuantityError((self.span, self.teeth), "a span above 0, over a tooth at least")

    def of(self, teeth: int) -> Length:
        """Give the length of so many teeth, 0 or more."""
        return self.span.share(teeth, self.teeth)

    def whole_within(self, room_um: int) -> int:
        """Give how many whole teeth lie within a room even if they are as long as may be; 0 where it is none."""
        return max(0, room_um * self.teeth // self.span.most_um)


@dataclass(frozen=True)
class StrapQuestion:
    """What is known of a strap. What is None nobody has looked at.

    Parameters
    ----------
    thick, usual : Closing or None
        With the thickest sock that is ever worn in it, and with the usual one.
    in_the_way : int or None
        How many of the teeth that stand out are in the way; None to cut as much as may go.
    reserve, tail : int or None
        Teeth that shall still hold, and still stand out, with the thickest sock; the usual figures for None.
    has_mark : bool or None
        Whether the maker marked how far it may be cut.
    teeth_to_mark : int or None
        Whole teeth from the tip to that mark.
    length, cut_limit, tip : Length or None
        From joint to tip as it is now; what has to stay of that, up to the mark; the smooth end before the first tooth.
    pitch : Pitch or None
    tooth_count : int or None
        Of the strap as it is now.
    is_toothed : bool
        Whether it is a strap for a ratchet at all.
    catalogued : tuple of str
        Which of these figures the catalogue told.

    Raises
    ------
    InvalidQuantityError
        For counts below 0, a reserve below 1, a strap that is closed and has no tooth in the ratchet, and for figures
        of a mark that is not there.
    """

    thick: Closing | None = None
    usual: Closing | None = None
    in_the_way: int | None = None
    reserve: int | None = None
    tail: int | None = None
    has_mark: bool | None = None
    teeth_to_mark: int | None = None
    length: Length | None = None
    cut_limit: Length | None = None
    tip: Length | None = None
    pitch: Pitch | None = None
    tooth_count: int | None = None
    is_toothed: bool = True
    catalogued: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name in ("in_the_way", "reserve", "tail", "teeth_to_mark", "tooth_count"):
            count: int | None = getattr(self, name)
            # A strap that no tooth holds is open.
            least = 1 if name == "reserve" else 0
            if count is not None and count < least:
                raise InvalidQuantityError(f"{name} {count}", f"a count of {least} or more")
        if any(closing.engaged and not closing.hidden for closing in self.closings):
            raise InvalidQuantityError("all teeth standing out", "one at least that the pawl holds")
        if self.has_mark is False and not (self.teeth_to_mark is None and self.cut_limit is None):
            raise InvalidQuantityError("no mark, and figures of it", "one of both")

    @property
    def closings(self) -> Iterator[Closing]:
        """Give how it closes, the thickest sock first, as far as that was counted."""
        return (closing for closing in (self.thick, self.usual) if closing is not None)
