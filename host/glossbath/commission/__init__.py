"""Commissions a rig: a walk in plain lines, its record, and a page to sign."""

from __future__ import annotations

from .person import Console, Left, Person, Question
from .record import CommissionRecord, Result, brief, load, record_path
from .scripted import Scripted
from .session import Session
from .walk import Walk

__all__ = [
    "CommissionRecord",
    "Console",
    "Left",
    "Person",
    "Question",
    "Result",
    "Scripted",
    "Session",
    "Walk",
    "brief",
    "load",
    "record_path",
]
