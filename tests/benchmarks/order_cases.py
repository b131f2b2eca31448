"""Jobs to order: signs as a shop cuts them, and graphs made to be hard."""

import random
from itertools import permutations, product
from typing import NamedTuple


class Case(NamedTuple):
    name: str
    tool_of: dict[str, str]
    needs: dict[str, list[str]]
    setup_of: dict[str, str]


def sign_job(seed):
    """A job of carved double-sided signs: 1 to 8 panels on one or two blanks, each cut inner face first."""
    chance = random.Random(seed)
    panels = chance.randint(1, 8)
    blanks = chance.randint(1, min(panels, 2))
    tools = _tools(chance)
    case = Case(f"signs {seed}", {}, {}, {})
    for blank in range(blanks):
        inner, outer = f"blank {blank} inner", f"blank {blank} outer"
        holes = [_add(case, inner, f"b{blank} index {n}", tools["drill"][0]) for n in range(2)]
        for panel in range(blank, panels, blanks):
            _inner_face(case, chance, tools, f"p{panel}", inner)
        for panel in range(blank, panels, blanks):
            _outer_face(case, chance, tools, f"p{panel}", outer, holes)
    return case


def _tools(chance):
    """The cutters that a job chooses from, up to 24, coarsest first in each family."""
    sizes = {"mill": 6, "ball": 4, "vee": 4, "edge": 3, "drill": 5, "groove": 2}
    return {
        family: [f"{family}-{n}" for n in range(chance.randint(1, most))] for family, most in sizes.items()
    }


def _inner_face(case, chance, tools, panel, setup):
    """Skim, pockets rough and finish with holes in their floors, dowel holes."""
    skim = [_add(case, setup, f"{panel} skim", tools["mill"][0])] if chance.random() < 0.5 else []
    for pocket in range(chance.randint(1, 4)):
        name = f"{panel} pocket {pocket}"
        coarse = chance.randrange(len(tools["mill"]))
        rough = _add(case, setup, f"{name} rough", tools["mill"][coarse], skim)
        kind = chance.choice(["mill", "ball"])
        fine = chance.choice(tools[kind])
        floor = _add(case, setup, f"{name} finish", fine, [rough])
        if chance.random() < 0.4:
            _add(case, setup, f"{name} bolt hole", chance.choice(tools["drill"]), [floor])
    spot = [_add(case, setup, f"{panel} spot", tools["drill"][-1], skim)] if chance.random() < 0.3 else []
    for dowel in range(chance.randint(2, 4)):
        _add(case, setup, f"{panel} dowel {dowel}", tools["drill"][0], spot or skim)


def _outer_face(case, chance, tools, panel, setup, holes):
    """Grounds lowered, what stands on them, relief, the edge profile, through holes, and the cut-out last."""
    everything, full_vacuum = [], list(holes)
    if chance.random() < 0.5:
        full_vacuum = [_add(case, setup, f"{panel} face skim", tools["mill"][0], holes)]
    for region in range(chance.randint(2, chance.choice([4, 7, 11]))):
        everything += _region(case, chance, tools, f"{panel} region {region}", setup, full_vacuum)
    if chance.random() < 0.4:
        rough = _add(case, setup, f"{panel} relief rough", chance.choice(tools["mill"]), full_vacuum)
        level = _add(case, setup, f"{panel} relief finish", chance.choice(tools["ball"]), [rough])
        everything.append(_add(case, setup, f"{panel} relief detail", chance.choice(tools["ball"]), [level]))
    profile = [_add(case, setup, f"{panel} edge", chance.choice(tools["edge"]), everything)]
    if chance.random() < 0.3:
        profile.append(_add(case, setup, f"{panel} edge groove", chance.choice(tools["groove"]), profile))
    if chance.random() < 0.3:
        everything.append(
            _add(case, setup, f"{panel} through hole", chance.choice(tools["drill"]), everything)
        )
    _add(case, setup, f"{panel} cut-out", chance.choice(tools["mill"]), everything + profile)


def _region(case, chance, tools, name, setup, first):
    """The ground from coarse to fine, then what stands on it."""
    steps = sorted(chance.sample(range(len(tools["mill"])), min(chance.randint(1, 3), len(tools["mill"]))))
    for step in steps:
        first = [_add(case, setup, f"{name} ground {step}", tools["mill"][step], first)]
    made = list(first)
    for kind, share in (("ball", 0.3), ("vee", 0.7), ("groove", 0.4)):
        if chance.random() < share:
            made.append(_add(case, setup, f"{name} {kind}", chance.choice(tools[kind]), first))
            if chance.random() < 0.3:
                made.append(_add(case, setup, f"{name} {kind} again", chance.choice(tools["vee"]), made[-1:]))
    return made


def _add(case, setup, name, tool, needs=()):
    case.tool_of[name], case.setup_of[name], case.needs[name] = tool, setup, list(needs)
    return name


def chains(words):
    """One operation a letter, each needing the one before it: the shortest common supersequence."""
    case = Case(f"{len(words)} chains", {}, {}, {})
    for row, word in enumerate(words):
        last = []
        for column, tool in enumerate(word):
            last = [_add(case, "hold", f"{row}.{column}", tool, last)]
    return case


def random_chains(seed, *, count, length, tools):
    chance = random.Random(seed)
    letters = "ABCDEFGHIJKLMNOPQRSTUVWX"[:tools]
    return chains(["".join(chance.choice(letters) for _ in range(length)) for _ in range(count)])


def rotations(tools, count):
    letters = "ABCDEFGHIJKLMNOPQRSTUVWX"[:tools]
    return chains([letters[n:] + letters[:n] for n in range(count)])


def all_permutations(tools):
    return chains(["".join(word) for word in permutations("ABCDEFGH"[:tools])])


def layered(seed, *, operations, tools, layers, density):
    """Operations in layers, each needing some of the layer before, as if the reasons were drawn by lot."""
    chance = random.Random(seed)
    case = Case(f"layered {operations}", {}, {}, {})
    rows = [[] for _ in range(layers)]
    for n in range(operations):
        rows[n * layers // operations].append(f"{n}")
    for row, names in enumerate(rows):
        above = rows[row - 1] if row else []
        for name in names:
            needs = [need for need in above if chance.random() < density]
            _add(case, "hold", name, f"T{chance.randrange(tools)}", needs)
    return case


def random_graph(seed):
    """5 to 60 operations of one of the hard kinds or of no kind, in 1 to 3 setups; for comparing optima."""
    chance = random.Random(seed)
    size, tools = chance.randint(5, 60), chance.randint(2, 8)
    kind = seed % 5
    if kind == 0:
        length = chance.randint(3, 8)
        return random_chains(seed, count=max(1, size // length), length=length, tools=tools)
    if kind == 1:
        return rotations(tools, max(1, min(size // tools, tools)))
    if kind == 2:
        words = ["".join(word) for word in permutations("ABCD"[: chance.randint(2, 4)])]
        return chains(chance.sample(words, min(len(words), max(1, size // 4))))
    if kind == 3:
        density = chance.choice([0.1, 0.2, 0.4])
        return layered(seed, operations=size, tools=tools, layers=chance.randint(2, 8), density=density)
    return _any_graph(chance, size, tools)


def _any_graph(chance, size, tools):
    case = Case(f"any {size}", {}, {}, {})
    setups, density = chance.randint(1, 3), chance.choice([0.02, 0.05, 0.1, 0.2])
    setup_of = sorted(chance.randrange(setups) for _ in range(size))
    for n, setup in enumerate(setup_of):
        needs = [f"{m}" for m in range(n) if chance.random() < density and (setup < 2 or setup_of[m] > 0)]
        _add(case, f"hold {setup}", f"{n}", f"T{chance.randrange(tools)}", needs)
    return case


def every_word(letters, length):
    return ["".join(word) for word in product(letters, repeat=length)]
