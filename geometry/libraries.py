"""System libraries that the wheels of the mesher and of the pictures load."""

import ctypes
import sys
from collections.abc import Sequence

from geometry.errors import SetupError

# What each wheel is linked against but does not bring along; the packages below pull
# in those that none of them is named after.
MESHING_LIBRARIES = (
    "libGLU.so.1",
    "libGL.so.1",
    "libXcursor.so.1",
    "libXinerama.so.1",
    "libXft.so.2",
    "libXrender.so.1",
    "libXfixes.so.3",
    "libXext.so.6",
    "libX11.so.6",
    "libfontconfig.so.1",
    "libgomp.so.1",
)
PICTURE_LIBRARIES = ("libEGL.so.1", "libGL.so.1")

# All that both wheels take on a bare Debian: one message, one installation.
DEBIAN_PACKAGES = (
    "libglu1-mesa",
    "libgl1",
    "libegl1",
    "libxcursor1",
    "libxinerama1",
    "libxft2",
    "libgomp1",
)


def require_libraries(names: Sequence[str] = MESHING_LIBRARIES) -> None:
    """Refuse to go on without these system libraries, and say what to install.

    Only Linux is looked at: elsewhere the wheels are complete. To ask first matters,
    because the pictures' library ends the process where nothing can be caught.
    """
    if not sys.platform.startswith("linux"):
        return
    missing = [name for name in names if not _loads(name)]
    if missing:
        message = (
            f"missing system libraries: {', '.join(missing)}. On Debian or Ubuntu "
            f"install them with: apt-get install {' '.join(DEBIAN_PACKAGES)}"
        )
        raise SetupError(message)


def _loads(name: str) -> bool:
    """Whether the loader finds a shared library."""
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True
