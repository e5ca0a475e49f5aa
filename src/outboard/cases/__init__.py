"""Tables of conditions: along what parts and surroundings vary, and the corners of it all."""
