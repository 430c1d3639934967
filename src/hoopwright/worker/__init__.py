"""The worker: takes jobs from the store and runs them, apart from the pages.

``loop`` claims and settles, ``run`` does one job in another process, ``pools`` are where those
processes are, ``kinds`` says which function does which job, ``beside`` keeps a worker alive next to
the pages. ``python -m hoopwright.worker`` starts one.
"""

from hoopwright.worker.beside import worker_beside
from hoopwright.worker.loop import work

__all__ = ["work", "worker_beside"]
