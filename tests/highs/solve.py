"""Solves buying tasks with HiGHS: one JSON task a line in, `cost N` a line out.

The model is written from the terms of sale (breaks, packs, lots, least orders,
postage), not from the tables that the optimiser under test works on.
"""

import json
import sys

import highspy

INFINITE = highspy.kHighsInf


class Model:
    """A mixed-integer program under construction."""

    def __init__(self):
        self.highs = highspy.Highs()
        self.highs.setOptionValue("output_flag", False)
        self.highs.setOptionValue("mip_rel_gap", 0.0)
        self.highs.setOptionValue("mip_abs_gap", 1e-6)
        self.highs.setOptionValue("threads", 1)
        self.count = 0

    def whole(self, cost, most):
        """A whole variable from zero to `most`."""
        self.highs.addVar(0.0, most)
        self.highs.changeColCost(self.count, cost)
        self.highs.changeColIntegrality(self.count, highspy.HighsVarType.kInteger)
        self.count += 1
        return self.count - 1

    def row(self, least, most, terms):
        """least <= sum of coefficient times variable <= most."""
        merged = {}
        for variable, coefficient in terms:
            merged[variable] = merged.get(variable, 0) + coefficient
        self.highs.addRow(least, most, len(merged), list(merged), list(merged.values()))

    def least_cost(self):
        self.highs.run()
        status = self.highs.getModelStatus()
        assert status == highspy.HighsModelStatus.kOptimal, status
        return self.highs.getInfo().objective_function_value


def solve(task):
    model = Model()
    sellers = [model.whole(postage, 1) for postage in task["postage"]]
    served = [[] for _ in task["lines"]]
    for wish in task["wishes"]:
        choices = []
        for line in wish["lines"]:
            choice = model.whole(0, 1)
            choices.append((choice, 1))
            served[line].append((choice, wish["pieces"]))
        model.row(1, 1, choices)
    for line, draws in zip(task["lines"], served):
        if draws:
            offer(model, task, line, draws, sellers[line["seller"]])
    return model.least_cost()


def offer(model, task, line, draws, seller):
    used = model.whole(task["line_worth"], 1)
    model.row(0, INFINITE, [(seller, 1), (used, -1)])
    for choice, _ in draws:
        model.row(0, INFINITE, [(used, 1), (choice, -1)])
    breaks, pack = line["breaks"], max(line["pack"], 1)
    sizes = [start for start, _ in breaks] + [count for count, _ in line["lots"]]
    most = 2 * max([sum(p for _, p in draws), line["least"], *sizes]) + 2 * pack
    came, tiers = [], []
    for index, (start, each) in enumerate(breaks):
        last = breaks[index + 1][0] - 1 if index + 1 < len(breaks) else most
        tier = model.whole(0, 1)
        packs = model.whole(each * pack, most)
        model.row(0, INFINITE, [(packs, pack), (tier, -start)])
        model.row(-INFINITE, 0, [(packs, pack), (tier, -last)])
        tiers.append((tier, 1))
        came.append((packs, pack))
    if tiers:
        model.row(-INFINITE, 0, [*tiers, (used, -1)])
    for count, price in line["lots"]:
        lots = model.whole(price, most)
        model.row(0, INFINITE, [(used, most), (lots, -1)])
        came.append((lots, count))
    model.row(0, INFINITE, [*came, *((choice, -pieces) for choice, pieces in draws)])
    model.row(0, INFINITE, [*came, (used, -line["least"])])


for text in sys.stdin:
    # HiGHS prints its licence between.
    print("cost", round(solve(json.loads(text))), flush=True)
