"""The trade's arithmetic: pure functions, no files, no serial ports, no screens, no clocks.

Temperatures are in °C, masses in kg, energies in J, shares from 0 to 1. Every number here is
advice: published windows differ by a degree or two and the chocolate's maker knows best.
"""
