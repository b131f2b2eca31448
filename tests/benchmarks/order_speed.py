"""How fast the fewest changes are proven, and how much they save: run it with

    python tests/benchmarks/order_speed.py [--jobs 200] [--seconds 10] [--no-solver] [--hard]

Sign jobs first: this project against OR-Tools CP-SAT (two workers), one after the other in one run, so that
the ratio does not depend on the machine; processor seconds for both, so that it does not depend on what else
runs there. Where the solver is stopped unproven, what it had used by then counts as its time to proof, which
is too little. `--hard` adds graphs that are made to be hard, with
the same time for both, and prints the gap that each leaves.
"""

import argparse
import time
from statistics import median

import order_cases as cases

from signplan.operations.order import order_operations
from signplan.operations.order_habits import as_listed, down_the_tool_list, panel_by_panel

SIZES = [(0, 50), (50, 100), (100, 200), (200, 401)]


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--jobs", type=int, default=200)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--no-solver", action="store_true")
    parser.add_argument("--hard", action="store_true")
    options = parser.parse_args()
    solver_seconds = None if options.no_solver else options.seconds
    rows = [measure(cases.sign_job(seed), solver_seconds) for seed in range(options.jobs)]
    if rows:
        print_speed(rows)
        print_savings(rows)
    if options.hard:
        print_hard(options.seconds, solver_seconds)


def measure(case, solver_seconds):
    """One job: our time, the solver's, and what people's habits need."""
    started = time.process_time()
    order = order_operations(case.tool_of, case.needs, setup_of=case.setup_of)
    row = {"operations": len(case.tool_of), "order": order, "ours": time.process_time() - started}
    panel_of = {name: name.split()[0] for name in case.tool_of if name.startswith("p")}
    row["habits"] = {
        "as listed": as_listed(case.tool_of, case.needs, setup_of=case.setup_of).changes,
        "panel by panel, each optimal": panel_by_panel(
            case.tool_of, case.needs, panel_of, setup_of=case.setup_of
        ).changes,
        "down the tool list, again from the top": down_the_tool_list(
            case.tool_of, case.needs, setup_of=case.setup_of
        ).changes,
    }
    if solver_seconds:
        blocks = row["habits"]["down the tool list, again from the top"]
        row["solver"], (found, _, row["solver proven"]) = by_solver(case, blocks, solver_seconds)
        if row["solver proven"] and order.proven and found != order.changes:
            raise SystemExit(f"{case.name}: the solver proves {found}, we {order.changes}")
    return row


def by_solver(case, blocks, seconds):
    """Processor seconds of the solver, and its answer; with as many blocks allowed as a person needs."""
    from order_by_solver import fewest_by_solver

    started = time.process_time()
    answer = fewest_by_solver(case, blocks=blocks, seconds=seconds)
    return time.process_time() - started, answer


def print_speed(rows):
    print("| operations | jobs | changes | proven | median s | worst s | CP-SAT proven | CP-SAT s | ratio |")
    print("|---|---|---|---|---|---|---|---|---|")
    for low, high in [*SIZES, (0, 10**6)]:
        group = [row for row in rows if low <= row["operations"] < high]
        if not group:
            continue
        ours = [row["ours"] for row in group]
        line = [
            f"{min(row['operations'] for row in group)} to {max(row['operations'] for row in group)}",
            len(group),
            f"{median(row['order'].changes for row in group):.0f}",
            sum(row["order"].proven for row in group),
            f"{median(ours):.3f}",
            f"{max(ours):.3f}",
        ]
        if "solver" in group[0]:
            solver = sum(row["solver"] for row in group)
            line += [
                sum(row["solver proven"] for row in group),
                f"{solver:.0f}",
                f"1 / {solver / sum(ours):.0f}",
            ]
        print("| " + " | ".join(map(str, line)) + " |")


def print_savings(rows):
    fewest = [row["order"].changes for row in rows]
    print("\n| order | changes, median | more than the fewest, median (range) |\n|---|---|---|")
    for habit in rows[0]["habits"]:
        changes = [row["habits"][habit] for row in rows]
        more = [one - other for one, other in zip(changes, fewest, strict=True)]
        print(f"| {habit} | {median(changes):.0f} | {median(more):.0f} ({min(more)} to {max(more)}) |")
    print(f"| fewest | {median(fewest):.0f} | - |")


def hard_cases():
    yield "all orders of 4 tools", cases.all_permutations(4)
    yield "all orders of 5 tools", cases.all_permutations(5)
    yield "rotations of 8 tools", cases.rotations(8, 8)
    yield "5 chains of 12, 8 tools", cases.random_chains(1, count=5, length=12, tools=8)
    yield "8 chains of 12, 8 tools", cases.random_chains(1, count=8, length=12, tools=8)
    for seed, (operations, tools, layers, density) in enumerate(
        [(80, 10, 6, 0.2), (150, 10, 8, 0.15), (200, 12, 10, 0.1), (300, 14, 12, 0.1), (400, 16, 14, 0.08)]
    ):
        case = cases.layered(seed, operations=operations, tools=tools, layers=layers, density=density)
        yield f"{layers} layers, {operations} operations, {tools} tools", case


def print_hard(seconds, solver_seconds):
    print(f"\n| graph, {seconds:.0f} s each | found | bound | s | CP-SAT found | CP-SAT bound | s |")
    print("|---|---|---|---|---|---|---|")
    for name, case in hard_cases():
        started = time.process_time()
        order = order_operations(case.tool_of, case.needs, seconds=seconds)
        line = f"| {name} | {order.changes} | {order.lower_bound} | {time.process_time() - started:.2f} |"
        if solver_seconds:
            blocks = down_the_tool_list(case.tool_of, case.needs).changes
            elapsed, (found, bound, _) = by_solver(case, blocks, seconds)
            line += f" {found or 'none'} | {bound} | {elapsed:.2f} |"
        print(line)


if __name__ == "__main__":
    main()
