"""Room: workers. Jobs in processes of their own, so that none can take the others with it.

Knows nothing of what a job does. One process beside ours, the *host*, loads what the jobs need; it
forks for each of them, tells us what they say and what they come to, and ends with us.
"""

from verify.workers.jobs import NO_LIMITS, Job, Limits, Tell, Trouble
from verify.workers.pool import Finished, Pool, usable_processors

__all__ = ["NO_LIMITS", "Finished", "Job", "Limits", "Pool", "Tell", "Trouble", "usable_processors"]
