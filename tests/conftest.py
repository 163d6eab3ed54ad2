"""Shared by all tests: one thread of linear algebra, as the command line sets it (small matrices, two cores)."""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
