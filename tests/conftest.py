"""What all tests share: Hypothesis profiles, `quick` unless HYPOTHESIS_PROFILE says `thorough`; a browser for pages."""

import importlib.util
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "quick", max_examples=25, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("thorough", max_examples=1000, deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "quick"))


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """A page of a real browser, one for all tests: `browser.py` says what it does. Skipped where there is none."""
    spec = importlib.util.spec_from_file_location("browser", Path(__file__).with_name("browser.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    if module.program() is None:
        pytest.skip("Chromium is not installed")
    with module.opened(tmp_path_factory.mktemp("browser")) as page:
        yield page
