"""The screen: draws snapshots of core, sends what the user wants back to it."""
