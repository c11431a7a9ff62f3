"""NMEA 0183 from bytes to fixes, without any input or output of its own."""
