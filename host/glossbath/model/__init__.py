"""A lumped heat model of one rig: what it is made of, what lies in its bowl, how heat flows.

It is made for identification and forecast, so it knows only what probes and a scale can tell.
"""

from __future__ import annotations

from glossbath.model.board import board_values
from glossbath.model.contents import Contents, chocolate, water
from glossbath.model.nodes import Nodes
from glossbath.model.rig import DOUBTED, RigModel
from glossbath.model.store import load_model, model_path, save_model

__all__ = [
    "DOUBTED",
    "Contents",
    "Nodes",
    "RigModel",
    "board_values",
    "chocolate",
    "load_model",
    "model_path",
    "save_model",
    "water",
]
