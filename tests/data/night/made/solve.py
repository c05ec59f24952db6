"""Solves the sites of sites.jsonl with CP-SAT of OR-Tools and writes answers.json.

    pip install ortools==9.15.6755
    python3 solve.py SECONDS

A station's runs are intervals with its soak between them; flow of each supply, valves of the site and lanes of each
group (longer by the pause) are cumulative; pairs kept apart do not overlap. Times in units of 20 seconds.
"""
import json
import sys
from pathlib import Path

import ortools
from ortools.sat.python import cp_model

UNIT = 20
HERE = Path(__file__).parent


def solve(site, seconds):
    model = cp_model.CpModel()
    horizon = 0
    for station in site["stations"]:
        runs = -(-station["run_minutes"] // station["longest_run_minutes"])
        horizon += (station["run_minutes"] + runs * station["soak_minutes"]) * 60 // UNIT
    finish = model.new_int_var(0, horizon, "finish")
    own = {}
    flow = {supply["id"]: [] for supply in site["supplies"]}
    held = {group["id"]: [] for group in site["groups"]}
    gap = {group["id"]: group["gap_seconds"] // UNIT for group in site["groups"]}
    every = []
    for station in site["stations"]:
        total, longest = station["run_minutes"], station["longest_run_minutes"]
        count = -(-total // longest)
        before = None
        own[station["id"]] = []
        for run in range(count):
            length = (total // count + (run < total % count)) * 60 // UNIT
            start = model.new_int_var(0, horizon, "")
            interval = model.new_fixed_size_interval_var(start, length, "")
            if before is not None:
                model.add(start >= before + station["soak_minutes"] * 60 // UNIT)
            before = start + length
            own[station["id"]].append(interval)
            every.append(interval)
            if station["supply"] is not None:
                flow[station["supply"]].append((interval, station["flow_l_per_min"]))
            if station["group"] is not None:
                pause = gap[station["group"]]
                held[station["group"]].append(
                    model.new_fixed_size_interval_var(start, length + pause, ""))
        model.add(finish >= before)
    for supply in site["supplies"]:
        pairs = flow[supply["id"]]
        model.add_cumulative([p[0] for p in pairs], [p[1] for p in pairs], supply["capacity_l_per_min"])
    for group in site["groups"]:
        runs = held[group["id"]]
        model.add_cumulative(runs, [1] * len(runs), group["open_at_once"])
    if site["open_at_once"] is not None:
        model.add_cumulative(every, [1] * len(every), site["open_at_once"])
    for one, other in site["apart"]:
        for a in own[one]:
            for b in own[other]:
                model.add_no_overlap([a, b])
    model.minimize(finish)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    solver.parameters.random_seed = 1
    status = solver.solve(model)
    return {
        "finish_second": int(solver.objective_value) * UNIT,
        "bound_second": int(solver.best_objective_bound) * UNIT,
        "proved": status == cp_model.OPTIMAL,
    }


def main():
    seconds = float(sys.argv[1])
    answers = {"solver": f"CP-SAT, OR-Tools {ortools.__version__}", "seconds": seconds, "sites": []}
    for line in (HERE / "sites.jsonl").read_text().splitlines():
        answers["sites"].append(solve(json.loads(line), seconds))
        print(answers["sites"][-1], flush=True)
    (HERE / "answers.json").write_text(json.dumps(answers, indent=1) + "\n")


main()
