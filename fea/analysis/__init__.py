"""From a case to both stacks and their results."""
