"""Away from the rig: told on the phone, seen from the next room, a shop of rigs on a broker.

Every part is a client of the keepers' sockets in a process of its own, so that no network code
shares a process with the lease. It looks, and where the person switched it on it stops; it never
starts, heats, clears or changes anything.
"""
