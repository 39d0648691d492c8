"""How long it takes to cut sixty pieces and to prove that no fewer sticks will do.

Run by hand: python tests/benchmarks/stock.py
"""

import random
import time

from radonwork.solvers.stock import cut_stock

INCH, FOOT = 0.0254, 0.3048


def main() -> None:
    """Four kinds of jobs, with sticks of one and of two lengths, by the plain proofs and by the program at once."""
    cut_stock([1.0] * 3, [3.0], 0.003, program=True)  # what is imported once is not counted
    worst = 0.0
    for sticks in ((10 * FOOT,), (10 * FOOT, 20 * FOOT)):
        for low, high in ((6, 60), (20, 60), (3, 100), (30, 45)):
            for program in (False, True):
                times, proofs = [], []
                for seed in range(5):
                    rng = random.Random(seed)
                    pieces = [rng.randint(low * 16, high * 16) / 16 * INCH for _ in range(60)]
                    begun = time.perf_counter()
                    plan = cut_stock(pieces, sticks, INCH / 8, program=program)
                    times.append(time.perf_counter() - begun)
                    proofs.append(plan.proof.kind)
                worst = max(worst, *times)
                print(
                    f"60 pieces of {low} to {high} in, sticks of {len(sticks)} lengths, program at once: {program}: "
                    f"longest {max(times):.2f} s, proofs {', '.join(sorted(set(proofs)))}"
                )
    print(f"longest of all {worst:.2f} s")


if __name__ == "__main__":
    main()
