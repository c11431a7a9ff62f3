"""How the generated examples are chosen: the same ones every time, so that a red run can be repeated.

`FIXBOARD_HYPOTHESIS=explore` looks for new ones instead, and for longer.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

_QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large]
"""On a slow machine these complain of its speed, not of the tests."""

settings.register_profile("steady", derandomize=True, deadline=None, max_examples=50, suppress_health_check=_QUIET)
settings.register_profile("explore", deadline=None, max_examples=2000, suppress_health_check=_QUIET)
settings.load_profile(os.environ.get("FIXBOARD_HYPOTHESIS", "steady"))
