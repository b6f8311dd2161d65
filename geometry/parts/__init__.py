"""The parts of a stack: dimensions, their rules, and the solid that they make."""
