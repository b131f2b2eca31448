import re
from dataclasses import replace

from signplan.documents.proof_strip import LEFT, MOST_TICKS, WIDE, strip
from signplan.plan import Plan


def bars(plan: Plan) -> list[tuple[str, float, float]]:
    """Class, start and length of every bar."""
    found = re.findall(
        r'<rect class="(s-\w+)" x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', "".join(strip(plan))
    )
    return [(look, float(x), float(wide)) for look, x, wide in found]


def test_the_longest_hold_fills_the_strip_and_bars_are_as_long_as_their_time(plan: Plan) -> None:
    holds = [wide for look, _, wide in bars(plan) if look == "s-wait"]
    longest = max(each.hold.seconds for each in plan.setups)
    assert max(holds) == WIDE - LEFT - 10
    meant = [each.seconds for setup in plan.setups for each in setup.operations]
    drawn = [wide for look, _, wide in bars(plan) if look != "s-wait"]
    scale = max(holds) / longest
    assert len(drawn) == len(meant)
    assert all(abs(wide - seconds * scale) < 0.02 for wide, seconds in zip(drawn, meant, strict=True))


def test_a_new_cutter_has_a_new_shade(plan: Plan) -> None:
    looks = [look for look, *_ in bars(plan) if look != "s-wait"]
    tools = [each.operation.tool for setup in plan.setups for each in setup.operations]
    starts = {sum(len(s.operations) for s in plan.setups[:k]) for k in range(len(plan.setups))}
    for k in range(1, len(tools)):
        if k not in starts:
            assert (looks[k] != looks[k - 1]) == (tools[k] != tools[k - 1])


def test_ticks_are_at_round_minutes_and_never_crowd(plan: Plan) -> None:
    for longer in (1, 7, 60):
        setups = tuple(
            replace(each, hold=replace(each.hold, seconds=each.hold.seconds * longer)) for each in plan.setups
        )
        ticks = re.findall(
            r'<text x="([\d.]+)" y="13"[^>]*>(\d+)', "".join(strip(replace(plan, setups=setups)))
        )
        assert 2 <= len(ticks) <= MOST_TICKS + 1
        scale = (WIDE - LEFT - 10) / max(each.hold.seconds for each in setups)
        assert all(abs(float(x) - LEFT - int(tick) * 60 * scale) < 0.02 for x, tick in ticks)
