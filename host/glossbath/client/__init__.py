"""Messages between a keeper and its clients, the client end of the socket, paths, launching."""
