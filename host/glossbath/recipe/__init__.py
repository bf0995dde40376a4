"""A recipe: what the person wants done with the chocolate, phase by phase.

Recipes are TOML files that a person can read and change. Every key names its unit, every file
says where its numbers come from. The numbers are advice: books differ by a degree or two.
"""

from __future__ import annotations

from .copying import copy, rename
from .files import builtin_names, load
from .own import own_folder, own_names, save
from .text import dump, loads
from .values import Composition, Recipe

__all__ = [
    "Composition",
    "Recipe",
    "builtin_names",
    "copy",
    "dump",
    "load",
    "loads",
    "own_folder",
    "own_names",
    "rename",
    "save",
]
