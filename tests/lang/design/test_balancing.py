"""The balance: sums that hold whatever weighs, where loads slide, what ballast brings, and what is said of it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

USUAL = "load motor { mass = 90 g, at = -20 mm }\nload receiver { mass = 12 g, at = 160 mm }\n"
BATTERY = "load battery { mass = 180 g, at = 10 mm to 85 mm }\n"
# (310 g at 140, 95 at 620, 150 at -60, 120 at 90) to 118 from -80: geometry's worked case, 123.484848 g.
NOSE = (
    "load motor { mass = 150 g, at = -60 mm }\nload battery { mass = 310 g, at = 140 mm }\n"
    "load receiver { mass = 120 g, at = 90 mm }\nload tail { mass = 95 g, at = 620 mm }\n"
)

masses = st.floats(0.5, 500).map(lambda mass: round(mass, 3))
places = st.floats(-900, 900).map(lambda x: round(x, 3))
points = st.tuples(masses, places, places, places)
loads = st.lists(points, min_size=1, max_size=6)


def written(found, dx=0.0):
    """Loads as text; the first three are a motor, a battery and a receiver."""
    names = ("motor", "battery", "receiver", "servo_a", "servo_b", "servo_c")
    return "".join(
        f"load {name} {{ mass = {mass:.3f} g, at = ({x + dx:.3f} mm, {y:.3f} mm, {z:.3f} mm) }}\n"
        for name, (mass, x, y, z) in zip(names, found, strict=False)
    )


# -- sums -----------------------------------------------------------------------------------------


@given(loads)
def test_mass_is_additive_and_the_balance_is_the_mean_place(built, found):
    model = built(written(found))
    mass = sum(each[0] for each in found)
    assert model.value("test.mass") == pytest.approx(mass, rel=1e-12)
    for axis, name in enumerate(("balance_x", "balance_y", "balance_z"), 1):
        mean = sum(each[0] * each[axis] for each in found) / mass
        assert model.value(f"test.{name}") == pytest.approx(mean, rel=1e-9, abs=1e-9)


@given(loads, st.floats(-400, 400).map(lambda x: round(x, 3)))
def test_what_moves_all_moves_the_balance_by_as_much(built, found, by):
    here, there = built(written(found)), built(written(found, by))
    moved = there.value("test.balance_x") - here.value("test.balance_x")
    assert moved == pytest.approx(by, abs=1e-8)
    for name in ("mass", "balance_y", "balance_z"):
        assert there.value(f"test.{name}") == pytest.approx(here.value(f"test.{name}"), abs=1e-9)


@given(st.floats(20, 90), st.floats(10, 60), st.floats(40, 200), st.floats(-80, 80))
def test_mirrored_halves_balance_on_the_centre_line(built, width, height, y, z):
    model = built(
        f"panel e {{ outline = polygon[(0, 0), ({width:.2f}, 0), (5, {height:.2f})] mm, stock = board, view = top\n"
        f"hand = both, place = (3 mm, {y:.2f} mm, {z:.2f} mm) }}\n"
    )
    left, right = (part.properties.centroid for part in model.design.parts)
    assert left[1] == pytest.approx(-right[1])
    assert model.value("test.balance_y") == pytest.approx(0, abs=1e-9)
    assert model.value("test.balance_x") == pytest.approx(right[0])


# -- ballast and what slides ------------------------------------------------------------------------


def test_ballast_in_the_nose(built):
    found = built(NOSE + "balance { target = 118 mm, ballast_at = -80 mm }\n")
    # -80 mm lies ahead of the motor, the foremost thing here.
    assert found.warnings == ["ballast-outside"]
    assert found.value("balance.ballast") == pytest.approx(123.484848, abs=1e-6)
    assert found.value("balance.before") == pytest.approx((310 * 140 + 95 * 620 - 150 * 60 + 120 * 90) / 675)
    assert found.value("balance.after") == found.value("test.balance_x") == 118
    assert found.value("test.mass") == pytest.approx(675 + 123.484848, abs=1e-6)


@given(st.lists(points, min_size=3, max_size=6), places, places)
def test_ballast_brings_the_balance_to_its_target(judged, found, target, at):
    model = judged(written(found) + f"balance {{ target = {target:.3f} mm, ballast_at = {at:.3f} mm }}\n")
    if abs(target - at) < 1:
        assert model.errors == [] or model.errors == ["ballast-at-target"]
        return
    assert model.errors == [], model.said
    entries = model.design.weighed.entries
    mass = sum(entry.mass for entry in entries)
    balance = sum(entry.mass * entry.at[0] for entry in entries) / mass
    assert model.value("test.mass") == pytest.approx(mass)
    assert model.value("test.balance_x") == pytest.approx(balance, abs=1e-6)
    ballast, before = model.value("balance.ballast"), model.value("balance.before")
    if ballast > 0:
        assert balance == pytest.approx(target, abs=1e-6)
        assert (before - target) * (target - at) > 0
    else:
        assert (before - target) * (target - at) <= 1e-4 * abs(target - at)
        assert ("balance-missed" in model.warnings) == (abs(before - target) > 1e-6)


@given(masses, st.floats(0, 100), st.floats(1, 100), places)
def test_a_load_slides_to_the_target_or_to_an_end(judged, mass, low, room, target):
    ends = (round(low, 3), round(low + room, 3))
    text = f"load battery {{ mass = {mass:.3f} g, at = {ends[0]:.3f} mm to {ends[1]:.3f} mm }}\n"
    model = judged(USUAL + text + f"balance {{ target = {target:.3f} mm }}\n")
    assert model.errors == []
    at = model.value("balance.slide")
    free = ((102 + mass) * target - (90 * -20 + 12 * 160)) / mass
    assert at == model.value("battery.x") == pytest.approx(min(max(free, ends[0]), ends[1]), abs=1e-6)
    reached = ends[0] - 1e-6 <= free <= ends[1] + 1e-6
    assert ("balance-missed" in model.warnings) != reached


def test_the_heaviest_slides_first_and_ballast_comes_last(built):
    def model(target):
        text = (
            BATTERY
            + "load receiver { mass = 20 g, at = 100 mm to 200 mm }\nload motor { mass = 90 g, at = -20 mm }\n"
        )
        return built(text + f"balance {{ target = {target} mm, ballast_at = 200 mm }}\n")

    near = model(40)
    assert near.value("receiver.x") == 150  # stays in the middle of its range
    assert near.value("battery.x") == pytest.approx((290 * 40 + 1800 - 3000) / 180)
    far = model(58)
    assert far.value("battery.x") == 85
    assert far.value("receiver.x") == pytest.approx((290 * 58 + 1800 - 180 * 85) / 20)
    assert far.value("balance.ballast") == 0
    farthest = model(62)
    assert (farthest.value("battery.x"), farthest.value("receiver.x")) == (85, 200)
    assert farthest.value("balance.ballast") == pytest.approx((290 * 62 + 1800 - 180 * 85 - 4000) / 138)
    assert farthest.value("balance.slide") == 85


def test_a_target_that_is_a_range_is_met_anywhere_in_it(built):
    def model(target):
        return built(NOSE + f"balance {{ target = {target}, ballast_at = -60 mm }}\n")

    before = model("154 mm").value("balance.before")
    assert model("140 mm to 160 mm").value("balance.ballast") == 0
    assert model("140 mm to 160 mm").value("balance.after") == before == pytest.approx(154.2222222)
    assert model("100 mm to 118 mm").value("balance.after") == 118  # the end that is nearer


def test_without_a_balance_what_slides_stays_in_the_middle(built):
    found = built(BATTERY)
    assert found.value("battery.x") == found.value("test.balance_x") == 47.5


# -- how well it is known -----------------------------------------------------------------------------


def test_uncertain_masses_and_places_are_carried(built):
    found = built(
        "load motor { mass = 90 ± 3 g, at = -20 ± 1 mm }\nload battery { mass = 180 g, at = 50 mm }\n"
        "load receiver { mass = 12 g, at = 160 mm }\nbalance { target = 20 mm, ballast_at = -20 mm }\n"
    )
    spread = found.design.solution.plus_minus
    assert spread("test.mass") is not None
    before = found.value("balance.before")
    by_mass, by_place = 3 * (-20 - before) / 282, 90 / 282
    assert spread("balance.before") == pytest.approx(
        ((by_mass**2 + by_place**2) ** 0.5, abs(by_mass) + abs(by_place))
    )
    # m = (S - M t) / (t - x): 3 g of motor are 3 g of ballast less, in the same place.
    rss, worst = spread("balance.ballast")
    assert worst == pytest.approx(3 + 90 / 40, rel=1e-6)
    assert rss == pytest.approx((9 + (90 / 40) ** 2) ** 0.5, rel=1e-6)
    assert spread("balance.after") is None  # that is where it is brought to


# -- names ------------------------------------------------------------------------------------------


def test_the_whole_can_stand_in_a_require_and_in_a_let(built, judged):
    text = USUAL + BATTERY + "let share = test.mass / 2\nlet twice = 2 * share\n"
    found = built(text + "require twice == test.mass\nrequire battery.x > 40 mm\n")
    assert found.value("twice") == 282
    broken = judged(text + 'require test.mass < 200 g else "too heavy"\n')
    assert broken.the("requirement").message == "too heavy: 282 g is not < 200 g; the difference is 82 g"


@pytest.mark.parametrize("at", ["battery.x", "test.balance_x", "behind_it"])
def test_no_part_is_made_by_means_of_the_whole(judged, at):
    text = USUAL + BATTERY + "let behind_it = test.balance_x + 9 mm\n"
    found = judged(text + f"former F2 {{ at = {at}, stock = board, outline = circle(80 mm) }}\n")
    assert found.errors == ["known-last"]
    assert found.underlined("known-last") == f"at = {at}"


def test_a_place_behind_a_mean_chord(built, judged):
    wing = "panel wing { outline = rect(9 mm, 9 mm), stock = board, place = (0 mm, 0 mm, 0 mm), let mean_chord = 180 mm\n"
    text = USUAL + BATTERY + wing

    def target(value):
        found = built(text + f"let mean_chord_x = 10 mm }}\nbalance {{ target = behind(wing, {value}) }}\n")
        wanted = found.design.weighed.wanted
        return wanted.low, wanted.high

    assert target("30 %") == pytest.approx((64, 64))
    assert target("distance = 30 mm") == pytest.approx((40, 40))
    assert judged(text + "}\nbalance { target = behind(wing, 30 %) }\n").errors == ["unknown-name"]
    assert judged(text + "}\nbalance { target = behind(30 mm, 30 %) }\n").errors == ["wrong-arguments"]
    assert judged(text + "let mean_chord_x = 1 mm }\nbalance { target = behind(wing, 3 g) }\n").errors == [
        "unit-mismatch"
    ]


# -- what is said -------------------------------------------------------------------------------------


def test_what_has_no_place_is_an_error_only_where_there_is_a_balance(judged):
    panel = "panel tray { outline = rect(60 mm, 40 mm), stock = board }\n"
    stack = "stack pod { stock = board\n barrel a { diameter = 90 mm, length = 30 mm }\n barrel b { length = 30 mm }\n}\n"
    assert judged(panel + stack).said == []
    loaded = judged(panel + stack + USUAL)
    assert (loaded.errors, loaded.warnings) == ([], ["no-place", "no-place"])
    found = judged(panel + stack + USUAL + BATTERY + "balance { target = 20 mm }\n")
    assert found.errors == ["no-place", "no-place"]
    accepted = judged(panel.replace("}", ', accept no-place because "a jig" }') + USUAL)
    assert (accepted.errors, accepted.warnings) == ([], [])


def test_what_is_missing_among_the_loads_is_named(judged):
    def said(text):
        found = judged(text + "balance { target = 20 mm }\n")
        return [f.message for f in found.findings if f.code == "loads-missing"]

    assert said(USUAL + BATTERY) == []
    assert said(USUAL) == ["this balance counts no battery among its loads"]
    assert said('load power { title = "Motor, 35 mm", mass = 90 g, at = 0 mm }\n') == [
        "this balance counts no battery and no receiver among its loads"
    ]
    assert said("") == []  # nothing at all: an error of its own
    assert judged("balance { target = 20 mm }\n").errors == ["no-mass"]


def test_a_missed_target_says_what_weight_would_do(judged):
    found = judged(USUAL + BATTERY + "balance { target = 60 mm, ballast_at = -20 mm }\n").the(
        "balance-missed"
    )
    needed = (282 * 60 - (90 * -20 + 12 * 160 + 180 * 85)) / (160 - 60)
    assert f"{needed:g} g at the tail, 160 mm" in found.help
    assert "balances 5.319 mm ahead of its target" in found.message
    assert "further away" in found.message
    # and that weight does
    fixed = judged(USUAL + BATTERY + "balance { target = 60 mm, ballast_at = 160 mm }\n")
    assert fixed.said == []
    assert fixed.value("balance.ballast") == pytest.approx(needed)


def test_ranges_run_aft(judged):
    text = USUAL + "load battery { mass = 180 g, at = 85 mm to 10 mm }\n"
    assert judged(text).errors == ["range-backwards"]
    target = USUAL + BATTERY + "balance { target = 85 mm to 10 mm }\n"
    assert judged(target).errors == ["range-backwards"]


def test_parts_alone_have_no_balance(compiled):
    from ringwright.lang.pipeline import compile_spec

    text = (
        'model test { title = "Test" }\nstock board { kind = foamboard, thickness = 5 mm, sheet = 700 mm by 500 mm, mass = 400 g/m2 }\n'
        "former F2 { at = 0 mm, stock = board, outline = rect(200 mm, 100 mm) }\nbalance { target = 60 mm }\n"
        "require test.mass > 900 g\n"
    )
    found = compile_spec("main.wright", lambda _: text.encode(), ["F2"])
    assert found.findings == ()
    assert found.design.weighed is None


def test_a_load_slides_along_a_line(built):
    """From low in the nose to high behind: where it balances it is as high as the line is there."""
    text = USUAL + "load battery { mass = 180 g, at = (10 mm, 4 mm, -30 mm) to (90 mm, 4 mm, 10 mm) }\n"
    middle = built(text)
    assert [middle.value(f"battery.{axis}") for axis in "xyz"] == [50, 4, -10]
    found = built(text + "balance { target = 30 mm }\n")
    at = (30 * 282 + 90 * 20 - 12 * 160) / 180
    assert found.value("battery.x") == pytest.approx(at)
    assert found.value("battery.z") == pytest.approx(-30 + (at - 10) / 2)
    assert found.value("test.balance_z") == pytest.approx(180 * found.value("battery.z") / 282)
    assert found.value("test.balance_y") == pytest.approx(180 * 4 / 282)


BODY = """
offsets hull {{
    section = box
    | station | x [mm] | half [mm] | top [mm] | bottom [mm] |
    | A       | {0} | 33 | 34 | -37 |
    | B       | {1} | 37 | 36 | -43 |
    | C       | {2} | 20 | 30 | -30 |
}}
body shell {{ offsets = hull, stock = board }}
saddle seat {{ outline = rect(60 mm, 12 mm), place = ({3} mm, 0 mm, -40 mm) }}
strip spruce {{ section = 5 mm by 5 mm, length = 1 m, density = 450 kg/m3, piece rail {{ along = hull.top }} }}
"""


@given(st.integers(-300, 300))
def test_a_body_moved_moves_its_balance_by_as_much(built, by):
    here, there = (built(BODY.format(*(x + dx for x in (0, 90, 200, 100)))) for dx in (0, by))
    assert there.value("test.mass") == pytest.approx(here.value("test.mass"), rel=1e-9)
    moved = there.value("test.balance_x") - here.value("test.balance_x")
    assert moved == pytest.approx(by, abs=1e-6)
    for name in ("balance_y", "balance_z"):
        assert there.value(f"test.{name}") == pytest.approx(here.value(f"test.{name}"), abs=1e-6)
    assert here.value("test.balance_y") == pytest.approx(0, abs=1e-9)
