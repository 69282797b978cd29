"""The days on the screen: as many rows as there are days, each with its bays, each bay selected from its row.

In: the built site. Out: what the table says against what the layout of the command line's engine would say is judged
elsewhere; here the page is held against its own layout, at a desk and on a phone.
"""

import re

import pytest


@pytest.mark.parametrize("width, height, touch", [(1440, 900, False), (390, 844, True)])
def test_days_are_listed_with_their_bays(open_roof, width, height, touch):
    roof = open_roof(width=width, height=height, touch=touch)
    roof.stage("days")
    page = roof.page
    page.get_by_test_id("days").wait_for(state="attached")
    said = page.get_by_test_id("days-sum").inner_text()
    days, bays = map(int, re.match(r"(\d+) days, (\d+) bays", said).groups())
    rows = page.get_by_test_id("days").locator("tbody tr")
    assert rows.count() == days
    listed = [int(re.match(r"\d+", text).group()) for text in page.get_by_test_id("days").locator("tbody button").all_inner_texts()]
    assert listed == list(range(1, bays + 1)), "every bay once, in the order they are poured"
    assert bays == roof.ledger("bays")
    assert "examples" in page.get_by_test_id("days-examples").inner_text(), "rates that nobody gave are named as examples"


def test_a_bay_is_selected_from_its_day(open_roof):
    roof = open_roof()
    roof.stage("days")
    button = roof.page.get_by_test_id("days").locator("tbody button").nth(1)
    button.click()
    assert button.get_attribute("aria-pressed") == "true"
    assert "Bay 2" in roof.page.locator("aside").first.inner_text()
