"""The threads of the linear algebra, where several processes work side by side."""

from typing import Final

#: The libraries read these once, when they are loaded. Their threads wait for each other in busy loops: of
#: a process that yields to others, one waited for minutes for another that got no turn. Each process has a
#: core, and so no need of them.
THREAD_LIMITS: Final = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
