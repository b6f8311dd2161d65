"""Shapes, pads and meshes of the parts of a tool-post stack; knows no elasticity."""
