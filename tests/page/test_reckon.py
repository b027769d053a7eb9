"""What is reckoned while values change, against the formulas of textbooks; and what a treadled clip gives."""

from typing import Any

import pytest
from starlette.testclient import TestClient

from whirlwise.calc.yarn_facts import TWIST_USES
from whirlwise.cli.page.screens.reckon import USES
from whirlwise.cli.page.state import State
from whirlwise.cli.page.tasks import reckon
from whirlwise.cli.page.tasks.contents import without_styles
from whirlwise.cli.trouble import WrongUsageError

Json = dict[str, Any]
GIVEN = {
    "ratios": "large=6.0, 9.0, small=12.5",
    "cadence": "60",
    "drafting": "250",
    "yarn": "250",
    "plies": "2",
    "use": "wool knitting",
    "length": "400",
}


def quiet(what: str, share: float) -> None: ...


def reckoned(units: str = "metric", **given: str) -> Json:
    return reckon.run({"given": {**GIVEN, **given}, "units": units, "drawn": False}, quiet)


def test_twist_is_ratio_times_cadence_over_drafting() -> None:
    rows = reckoned()["sections"][1]["tables"][0]["rows"]
    assert [row[0] for row in rows] == ["large", "9.0", "small"]
    twists = [float(row[1].split()[0]) for row in rows]
    assert twists == pytest.approx([ratio * 60 / 250 for ratio in (6.0, 9.0, 12.5)], abs=0.006)


def test_a_decimal_comma_is_not_taken_for_two_ratios_in_silence() -> None:
    with pytest.raises(WrongUsageError, match=r"^12,5 may be one ratio or two. Write one as 12\.5, and two"):
        reckoned(ratios="small=12,5")
    for typed, ratios in {"6, 9, 12": 3, "6.0,9.0,12.5": 3, "6; 9": 2, "12.5": 1}.items():
        assert len(reckoned(ratios=typed)["sections"][1]["tables"][0]["rows"]) == ratios


@pytest.mark.parametrize("plies", ["0", "2.5", "20", "two", "\u00b2"])
def test_plies_are_counted(plies: str) -> None:
    with pytest.raises(WrongUsageError, match="whole number from 1 to 12"):
        reckoned(plies=plies)


def test_both_units_mean_the_same() -> None:
    """An inch is 25.4 mm and a yard 0.9144 m (international, 1959), a pound 453.59237 g."""
    metric = reckoned()
    fields = metric["fields"]["imperial"]
    assert float(fields["drafting"]) == pytest.approx(250 / 2.54, rel=1e-3)
    assert float(fields["length"]) == pytest.approx(400 / 0.9144, rel=1e-3)
    assert float(fields["yarn"]) == pytest.approx(250 / 0.9144 * 4.5359237, rel=1e-3)
    assert not any("." in each and each.endswith(("0", ".")) for each in fields.values())
    imperial = reckoned("imperial", **fields)
    assert imperial["sections"][0]["sentences"] == metric["sections"][0]["sentences"]
    hours = [
        float(each["sections"][3]["sentences"][0].split(" take ")[1].split()[0])
        for each in (metric, imperial)
    ]
    assert hours[0] == pytest.approx(hours[1], rel=2e-3)


def test_nobody_is_told_to_type_an_option() -> None:
    assert "--" not in str([[s["sentences"], s["points"]] for s in reckoned()["sections"]]).replace("---", "")


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        ("cadence", "quick", "The turns of the wheel a minute got 'quick'"),
        ("drafting", "", "The yarn made in a minute got ''"),
        ("drafting", "fast", "The yarn made in a minute got 'fast'"),
        ("yarn", "-3", "The finished yarn got '-3m/100g'"),
        ("ratios", "", "There is no whirl to reckon with; type a ratio"),
    ],
)
def test_a_field_that_cannot_be_meant_is_named(name: str, text: str, sentence: str) -> None:
    with pytest.raises(WrongUsageError) as told:
        reckoned(**{name: text})
    assert str(told.value).startswith(sentence)


def test_what_can_be_chosen_is_known() -> None:
    known = {f"{each.fibre} {each.use}" for each in TWIST_USES}
    assert set(USES) <= known


def test_drawings_bring_no_style_of_their_own() -> None:
    drawn = reckon.run({"given": GIVEN, "units": "metric"}, quiet)["sections"]
    for section in drawn[:2]:
        assert "<title" in section["drawing"]
        assert "<desc" in section["drawing"]
        assert "style" not in section["drawing"]


def test_a_style_becomes_attributes() -> None:
    shown = without_styles('<svg><g style="fill: none; stroke: #123"><path /></g></svg>')
    assert shown == '<svg><g fill="none" stroke="#123"><path /></g></svg>'


def test_the_screen_begins_with_a_kept_wheel(browser: TestClient, state: State) -> None:
    wheel = state.wheels.begin("attic")
    page = browser.get(f"/reckon?wheel={wheel.id}").text
    assert f'<option value="{wheel.id}" selected>attic</option>' in page
    assert browser.get("/reckon?wheel=../../etc").status_code == 200


@pytest.mark.parametrize("address", ["/rhythm", "/practice", "/reckon", "/wheels"])
def test_screens_open(browser: TestClient, address: str) -> None:
    assert browser.get(address).status_code == 200


def test_a_clip_that_is_not_kept(browser: TestClient) -> None:
    assert browser.get("/rhythm/0123456789abcdef").status_code == 404
