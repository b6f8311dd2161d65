"""Names of the two stacks that a case compares."""

QUICK_CHANGE, FOUR_WAY = "quick-change", "four-way"
