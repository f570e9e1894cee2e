"""Room: watching. Files that change, and which checks they touch."""

from verify.watching.files import Signature, signature_of
from verify.watching.states import BenchState, look_at
from verify.watching.waking import Waking

__all__ = ["BenchState", "Signature", "Waking", "look_at", "signature_of"]
