"""Stiffness of a lathe's tool-post stack: the names for use from Python.

Each is imported when it is first asked for, so that `stoutpost check` need not wait
for what only a solve needs.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fea.analysis.build import build_stack
    from fea.analysis.chatter import chatter_limits
    from fea.analysis.cut import force_at
    from fea.analysis.response import motion_shares, tip_compliance
    from fea.analysis.run import compare_stacks, curve_of
    from fea.analysis.sound_case import load_case

__all__ = [
    "build_stack",
    "chatter_limits",
    "compare_stacks",
    "curve_of",
    "force_at",
    "load_case",
    "motion_shares",
    "tip_compliance",
]

_HOMES = {
    "build_stack": "fea.analysis.build",
    "chatter_limits": "fea.analysis.chatter",
    "compare_stacks": "fea.analysis.run",
    "curve_of": "fea.analysis.run",
    "force_at": "fea.analysis.cut",
    "load_case": "fea.analysis.sound_case",
    "motion_shares": "fea.analysis.response",
    "tip_compliance": "fea.analysis.response",
}

if not TYPE_CHECKING:  # a type checker is to know these names and no others

    def __getattr__(name: str) -> object:
        """Import one of the names from its module."""
        if name not in _HOMES:
            message = f"module 'fea' has no attribute {name!r}; it has {__all__}"
            raise AttributeError(message)
        return getattr(import_module(_HOMES[name]), name)
