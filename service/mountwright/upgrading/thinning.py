"""Fewer interfaces where there are too many to weigh against each other: what is left is a plan without a proof."""

from __future__ import annotations

import numpy as np

from mountwright.upgrading.choices import Field
from mountwright.upgrading.network import most_pairs

#: With more pairs in a turn, time runs out, then memory; 36 interfaces at each of four positions in a ring, over four
#: stages, are as many.
MOST_PAIRS = 3_000_000


def thinned(field: Field, most: int = MOST_PAIRS) -> Field:
    """Give the same with the courses of less promise left out, half of the longest list at a time.

    Parameters
    ----------
    field : Field
    most : int
        How many pairs of a state and a course a turn may have.
    """
    while most_pairs(field) > most:
        place = int(np.argmax(field.counts))
        kept = [np.ones(len(choices.ties), dtype=np.bool_) for choices in field.choices]
        choices = field.choices[place]
        ranks = np.empty(len(choices.ties), dtype=np.int64)
        ranks[np.lexsort([choices.ties, *-choices.values.T[::-1]])] = np.arange(len(ranks))
        firsts = np.full(field.counts[place], len(ranks))
        np.minimum.at(firsts, choices.courses, ranks)
        good = np.argsort(firsts)[: field.counts[place] // 2]
        stays = choices.courses[choices.options < 0]
        kept[place] = np.isin(choices.courses, np.append(good, stays))
        field = field.fewer(kept)
    return field


def first_limit(field: Field) -> int:
    """Give what no plan exceeds at the first level, budgets and links left out."""
    return sum(int(choices.values[:, 0].max()) for choices in field.choices)
