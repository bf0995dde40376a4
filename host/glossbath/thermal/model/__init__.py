"""A lumped heat model of one rig: what it is made of, what lies in its bowl, how heat flows.

It is made for identification and forecast, so it knows only what probes and a scale can tell.
"""

from __future__ import annotations

from .board import board_values
from .contents import Contents, chocolate, water
from .nodes import Nodes
from .rig import UNCERTAIN, RigModel, as_described
from .store import load_model, model_path, save_model

__all__ = [
    "UNCERTAIN",
    "Contents",
    "Nodes",
    "RigModel",
    "as_described",
    "board_values",
    "chocolate",
    "load_model",
    "model_path",
    "save_model",
    "water",
]
