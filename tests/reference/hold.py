"""Fills the optima of hold_programs.json and sideways_programs.json in tests/cases/ with those of HiGHS
(scipy.optimize.linprog).

The programs come from real poses; write them anew first if the statics changed:

    cargo test --test hold_programs -- --ignored
    python3 -m venv tests/reference/.venv
    tests/reference/.venv/bin/pip install -r tests/reference/requirements.txt
    tests/reference/.venv/bin/python tests/reference/hold.py
"""

import json
from pathlib import Path

import numpy as np
from scipy.optimize import linprog

CASES = Path(__file__).parent.parent / "cases"


def optimum(case):
    """The largest last unknown, None where the program is infeasible."""
    a_ub, b_ub, a_eq, b_eq = [], [], [], []
    for row, (low, high) in zip(np.array(case["rows"]), case["row_ranges"]):
        if low is not None and low == high:
            a_eq.append(row)
            b_eq.append(low)
            continue
        if high is not None:
            a_ub.append(row)
            b_ub.append(high)
        if low is not None:
            a_ub.append(-row)
            b_ub.append(-low)
    objective = np.zeros(len(case["unknowns"]))
    objective[-1] = -1.0
    result = linprog(objective, a_ub, b_ub, a_eq, b_eq, bounds=case["unknowns"], method="highs-ds")
    if result.status == 2:
        return None
    if result.status != 0:
        raise SystemExit(f"{case['name']}: {result.message}")
    return float(-result.fun)


def main():
    for name in ("hold_programs.json", "sideways_programs.json"):
        file = CASES / name
        cases = json.loads(file.read_text())
        for case in cases:
            case["optimum"] = optimum(case)
        file.write_text("[\n" + ",\n".join(json.dumps(case) for case in cases) + "\n]\n")
        print(name, len(cases), "programs,", sum(case["optimum"] is None for case in cases), "infeasible")


main()
