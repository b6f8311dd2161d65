"""Memory that this process may take."""

import psutil

from fea.core.threads import share_of_cores

# What is left to the rest of the machine, and to what the predictions miss.
USABLE = 0.8


def usable_bytes() -> float:
    """Memory that is free now, as much of it as the process has of the cores. [byte].

    Processes that share the work share the memory.
    """
    return USABLE * share_of_cores() * float(psutil.virtual_memory().available)
