"""Writes tests/cases/programs.json: generated linear programs with the answers of HiGHS (scipy.optimize.linprog).

Each case maximises objective . x over row ranges and variable ranges; null is an open end. Run in a virtual
environment with requirements.txt:

    python3 -m venv tests/reference/.venv
    tests/reference/.venv/bin/pip install -r tests/reference/requirements.txt
    tests/reference/.venv/bin/python tests/reference/programs.py
"""

import json
from pathlib import Path

import numpy as np
from scipy.optimize import linprog

STATUS = {0: "optimal", 2: "infeasible", 3: "unbounded"}


def answer(case):
    """Status and optimum by HiGHS, with presolve off so that infeasible and unbounded are told apart."""
    rows = np.array(case["rows"], dtype=float).reshape(-1, len(case["objective"]))
    a_ub, b_ub, a_eq, b_eq = [], [], [], []
    for row, (low, high) in zip(rows, case["row_ranges"]):
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
    result = linprog(
        -np.array(case["objective"]),
        A_ub=a_ub or None,
        b_ub=b_ub or None,
        A_eq=a_eq or None,
        b_eq=b_eq or None,
        bounds=case["variable_ranges"],
        method="highs-ds",
        options={"presolve": False},
    )
    status = STATUS[result.status]
    return status, -result.fun if status == "optimal" else None


def ranges(random, at, equalities, margin):
    """Ranges around the values `at`: equalities first, then a mix of one-sided, two-sided and open."""
    result = []
    for i, value in enumerate(at):
        gaps = margin * random.integers(0, 40, 2) / 10
        low, high = round(value - gaps[0], 6), round(value + gaps[1], 6)
        if i < equalities:
            result.append([round(value, 6)] * 2)
        else:
            result.append([[low, None], [None, high], [low, high], [low, high], [None, None]][random.integers(0, 5)])
    return [[low, low] if None not in (low, high) and low > high else [low, high] for low, high in result]


def general(random, n, m, density, margin):
    """Random coefficients; feasible for margin >= 0, mostly not for a negative one."""
    matrix = np.round(random.uniform(-5, 5, (m, n)), 1) * (random.uniform(0, 1, (m, n)) < density)
    inside = np.round(random.uniform(-5, 5, n), 1)
    return {
        "objective": np.round(random.uniform(-5, 5, n), 1).tolist(),
        "rows": matrix.tolist(),
        "row_ranges": ranges(random, matrix @ inside, min(3, n - 1, m), margin),
        "variable_ranges": ranges(random, inside, 0, abs(margin)),
    }


def contacts(random, n, m):
    """Contact forces: balance (3 equalities), friction through 0 (degenerate), moment limits, millimetres and newtons."""
    normal = n // 2
    rows, row_ranges = [], []
    points = np.round(random.uniform(-800, 800, (n, 2)))
    turned = np.round(random.uniform(-1, 1, n), 2)
    balance = [np.where(np.arange(n) < normal, turned, 1 - abs(turned)), np.where(np.arange(n) < normal, 1, turned)]
    balance.append(np.round(points[:, 0] * balance[1] - points[:, 1] * balance[0]))
    for row in balance:
        row = row.copy()
        row[n - 1] = -round(random.uniform(600, 900))
        rows.append(row)
        row_ranges.append([0.0, 0.0])
    for k in range(normal):
        for sign in (1, -1):
            row = np.zeros(n)
            row[k], row[normal + k] = -random.integers(3, 9) / 10, sign
            rows.append(row)
            row_ranges.append([None, 0.0])
    while len(rows) < m:
        row = np.round(random.uniform(-400, 400, n))
        row[random.integers(0, n, n // 3)] = 0
        limit = float(round(random.uniform(2e4, 3e5)))
        rows.append(row)
        row_ranges.append([-limit, limit])
    objective = np.zeros(n)
    objective[n - 1] = 1
    free = [[None, None]] * (n - normal - 1)
    return {
        "objective": objective.tolist(),
        "rows": [row.tolist() for row in rows[:m]],
        "row_ranges": row_ranges[:m],
        "variable_ranges": [[0.0, 1500.0]] * normal + free + [[None, 50.0]],
    }


def main():
    random = np.random.default_rng(20240229)
    cases = []
    for k in range(120):
        n, m = int(random.integers(1, 9)), int(random.integers(1, 13))
        cases.append(general(random, n, m, [1.0, 0.5, 0.3][k % 3], [1.0, 1.0, 0.0, -0.3][k % 4]))
    for _ in range(30):
        cases.append(general(random, 12, 23, 0.6, 1.0))
    for _ in range(50):
        n = int(random.integers(6, 13))
        cases.append(contacts(random, n, int(random.integers(8, 24))))
    for case in cases:
        case["status"], case["optimum"] = answer(case)
    lines = ",\n".join(json.dumps(case, separators=(",", ":")).replace(".0,", ",").replace(".0]", "]") for case in cases)
    Path(__file__).parent.parent.joinpath("cases", "programs.json").write_text(f"[\n{lines}\n]\n")
    print({status: sum(case["status"] == status for case in cases) for status in STATUS.values()})


main()
