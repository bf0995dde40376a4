"""Makes the stand-ins of this folder importable by name, as they are on MicroPython."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
