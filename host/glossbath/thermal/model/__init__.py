"""A lumped heat model of one rig: what it is made of, what lies in its bowl, how heat flows.

It is made for identification and forecast, so it knows only what probes and a scale can tell.
"""

from __future__ import annotations

from .board import board_values
from .contents import Contents, chocolate, water
from .learned import Knowledge, Learned, knowledge_of, load_learned, save_learned
from .nodes import Nodes
from .rig import UNCERTAIN, RigModel, as_described
from .store import learned_path, load_model, model_path, save_model

__all__ = [
    "UNCERTAIN",
    "Contents",
    "Knowledge",
    "Learned",
    "Nodes",
    "RigModel",
    "as_described",
    "board_values",
    "chocolate",
    "knowledge_of",
    "learned_path",
    "load_learned",
    "load_model",
    "model_path",
    "save_learned",
    "save_model",
    "water",
]
