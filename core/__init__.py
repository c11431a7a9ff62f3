"""The field work of fixboard: bytes to fixes, trust, guidance. Knows nothing of any screen."""
