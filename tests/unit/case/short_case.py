"""The shortest case file there is, and the type of the fixture that reads one."""

from collections.abc import Callable

from fea.case.case_file import CaseReading

Read = Callable[[str], CaseReading]

SHORT = """
title = "short"
[machine]
centre_height = "150 mm"
tool_height = "42 mm"
[tool]
shank_height = "12 mm"
[post.dovetail]
width = "42 mm"
"""
