"""`python -m tui` is `fixboard`."""

from __future__ import annotations

import sys

from tui.cli import main

sys.exit(main())
