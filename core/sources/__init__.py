"""Where bytes come from. All sources have one shape, so nothing above them knows a replay from a receiver."""
