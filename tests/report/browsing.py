"""A real browser, where there is one: Chromium from the system, or the one that playwright keeps."""

import shutil
from contextlib import contextmanager

import pytest

SYSTEM = ("chromium", "chromium-browser", "google-chrome")


@contextmanager
def browser():
    """A headless Chromium; the test is skipped, with the reason, where there is none."""
    reason = "the page is not opened: playwright is not installed (pip install .[dev])"
    api = pytest.importorskip("playwright.sync_api", reason=reason)
    found = next(filter(None, map(shutil.which, SYSTEM)), None)
    with api.sync_playwright() as playwright:
        try:
            opened = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        except api.Error:
            pytest.skip("the page is not opened: no Chromium (apt-get install chromium)")
        try:
            yield opened
        finally:
            opened.close()
