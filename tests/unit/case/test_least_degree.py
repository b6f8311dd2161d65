"""A case's degree holds what the joints that lift are carried by."""

from fea.case.schema import LEAST_DEGREE
from fea.core.contact_stack import CONTACT_DEGREE


def test_the_least_degree_of_a_case_carries_its_joints() -> None:
    assert LEAST_DEGREE == CONTACT_DEGREE
