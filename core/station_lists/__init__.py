"""Reading the user's lists of stations: bytes to text, text to a table, a table to stations, and doubts about them."""
