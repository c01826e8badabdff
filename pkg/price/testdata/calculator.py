"""A second calculator for quotes: reads one case a line as JSON, writes its quote as JSON, in python's decimal.

Written from the rules in words, not from the Go code. Numbers are read as Decimal, so nothing passes a float but the
hours of set-up, which the rules reckon as one.
"""
import json
import sys
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal, getcontext

getcontext().prec = 60
MINOR = {"JPY": 0, "KWD": 3}


def places(n):
    return Decimal(1).scaleb(-n)


def quote(book, order):
    unit = places(MINOR.get(book["currency"], 2))
    lines = []

    def line(code, amount):
        if amount != 0:
            lines.append((code, amount))

    def cost():
        return sum((a for _, a in lines), Decimal(0))

    n = Decimal(order["quantity"])
    hundredths = Decimal("0.01")
    line("garments", n * order["garment_cost"])
    line("spoilage", n * book["spoilage_percent"] * hundredths * order["garment_cost"])
    if not order["kept"]:
        screens = Decimal(order["screens"])
        line("film", Decimal(order["film_m2"]).quantize(places(4), ROUND_CEILING) * book["film_per_m2"])
        line("emulsion", screens * book["emulsion_per_screen"])
        line("screens", screens * book["screen_setup"])
        line("reclaim", screens * book["screen_reclaim"])
    printed_pieces = n * (1 + book["spoilage_percent"] * hundredths)
    for ink in order["inks"]:
        printed = printed_pieces * ink["grams"].quantize(places(5), ROUND_HALF_UP)
        line("ink", (printed + book["screen_charge_g"]) / 1000 * ink["price_per_kg"])
    hours = Decimal(repr(float(order["setup_min"]) / 60)).quantize(places(4), ROUND_CEILING)
    line("press_setup", hours * book["labour_per_hour"])
    if order["prints_per_hour"] > 0:
        each = (book["labour_per_hour"] / order["prints_per_hour"]).quantize(places(6), ROUND_HALF_UP)
        line("press_run", printed_pieces * each)
    line("flash", printed_pieces * order["flashes"] * book["flash_per_print"])
    percents = [m["percent"] for m in book["markups"] if m["from"] <= order["quantity"]]
    line("margin", (percents[-1] if percents else 0) * hundredths * cost())
    line("minimum", max(Decimal(0), book["minimum"].quantize(unit, ROUND_CEILING) - cost()))
    if order["rush"]:
        line("rush", book["rush_percent"] * hundredths * cost())

    total = cost().quantize(unit, ROUND_CEILING)
    shown = [(code, amount.quantize(unit, ROUND_FLOOR)) for code, amount in lines]
    rest = total - sum(amount for _, amount in shown)
    if rest:
        shown.append(("rounding", rest))
    per_piece = (total / n).quantize(unit, ROUND_CEILING)
    return {"lines": [f"{code} {amount}" for code, amount in shown], "total": str(total), "per_piece": str(per_piece)}


for row in sys.stdin:
    case = json.loads(row, parse_float=Decimal)
    money = case["book"]
    for key, value in money.items():
        if isinstance(value, str) and key != "currency":
            money[key] = Decimal(value)
    for markup in money["markups"]:
        markup["percent"] = Decimal(markup["percent"])
    case["order"]["garment_cost"] = Decimal(case["order"]["garment_cost"])
    for ink in case["order"]["inks"]:
        ink["price_per_kg"], ink["grams"] = Decimal(ink["price_per_kg"]), Decimal(ink["grams"])
    print(json.dumps(quote(money, case["order"])))
