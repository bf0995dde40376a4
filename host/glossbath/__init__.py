"""Turns a slow cooker, a hobby heater board and a stirrer into a tempering bath."""
