"""Doubt through functions whose derivatives are known."""

from __future__ import annotations

import numpy as np
import pytest

from mountwright.measure.propagation import Floats, jacobian, propagated

STEPS = np.array([0.01, 0.02])


def product_and_quotient(values: Floats) -> Floats:
    """Give x y and x / y."""
    x, y = values[..., 0], values[..., 1]
    return np.stack([x * y, x / y], axis=-1)


class TestJacobian:
    """The derivatives ..."""

    def test_are_those_of_calculus(self) -> None:
        """... of x y and x / y are y, x, 1 / y and -x / y^2."""
        found = jacobian(product_and_quotient, np.array([3.0, 2.0]), STEPS)

        assert np.array([[2.0, 3.0], [0.5, -0.75]]) == pytest.approx(found, abs=1e-4)

    def test_are_found_for_many_points_at_once(self) -> None:
        """... at many points are those at each of them."""
        points = np.array([[3.0, 2.0], [-1.0, 4.0], [0.5, 0.5]])
        one_by_one = [jacobian(product_and_quotient, point, STEPS) for point in points]

        assert np.array(one_by_one) == pytest.approx(jacobian(product_and_quotient, points, STEPS))


class TestPropagated:
    """The covariance of what follows ..."""

    def test_of_a_sum_and_a_difference_goes_together(self) -> None:
        """... of a sum and a difference has both variances added, and their difference beside the diagonal."""
        slopes, given = np.array([[1.0, 1.0], [1.0, -1.0]]), np.diag([9.0, 4.0])

        assert [[13.0, 5.0], [5.0, 13.0]] == propagated(slopes, given).tolist()

    def test_counts_what_goes_together(self) -> None:
        """... of a difference of two that go together is nothing."""
        assert [[0.0]] == propagated(np.array([[1.0, -1.0]]), np.full((2, 2), 4.0)).tolist()
