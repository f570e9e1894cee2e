"""Worked computations on a terminal and as a picture."""

from verify.report.worked.picture import sheet_svg
from verify.report.worked.text import sheet_lines, table_lines

__all__ = ["sheet_lines", "sheet_svg", "table_lines"]
