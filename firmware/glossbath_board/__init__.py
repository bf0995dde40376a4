"""Firmware of a tempering bath: importable on the board, MicroPython's unix port and CPython."""
