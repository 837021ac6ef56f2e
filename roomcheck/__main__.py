"""`python -m roomcheck` is `roomcheck`."""

import sys

from roomcheck.cli import main

sys.exit(main())
