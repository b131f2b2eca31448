"""The same question put to OR-Tools CP-SAT: an independent reference for the fewest changes.

Blocks k, each with one tool; "v is done by the end of block k", which never goes back. An operation can
become done in a block only if the block has its tool; what it needs is done by the block before, or by the
same block if it has the same tool. Of two setups one is finished before the other begins.
"""

from itertools import combinations

from ortools.sat.python import cp_model


def fewest_by_solver(case, *, blocks, spindle=None, seconds=60.0, workers=2):
    """(fewest changes found or None, lower bound, proven) with at most `blocks` blocks."""
    model = cp_model.CpModel()
    tools = sorted(set(case.tool_of.values()))
    has = [{tool: model.new_bool_var("") for tool in tools} for _ in range(blocks)]
    done = {name: [model.new_bool_var("") for _ in range(blocks)] for name in case.tool_of}
    for k in range(blocks):
        model.add_at_most_one(has[k].values())
        if k + 1 < blocks:
            model.add(sum(has[k].values()) >= sum(has[k + 1].values()))
            for tool in tools:
                model.add_at_most_one(has[k][tool], has[k + 1][tool])
    for name, tool in case.tool_of.items():
        model.add(done[name][-1] == 1)
        for k in range(blocks):
            if k:
                model.add_implication(done[name][k - 1], done[name][k])
            model.add(done[name][k] <= has[k][tool] + (done[name][k - 1] if k else 0))
            for need in case.needs[name]:
                shift = 0 if case.tool_of[need] == tool else 1
                if k >= shift:
                    model.add_implication(done[name][k], done[need][k - shift])
                else:
                    model.add(done[name][k] == 0)
    _setups(model, case, done, blocks)
    used = sum(sum(block.values()) for block in has)
    if spindle in tools:
        model.add(has[0][spindle] == 1)
        used -= 1
    model.minimize(used)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    status = solver.solve(model)
    found = round(solver.objective_value) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
    return found, max(0, round(solver.best_objective_bound)), status == cp_model.OPTIMAL


def _setups(model, case, done, blocks):
    """Setups one after another, in any order that the needs allow."""
    members = {}
    for name, setup in case.setup_of.items():
        members.setdefault(setup, []).append(name)
    finished = {setup: [model.new_bool_var("") for _ in range(blocks)] for setup in members}
    for setup, names in members.items():
        for k in range(blocks):
            model.add_bool_and(done[name][k] for name in names).only_enforce_if(finished[setup][k])
    rank = {setup: model.new_int_var(0, len(members) - 1, "") for setup in members}
    for one, other in combinations(members, 2):
        first = model.new_bool_var("")
        model.add(rank[one] < rank[other]).only_enforce_if(first)
        model.add(rank[one] > rank[other]).only_enforce_if(~first)
        for setup, later, way in ((one, other, first), (other, one, ~first)):
            for name in members[later]:
                for k in range(blocks):
                    model.add_bool_or(~done[name][k], finished[setup][k], ~way)
    for name, needs in case.needs.items():
        for need in needs:
            if case.setup_of[need] != case.setup_of[name]:
                model.add(rank[case.setup_of[need]] < rank[case.setup_of[name]])
