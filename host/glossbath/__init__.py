"""Turns a slow cooker, a hobby heater board and a stirrer into a chocolate tempering bath."""

__version__ = "0.1.0"
