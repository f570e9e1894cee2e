"""Room: grading. Many designs held against one bench."""

from verify.grading.graded import CheckMark, Graded
from verify.grading.groups import Group, alike
from verify.grading.job import GradeJob
from verify.grading.submissions import Submission, find_submissions
from verify.grading.task import Task, read_task

__all__ = [
    "CheckMark",
    "GradeJob",
    "Graded",
    "Group",
    "Submission",
    "Task",
    "alike",
    "find_submissions",
    "read_task",
]
