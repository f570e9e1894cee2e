"""Room: workers. Checks in processes of their own, so that none can take the others with it."""

from verify.workers.jobs import BenchJob, Job, Limits, Trouble, trouble_of
from verify.workers.pool import Finished, Pool

__all__ = ["BenchJob", "Finished", "Job", "Limits", "Pool", "Trouble", "trouble_of"]
