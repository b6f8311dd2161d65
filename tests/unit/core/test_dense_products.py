import numpy as np
import pytest

from fea.core.dense_products import add_product


@pytest.mark.parametrize("order", ["C", "F"])
def test_a_product_is_added_in_place(order: str) -> None:
    random = np.random.default_rng(1)
    total = np.array(random.standard_normal((30, 7)), order=order)
    left, right = random.standard_normal((30, 4)), random.standard_normal((4, 7))
    expected = total - 0.5 * left @ right
    add_product(total, left, right, -0.5)
    assert total == pytest.approx(expected, rel=1e-13, abs=1e-13)


def test_columns_inside_a_longer_block_are_added_to_where_they_stand() -> None:
    block = np.zeros((20, 9), order="F")
    left, right = np.ones((20, 2)), np.ones((2, 3))
    add_product(block[:, 3:6], left, right)
    assert np.all(block[:, 3:6] == 2.0)
    assert not block[:, :3].any()
    assert not block[:, 6:].any()


def test_a_sum_that_would_be_copied_is_refused() -> None:
    strided = np.zeros((20, 9))[:, ::2]
    with pytest.raises(ValueError, match="neither by rows nor by columns"):
        add_product(strided, np.ones((20, 2)), np.ones((2, 5)))
