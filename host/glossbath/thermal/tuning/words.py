"""What the numbers of a rig are called where a person reads them."""

from __future__ import annotations

WORDS = {
    "heater_w": ("heater power", "W"),
    "body_j_per_k": ("crock and heater band", "J/K"),
    "body_bath_w_per_k": ("body to bath", "W/K"),
    "room_w_per_k": ("loss to the room", "W/K"),
    "chill_w_per_k": ("bath to ice water", "W/K"),
    "still_w_per_k": ("bath to bowl, still", "W/K"),
    "stirred_w_per_k": ("bath to bowl, stirred", "W/K"),
    "bowl_room_w_per_k": ("loss over the bowl", "W/K"),
    "probe_lag_s": ("lag of the probes", "s"),
    "wall_w_per_k": ("through the crock", "W/K"),
    "element_lag_s": ("lag of the element", "s"),
    "body_probe_over_k": ("body probe over wall", "K"),
    "bath_probe_body_share": ("wall in bath probe", ""),
    "chill_middle": ("chill left, middle", "(ln)"),
    "chill_late": ("chill left, end", "(ln)"),
    "room_c": ("room", "°C"),
    "contents_factor": ("batch, of the handbook", ""),
}
"""Name and unit of each number that is found."""
