"""Set-up shared by all tests."""

import os

# Small dense factorisations gain nothing from threads, and on a busy machine threads that wait for each other cost a
# thousandfold. The program itself limits them while it computes; tests that call the solver directly do it here.
for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")

from hypothesis import settings  # noqa: E402 - after the limits above

# Tests assert no times; a busy machine would fail those that are judged by the clock.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
