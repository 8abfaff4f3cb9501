"""What a process remembers between requests: parts that it has read, and answers that it has given.

A customer's skate is asked about again and again, in the listing, on the page of a part, in
the basket and at checkout, and a shop's parts are the same for every customer. An answer
depends on nothing but the request and the rules, so what is remembered is what would be worked
out again, to the byte.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from enum import StrEnum
from threading import Lock
from typing import NamedTuple

from cachetools import LRUCache

from mountwright.checkout.article import Article
from mountwright.checkout.joint_verdicts import JointMemory
from mountwright.fitting.estimates import Stake
from mountwright.fitting.evidence import Tally
from mountwright.fitting.narrowing import Chance
from mountwright.fitting.verdict import Verdict
from mountwright.mounts.mount import Mount, Part

#: What an answer depends on beside the rules: the skate, the part, the stake, what was told of them.
Asked = tuple[Part, Part, Stake, Tally]


class Role(StrEnum):
    """What a JSON object stands for in a request: the same text is read otherwise as a skate than as a part."""

    SKATE = "skate"
    PART = "part"


#: Digest of a request, and the version of the catalogue that it was answered by; none where it named nothing of it.
Answered = tuple[str, str | None]

#: Whole answers are remembered up to so many bytes together, and none that would take the place of many others.
MOST_ANSWER_BYTES, LARGEST_ANSWER_BYTES = 8 * 1024 * 1024, 32 * 1024

#: A text and its role.
Read = tuple[Role, bytes]


class Given(NamedTuple):
    """An answer about one part: what it is sorted by, and the JSON object that says all of it.

    ``needs`` are the keys of the conversions that it takes.
    """

    verdict: Verdict
    probability: float
    needs: tuple[str, ...]
    text: bytes


class Memory:
    """The parts and answers of late, the longest unused forgotten first.

    Parameters
    ----------
    most : int
        How many of each to keep; about 5 KiB apiece.
    """

    def __init__(self, most: int = 4096) -> None:
        self._read: LRUCache[Read, Part] = LRUCache(most)
        self._chances: LRUCache[tuple[Part, str], tuple[Chance, ...]] = LRUCache(most)
        self._good: LRUCache[bytes, None] = LRUCache(most)
        self._beside: LRUCache[int, tuple[Mount, Chance]] = LRUCache(most)
        self._given: LRUCache[Asked, Given] = LRUCache(most)
        self._articles: LRUCache[str, tuple[object, Article]] = LRUCache(most)
        self._answers: LRUCache[Answered, bytes] = LRUCache(MOST_ANSWER_BYTES, getsizeof=len)
        self._reasons: LRUCache[tuple[Hashable, ...], bytes] = LRUCache(most)
        self.joints = JointMemory()
        self._lock = Lock()

    def part(self, read: Read) -> Part | None:
        """Give what was read from just this text in this role before, or None."""
        with self._lock:
            try:
                return self._read[read]
            except KeyError:
                return None

    def keep_part(self, read: Read, part: Part) -> None:
        """Remember what was read; two threads that read it at once keep one of them."""
        with self._lock:
            self._read[read] = part

    def answer(self, answered: Answered) -> bytes | None:
        """Give the answer that the same request was given of the same catalogue, or None."""
        with self._lock:
            return self._answers.get(answered)

    def keep_answer(self, answered: Answered, answer: bytes) -> None:
        """Remember a whole answer, unless it is a large one."""
        if len(answer) <= LARGEST_ANSWER_BYTES:
            with self._lock:
                self._answers[answered] = answer

    def reason(self, content: tuple[Hashable, ...]) -> bytes | None:
        """Give what was said of the same before, or None."""
        try:
            with self._lock:
                return self._reasons[content]
        except KeyError:
            return None

    def keep_reason(self, content: tuple[Hashable, ...], text: bytes) -> None:
        """Remember what is said of something."""
        with self._lock:
            self._reasons[content] = text

    def article(self, key: str, made_of: object, make: Callable[[], Article]) -> Article:
        """Give the article of a text, the same object as long as it is made of the same.

        Parameters
        ----------
        key : str
            The text.
        made_of : object
            What of the catalogue it is made of besides, None for nothing.
        make : callable
            Makes it.
        """
        with self._lock:
            known = self._articles.get(key)
        if known is not None and known[0] is made_of:
            return known[1]
        article = make()
        with self._lock:
            self._articles[key] = made_of, article
        return article

    def chances(self, skate: Part, position: str) -> tuple[Chance, ...] | None:
        """Give what has a chance at a position of a skate, or None."""
        with self._lock:
            return self._chances.get((skate, position))

    def keep_chances(self, skate: Part, position: str, chances: tuple[Chance, ...]) -> None:
        """Remember what has a chance."""
        with self._lock:
            self._chances[skate, position] = chances

    def chance(self, mount: Mount) -> Chance | None:
        """Give what has a chance beside just this mount, or None."""
        with self._lock:
            known = self._beside.get(id(mount))
            return None if known is None else known[1]

    def keep_chance(self, mount: Mount, chance: Chance) -> None:
        """Remember what has a chance; the mount is kept with it, so that no other can be given its identity."""
        with self._lock:
            self._beside[id(mount)] = mount, chance

    def is_good(self, mount: bytes) -> bool:
        """Tell whether just this text of a catalogue's mount was found good before."""
        with self._lock:
            return mount in self._good

    def keep_good(self, mount: bytes) -> None:
        """Remember a mount that nothing is wrong with."""
        with self._lock:
            self._good[mount] = None

    def given(self, asked: Asked) -> Given | None:
        """Give the answer to the same question, or None."""
        with self._lock:
            try:
                return self._given[asked]
            except KeyError:
                return None

    def keep_given(self, asked: Asked, given: Given) -> None:
        """Remember an answer."""
        with self._lock:
            self._given[asked] = given
