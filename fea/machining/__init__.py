"""Cutting forces and what they do to a stack of given compliance."""
