"""``python -m pipecalc``."""

import sys

from pipecalc.cli import main

sys.exit(main())
