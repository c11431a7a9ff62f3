"""The feed: what the board knows of its position, handed on to other programs as NMEA 0183."""
