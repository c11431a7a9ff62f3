"""Points on the earth: how to write them, how far apart they are, in which direction."""
