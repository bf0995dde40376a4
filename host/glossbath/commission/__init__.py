"""Commissions a rig: a walk in plain lines, its record, and a page to sign."""

from __future__ import annotations

from glossbath.commission.person import Console, Left, Person, Question
from glossbath.commission.record import CommissionRecord, Result, brief, load, record_path
from glossbath.commission.scripted import Scripted
from glossbath.commission.session import Session
from glossbath.commission.walk import Walk

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
