"""What a plan costs: ``python tests/bench/upgrading.py`` prints tables, on one core.

Ten positions, four instalments, catalogue-like candidates: eight catalogues with three budgets each, and each plan made
in a process of its own, so that peak memory is its own. HiGHS solves the same model, level by level, in the same run:
on all columns, and on those that dominance leaves. Strongly correlated data, of which dominance takes nothing away, has
no target. Times are those of the processor, which other work on the machine hardly lengthens. With ``quick``, HiGHS is
left out.
"""

from __future__ import annotations

import os
import resource
import statistics
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from math import log
from multiprocessing import get_context
from typing import NamedTuple

# Before NumPy is read: one core is one core.
os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

import numpy as np
from upgrade_problems import problem

from mountwright.upgrading.choices import field
from mountwright.upgrading.plan import planned
from mountwright.upgrading.problem import Option, Problem, Rate, Stage

SEEDS = range(8)
TOTALS_MINOR = (15_000, 30_000, 60_000)
SIZES = (30, 60, 120, 300)
TARGET_SIZE = 300

#: No plan of these is cut off: how long each takes is the question.
PATIENCE_S = 60.0

#: HiGHS takes long; it gets one catalogue of each budget, and what dominance leaves of every second.
ALL_COLUMNS_SEEDS, FEWER_COLUMNS_SEEDS = (1,), (1, 3, 5, 7)


class Timed(NamedTuple):
    """A plan and what it took, time on the processor."""

    seconds: float
    is_proved: bool
    figures: tuple[int, ...]
    peak_mib: float
    start_mib: float


def measured(seed: int, candidates: int, total_minor: int, is_correlated: bool = False) -> Timed:
    """Plan once; to be run in a process of its own."""
    asked = problem(seed, candidates, total_minor)
    asked = correlated(asked, seed) if is_correlated else asked
    start = _peak_mib()
    began = time.process_time()
    found = planned(asked, PATIENCE_S)
    taken = time.process_time() - began
    return Timed(taken, found.is_proved, found.value.figures, _peak_mib(), start)


def solved_by_highs(seed: int, total_minor: int, *, is_reduced: bool) -> tuple[float, tuple[int, ...]]:
    """Give how long HiGHS takes and what it finds, on all columns or on those that dominance leaves."""
    from upgrade_milp import columns_of, solved

    asked = problem(seed, TARGET_SIZE, total_minor)
    began = time.process_time()
    kept = None
    if is_reduced:
        left = {
            (position.name, int(option), int(stage))
            for position, choices in zip(asked.positions, field(asked).choices, strict=True)
            for option, stage in zip(choices.options, choices.stages, strict=True)
        }
        kept = [
            column
            for column in columns_of(asked)
            if (column.position.name, column.position.options.index(column.option), column.stage) in left
        ]
    figures = solved(asked, kept)
    return time.process_time() - began, figures


def correlated(asked: Problem, seed: int) -> Problem:
    """Give the same with gains that go with the price, and a constant, and with nothing else."""
    rng = np.random.default_rng(seed)

    def option(each: Option) -> Option:
        price = int(rng.integers(200, 8000))
        return Option(each.key, each.signature, price, hazards=(0,), complaints=(0, 0, 0), gain=price // 20 + 40)

    positions = tuple(replace(each, options=tuple(map(option, each.options))) for each in asked.positions)
    return replace(asked, positions=positions, rate=Rate(2, 1))


def in_one_instalment(asked: Problem) -> Problem:
    """Give the same with all money at once."""
    return replace(asked, stages=(Stage(asked.stages[-1].budget_minor, sum(each.duration for each in asked.stages)),))


def _peak_mib() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _alone(run: object, *arguments: object, **named: object) -> object:
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        return pool.submit(run, *arguments, **named).result()  # type: ignore[arg-type]


def sizes() -> dict[tuple[int, int], Timed]:
    """Print the table of sizes; give the plans of the largest by seed and budget."""
    print("| candidates | plans | proved | median CPU s | p95 | worst | peak MiB | of which before |")
    print("| --: | --: | --: | --: | --: | --: | --: | --: |", flush=True)
    medians = {}
    found: dict[tuple[int, int], Timed] = {}
    for size in SIZES:
        found = {
            (seed, total): _alone(measured, seed, size, total)  # type: ignore[misc]
            for seed in SEEDS
            for total in TOTALS_MINOR
        }
        times = sorted(each.seconds for each in found.values())
        medians[size] = statistics.median(times)
        p95 = times[-(-95 * len(times) // 100) - 1]
        proved = sum(each.is_proved for each in found.values())
        peak, before = max((each.peak_mib, each.start_mib) for each in found.values())
        cells = (
            f"{len(times)} | {proved} | {medians[size]:.3f} | {p95:.3f} | {times[-1]:.3f} | {peak:.0f} | {before:.0f}"
        )
        print(f"| {size} | {cells} |", flush=True)
    first, last = SIZES[0], SIZES[-1]
    grown, allowed = medians[last] / medians[first], last * log(last) / (first * log(first))
    print(
        f"\nFrom {first} to {last} the median grows {grown:.1f} times; linear x log would be {allowed:.1f}.\n",
        flush=True,
    )
    return found


def against_highs(found: dict[tuple[int, int], Timed]) -> None:
    """Print the table of ratios."""
    print("| columns | seed | budget | ours CPU s | HiGHS CPU s | ratio | same figures |")
    print("| --- | --: | --: | --: | --: | --: | --- |", flush=True)
    for name, seeds in (("all", ALL_COLUMNS_SEEDS), ("after dominance", FEWER_COLUMNS_SEEDS)):
        ratios = []
        for seed in seeds:
            for total in TOTALS_MINOR:
                ours = found[seed, total]
                seconds, figures = _alone(solved_by_highs, seed, total, is_reduced=name != "all")  # type: ignore[misc]
                ratios.append(seconds / ours.seconds)
                cells = f"{ours.seconds:.3f} | {seconds:.2f} | {ratios[-1]:.1f} | {figures == ours.figures}"
                print(f"| {name} | {seed} | {total} | {cells} |", flush=True)
        print(f"| {name} | | | | | median {statistics.median(ratios):.1f}, least {min(ratios):.1f} | |", flush=True)


def hard() -> None:
    """Print the table of strongly correlated data."""
    print("\n| strongly correlated | candidates | CPU s | proved | gap |")
    print("| --- | --: | --: | --- | --: |", flush=True)
    for size in (30, TARGET_SIZE):
        for seed in (1, 2):
            for name, asked in (
                ("four instalments", correlated(problem(seed, size, 30_000), seed)),
                ("one", in_one_instalment(correlated(problem(seed, size, 30_000), seed))),
            ):
                began = time.process_time()
                plan = planned(asked)
                taken = time.process_time() - began
                gap = plan.bound[5] / plan.value.figures[5] - 1 if len(plan.bound) > 5 else float("nan")
                print(f"| {name} | {size} | {taken:.2f} | {plan.is_proved} | {100 * gap:.2f} % |", flush=True)


def main() -> None:
    """Print the tables."""
    found = sizes()
    if "quick" not in sys.argv[1:]:
        against_highs(found)
    hard()


if __name__ == "__main__":
    main()
