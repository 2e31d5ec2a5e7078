"""Tools: what the mouse and the keyboard do on the map, one state each."""
