"""All benchmarks: ``python -m tests.benchmarks``. Figures are ratios within one run; nothing is asserted."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from tests.benchmarks import bench_batch, bench_demo, bench_large, bench_start


def main() -> None:
    """Run every benchmark in turn."""
    for title, part in (("start", bench_start), ("demo", bench_demo), ("large", bench_large), ("batch", bench_batch)):
        print(f"\n== {title}")
        part.main()
    try:
        from tests.benchmarks import bench_frame
    except (ImportError, RuntimeError) as missing:  # the reference says so in its own way where BLAS is missing
        print(f"\n== frame: not run ({missing})")
        return
    print("\n== frame")
    bench_frame.main()


if __name__ == "__main__":
    main()
