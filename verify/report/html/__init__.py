"""The result as one page that needs nothing else: no script, no font, no network."""

from verify.report.html.page import as_html

__all__ = ["as_html"]
