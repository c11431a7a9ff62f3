"""Is everything here that a board needs? What was found, and what to do about it."""
