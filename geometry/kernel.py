"""The Gmsh session: its state is global, so it has one owner at a time."""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock
from typing import Any

from geometry.errors import MeshError
from geometry.libraries import require_libraries

_SESSION = Lock()


class GmshError(MeshError):
    """Gmsh gave up, or gave something that is no mesh of the part."""


@contextmanager
def gmsh_model(name: str) -> Iterator[Any]:
    """Open an empty Gmsh model, and close Gmsh again whatever happens.

    Yields the module, whose import is slow and needs system libraries. One thread and
    no settings but our own, so that the same input gives the same mesh everywhere.
    """
    require_libraries()
    import gmsh

    with _SESSION:
        # Gmsh would take over the interrupt key, which only the main thread may.
        gmsh.initialize(readConfigFiles=False, interruptible=False)
        try:
            gmsh.option.setNumber("General.Terminal", 0)
            gmsh.option.setNumber("General.NumThreads", 1)
            gmsh.model.add(name)
            yield gmsh
        except Exception as failure:
            # All that Gmsh raises is a bare Exception; no other kind is from there.
            if type(failure) is not Exception:
                raise
            message = f"{name}: {failure}"
            raise GmshError(message) from failure
        finally:
            gmsh.finalize()
