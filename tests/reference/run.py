"""Writes invented recorded runs with known answers into tests/cases/run/.

All of it is INVENTED: nobody rode these runs. The model, stated so that the answers can be known:

- the specific force of the sled in its own axes (forward, left, up; g) is a chain of plateaus joined by half cosine waves
  of 0.2 s; at rest (0, 0, 1), in flight (0, 0, 0.05);
- the sensor is turned by roll, then pitch (nose up positive, left side up positive), reads in g or m/s2, may count the
  other way, and adds white noise of a seeded generator where a case says so;
- positions lie on an ellipse that is ridden at constant speed.

Answers come twice: from the plateaus alone (what the script put in), and from a second computation by another library:
SciPy's analog Butterworth low-pass of second order, simulated with straight lines between samples (scipy.signal.lsim).

    tests/reference/.venv/bin/python tests/reference/run.py
"""

import json
import math
from pathlib import Path

import numpy as np
from scipy.signal import butter, lsim

ROOT = Path(__file__).parent.parent.parent
CASES = ROOT / "tests" / "cases" / "run"
G = 9.80665
RAMP = 0.2
CUT_OFF = 10.0
# The box against which the cases are judged: corners counter-clockwise with what gives along the edge to the next.
BOX = [([-1.0, -0.5], "floor"), ([1.0, -0.5], "front"), ([1.0, 3.0], "roof"), ([-1.0, 3.0], "back")]


def chain(rate, pieces, start=(0.0, 0.0, 1.0)):
    """Times and specific force of plateaus: (seconds at the plateau, (forward, left, up))."""
    values = [np.array(start, float)]
    step = 1.0 / rate
    out = [values[0]]
    for seconds, target in pieces:
        target = np.array(target, float)
        begin = out[-1]
        if not np.allclose(begin, target):
            for k in range(1, round(RAMP * rate) + 1):
                out.append(begin + (target - begin) * 0.5 * (1.0 - math.cos(math.pi * k / (RAMP * rate))))
        out.extend([target] * round(seconds * rate))
    force = np.array(out)
    return np.arange(len(force)) * step, force


def turned(force, pitch_deg, roll_deg):
    """What a sensor reads that was turned by roll about forward, then by pitch about left."""
    p, r = math.radians(pitch_deg), math.radians(roll_deg)
    roll = np.array([[1, 0, 0], [0, math.cos(r), math.sin(r)], [0, -math.sin(r), math.cos(r)]])
    pitch = np.array([[math.cos(p), 0, math.sin(p)], [0, 1, 0], [-math.sin(p), 0, math.cos(p)]])
    return force @ (pitch @ roll).T


def outside(times, force):
    """Time outside the box behind the low-pass, s, each sample standing for half the time to either neighbour."""
    b, a = butter(2, 2 * math.pi * CUT_OFF, analog=True)
    filtered = []
    for axis in (0, 2):
        u = force[:, axis] - force[0, axis]
        _, y, _ = lsim((b, a), u, times, interp=True)
        filtered.append(y + force[0, axis])
    x, z = filtered
    weights = np.zeros(len(times))
    steps = np.diff(times)
    weights[:-1] += steps / 2
    weights[1:] += steps / 2
    out = (np.abs(x) > 1.0) | (z < -0.5) | (z > 3.0)
    excess = np.max([np.abs(x) - 1.0, -0.5 - z, z - 3.0], axis=0)
    return float(weights[out].sum()), float(excess.max())


def write(path, header, rows, delimiter=",", comma=False, comment=None):
    lines = [] if comment is None else [f"# {comment}"]
    lines.extend(delimiter.join(h) for h in header)
    for row in rows:
        cells = [c if isinstance(c, str) else f"{c:.4f}" for c in row]
        text = delimiter.join(cells)
        lines.append(text.replace(".", ",") if comma else text)
    path.write_text("\n".join(lines) + "\n")


def tilt():
    """A tilted sensor in m/s2: 5 s still, then plateaus of which two are outside the box."""
    pieces = [(5, (0, 0, 1)), (2, (0.5, 0, 1)), (1.5, (-1.4, 0, 1.2)), (2, (0, 0, 1.6)), (1, (0, 0, 3.4)), (3, (0, 0, 1))]
    times, force = chain(100, pieces)
    pitch, roll = 8.0, -5.0
    read = turned(force, pitch, roll) * G
    rows = [(f"{t:.3f}", *(f"{v:.6f}" for v in f)) for t, f in zip(times, read)]
    write(CASES / "tilt.csv", [["time [s]", "acc x [m/s2]", "acc y [m/s2]", "acc z [m/s2]"]], rows,
          comment="invented by tests/reference/run.py")
    # The plateaus as pitch and roll of gravity, not of the two turns: a = R z.
    rest = turned(np.array([[0.0, 0.0, 1.0]]), pitch, roll)[0]
    seconds, most = outside(times, force)
    return {
        "rate_hz": 100, "seconds": times[-1],
        "pitch_deg": math.degrees(math.atan2(rest[0], rest[2])), "roll_deg": math.degrees(math.atan2(rest[1], rest[2])),
        "outside_s": seconds, "excess_g": most, "events": 2,
        "plateaus": [[[0.5, 1.0], 2.0], [[-1.4, 1.2], 1.5], [[0.0, 3.4], 1.0]],
        "gives": ["back", "roof"],
    }


def spikes():
    """Spikes of 8 g and 5 ms, which are no load, beside one plateau of 0.8 s outside, which is."""
    pieces = [(3, (0, 0, 1)), (0.8, (-1.5, 0, 1)), (8, (0, 0, 1))]
    times, force = chain(200, pieces)
    clean = force.copy()
    for k in range(900, len(force) - 20, 100):
        force[k, 2] += 8.0
    read = force.copy()
    read[:, 2] *= -1.0
    rows = [(f"{t * 1000:.0f}", *(f"{v:.5f}" for v in (f[0], f[2]))) for t, f in zip(times, read)]
    write(CASES / "spikes.csv", [["t", "ax", "az"], ["ms", "g", "g"]], rows, delimiter="\t")
    seconds, most = outside(times, force)
    return {
        "rate_hz": 200, "seconds": times[-1], "outside_s": seconds, "excess_g": most, "events": 1, "spikes": True,
        "clean_outside_s": outside(times, clean)[0], "gives": ["back"],
    }


def flight():
    """Three flights of 0.4, 0.6 and 0.8 s, each with a landing outside the box, and a dip of 0.05 s that is none."""
    landing = [(0.25, (-1.6, 0, 2.4)), (2, (0, 0, 1))]
    pieces = [(3, (0, 0, 1))]
    for seconds in (0.4, 0.6, 0.8):
        pieces += [(seconds, (0, 0, 0.05)), *landing]
    pieces += [(0.0, (0, 0, 0.2)), (2, (0, 0, 1))]
    times, force = chain(100, pieces)
    rows = [(f"{t:.2f}", *(f"{v:.5f}" for v in (f[0], f[2]))) for t, f in zip(times, force)]
    write(CASES / "flight.csv", [["time_s", "long_g", "vert_g"]], rows)
    seconds, most = outside(times, force)
    return {
        "rate_hz": 100, "seconds": times[-1], "outside_s": seconds, "excess_g": most, "events": 3,
        "flights": [0.4, 0.6, 0.8], "gives": ["back", "back", "back"],
    }


def laps():
    """Three laps of an ellipse at 25 Hz with a decimal comma; the hard moment lies at the same place in laps 2 and 3."""
    rate, lap = 25, 24.0
    a, b = 90.0, 40.0
    still = 4.0
    hard = 8.0
    times = np.arange(0, still + 3 * lap + 2.0, 1 / rate)
    force = np.zeros((len(times), 3))
    force[:, 2] = 1.0
    places = []
    for i, t in enumerate(times):
        ridden = max(0.0, t - still)
        turn = 2 * math.pi * ridden / lap
        places.append((a * (math.cos(turn) - 1.0), b * math.sin(turn)))
        into = ridden % lap - hard
        if ridden > lap and 0 <= into < 1.0 and ridden < 3 * lap:
            force[i, 0] = -0.7 * (1 - math.cos(2 * math.pi * into))
    lat0, lon0 = 61.25, 14.5
    earth = 6371008.8
    rows = []
    for t, f, (east, north) in zip(times, force, places):
        clock = 10 * 3600 + t
        stamp = f"{int(clock // 3600)}:{int(clock % 3600 // 60):02d}:{clock % 60:06.3f}"
        lat = lat0 + math.degrees(north / earth)
        lon = lon0 + math.degrees(east / earth / math.cos(math.radians(lat0)))
        speed = 0.0 if t <= still else 40.0
        rows.append((stamp, f"{f[0]:.4f}", f"{f[1]:.4f}", f"{f[2]:.4f}", f"{speed:.1f}", f"{lat:.7f}", f"{lon:.7f}"))
    write(CASES / "laps.csv",
          [["Clock", "Longitudinal G", "Lateral G", "Vertical G", "Speed", "Latitude", "Longitude"],
           ["h:m:s", "g", "g", "g", "km/h", "deg", "deg"]], rows, delimiter=";", comma=True)
    seconds, most = outside(times, force)
    turn = 2 * math.pi * (hard + 0.5) / lap
    return {
        "rate_hz": rate, "seconds": float(times[-1]), "outside_s": seconds, "excess_g": most, "events": 2, "laps": 4,
        "lap_s": lap, "place_m": [a * (math.cos(turn) - 1), b * math.sin(turn)], "hard_laps": [2, 3],
        "gives": ["back", "back"],
    }


def gaps():
    """Uneven steps, two gaps, rows without a vertical reading, a lost time; noise of a seeded generator."""
    generator = np.random.default_rng(20_261)
    rows, last = [], None
    t, gap_s, count = 0.0, 0.0, 0
    lost = 0
    for i in range(3000):
        step = 0.01 * generator.uniform(0.5, 1.5)
        if i in (1000, 2000):
            step = {1000: 0.5, 2000: 2.25}[i]
        t += step
        f = (generator.normal(0, 0.01), 1.0 + generator.normal(0, 0.01))
        if i % 50 == 17:
            rows.append((f"{t:.6f}", f"{f[0]:.5f}", "" if i % 100 == 17 else "NaN"))
            lost += 1
            continue
        if last is not None and i in (1000, 2000):
            gap_s += round(t, 6) - last
            count += 1
        last = round(t, 6)
        rows.append((f"{t:.6f}", f"{f[0]:.5f}", f"{f[1]:.5f}"))
    write(CASES / "gaps.csv", [["time", "ax", "az"]], rows)
    first = float(rows[0][0])
    return {"rate_hz": 100, "seconds": last - first, "gaps_s": gap_s, "gaps": count, "incomplete": lost, "events": 0,
            "outside_s": 0.0}


def main():
    CASES.mkdir(exist_ok=True)
    answers = {"box": BOX, "cut_off_hz": CUT_OFF,
               "runs": {make.__name__: make() for make in (tilt, spikes, flight, laps, gaps)}}
    (CASES / "answers.json").write_text(json.dumps(answers, indent=1) + "\n")
    for name, run in answers["runs"].items():
        print(name, {k: v for k, v in run.items() if not isinstance(v, list)})


main()
