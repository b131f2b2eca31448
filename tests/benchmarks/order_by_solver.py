"""The same question put to OR-Tools CP-SAT: an independent reference for the fewest changes.

Blocks k, each with one tool or not used; "v is done by the end of block k", which never goes back. An
operation can become done in a block only if the block has its tool; what it needs is done by the block
before, or by the same block if it has the same tool. Of two setups one is finished before the other begins.
"""

from itertools import combinations

from ortools.sat.python import cp_model


def fewest_by_solver(case, *, blocks, spindle=None, seconds=60.0, workers=2):
    """(fewest changes found or None, lower bound, proven) with at most `blocks` blocks."""
    model = cp_model.CpModel()
    tools = sorted(set(case.tool_of.values()))
    used = [model.new_bool_var("") for _ in range(blocks)]
    has = [{tool: model.new_bool_var("") for tool in tools} for _ in range(blocks)]
    done = {name: [model.new_bool_var("") for _ in range(blocks)] for name in case.tool_of}
    for k in range(blocks):
        model.add_exactly_one(*has[k].values(), ~used[k])
        if k:
            model.add_implication(used[k], used[k - 1])
            for tool in tools:
                model.add_at_most_one(has[k - 1][tool], has[k][tool])
    first = _first_blocks(case)
    for name, tool in case.tool_of.items():
        model.add(done[name][-1] == 1)
        for k in range(blocks):
            before = [done[name][k - 1]] if k else []
            model.add_bool_or(~done[name][k], has[k][tool], *before)
            if before:
                model.add_implication(done[name][k - 1], done[name][k])
            if k < first[name]:
                model.add(done[name][k] == 0)
        for need in case.needs[name]:
            shift = 0 if case.tool_of[need] == tool else 1
            for k in range(shift, blocks):
                model.add_implication(done[name][k], done[need][k - shift])
    _setups(model, case, done, blocks)
    changes = sum(used)
    if spindle in tools:
        model.add(has[0][spindle] == 1)
        changes -= 1
    model.minimize(changes)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    status = solver.solve(model)
    found = round(solver.objective_value) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
    return found, max(0, round(solver.best_objective_bound)), status == cp_model.OPTIMAL


def _first_blocks(case):
    """For each operation the first block that can do it: one more wherever the tool changes on the way."""
    first = {}
    while len(first) < len(case.tool_of):
        for name, needs in case.needs.items():
            if all(need in first for need in needs):
                steps = [first[need] + (case.tool_of[need] != case.tool_of[name]) for need in needs]
                first[name] = max(steps, default=0)
    return first


def _setups(model, case, done, blocks):
    """Setups one after another, in any order that the needs allow."""
    setups = list(dict.fromkeys(case.setup_of.values()))
    begun = {setup: [model.new_bool_var("") for _ in range(blocks)] for setup in setups}
    finished = {setup: [model.new_bool_var("") for _ in range(blocks)] for setup in setups}
    for name, setup in case.setup_of.items():
        for k in range(blocks):
            model.add_implication(done[name][k], begun[setup][k])
            model.add_implication(finished[setup][k], done[name][k])
    rank = {setup: model.new_int_var(0, len(setups) - 1, "") for setup in setups}
    for one, other in combinations(setups, 2):
        first = model.new_bool_var("")
        model.add(rank[one] < rank[other]).only_enforce_if(first)
        model.add(rank[one] > rank[other]).only_enforce_if(~first)
        for k in range(blocks):
            model.add_bool_or(~first, ~begun[other][k], finished[one][k])
            model.add_bool_or(first, ~begun[one][k], finished[other][k])
    for name, needs in case.needs.items():
        for setup in {case.setup_of[need] for need in needs} - {case.setup_of[name]}:
            model.add(rank[setup] < rank[case.setup_of[name]])
