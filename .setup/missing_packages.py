"""Print the Debian packages that this computer lacks, on one line, or nothing.

Runs on a bare Python: of the project it uses only what imports no other package.
"""

import importlib.util
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from geometry.errors import SetupError
from geometry.libraries import (
    DEBIAN_PACKAGES,
    MESHING_LIBRARIES,
    PICTURE_LIBRARIES,
    require_libraries,
)

missing = []
try:
    require_libraries((*MESHING_LIBRARIES, *PICTURE_LIBRARIES))
except SetupError:
    missing += DEBIAN_PACKAGES
if importlib.util.find_spec("ensurepip") is None:
    missing.append("python3-venv")
sys.stdout.write(" ".join(missing) + "\n")
