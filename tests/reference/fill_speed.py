"""How long the general image library takes to fill the grids of the bench.

Requires: numpy, scikit-image. First dump the grids, then time the library on the same ones, on the same machine:

    cargo bench --bench fill -- --side 2048 --dump /tmp
    venv/bin/python tests/reference/fill_speed.py /tmp 2048 --program FILL_BINARY

With `--program` (the bench's executable, whose path cargo prints) the bench runs before and after the library, so
that a change in what else the machine does would show.
"""

import argparse
import statistics
import subprocess
import time
from pathlib import Path

import numpy as np
from skimage.morphology import reconstruction


def seconds(ground, rounds=3):
    seed = ground.copy()
    seed[1:-1, 1:-1] = ground.max()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        filled = reconstruction(seed, ground, method="erosion", footprint=np.ones((3, 3)))
        times.append(time.perf_counter() - start)
    return times, float((filled > ground).mean())


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("side", type=int)
    parser.add_argument("--program", help="the bench's executable: run before and after, for its own times")
    args = parser.parse_args()
    command = [args.program, "--side", str(args.side), "--dump", str(args.folder)] if args.program else None
    if command:
        print("program, before:\n" + subprocess.run(command, check=True, text=True, capture_output=True).stdout)
    for kind in ("smooth", "rough", "noise"):
        file = args.folder / f"{kind}_{args.side}.f32"
        ground = np.fromfile(file, "<f4").reshape(args.side, args.side)
        times, raised = seconds(ground)
        speeds = [ground.size / t / 1e6 for t in (statistics.median(times), min(times))]
        print(
            f"{kind}: library median {statistics.median(times):.3f} s, least {min(times):.3f} s"
            f" = {speeds[0]:.2f} ({speeds[1]:.2f}) million cells a second, {100 * raised:.2f} % raised"
        )
    if command:
        print("program, after:\n" + subprocess.run(command, check=True, text=True, capture_output=True).stdout)


if __name__ == "__main__":
    main()
