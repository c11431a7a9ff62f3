"""A physical simulator of receivers under a real sky: positions, signals, errors and sentences, by seed."""
