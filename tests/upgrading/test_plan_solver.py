"""The planner, held against a solver for mixed integer programmes on problems as a catalogue gives them."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

from mountwright.upgrading.plan import planned

_BENCH = Path(__file__).parents[1] / "bench"

#: How long each stage lasts, weeks; with three instalments HiGHS takes several times as long as with two.
_WEEKS = ((52,), (20, 32), (24, 28), (26, 26), (52,), (8, 44), (20, 32), (12, 16, 24), (40, 12), (20, 32))

#: Little money to enough for most.
_TOTALS_MINOR = (12_000, 20_000, 30_000, 40_000, 60_000)


def bench(name: str) -> ModuleType:
    """Give a module of the bench; it makes its problems and solves them another way."""
    spec = importlib.util.spec_from_file_location(name, _BENCH / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules.setdefault(name, module)
    spec.loader.exec_module(module)
    return module


class TestSolver:
    """HiGHS, level by level ..."""

    @pytest.mark.parametrize("seed", range(20))
    def test_gives_the_same(self, seed: int) -> None:
        """... comes to the same figures at every level, with 60 candidates at each of ten positions."""
        problem = bench("upgrade_problems").problem(seed, 60, _TOTALS_MINOR[seed % 5], _WEEKS[seed % 10])
        found = planned(problem, 60)

        assert bench("upgrade_milp").solved(problem) == found.value.figures
        assert found.is_proved
