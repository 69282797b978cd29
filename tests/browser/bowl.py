"""A deck of which everything is known in closed form, and what a test does at the stage of the falls.

In: nothing. Out: plans, lists of levels, acts on the page. The deck is a bowl: it falls 1 in 50 along both axes to one
place, so that levels, ways of water and lengths are known without the engine.
"""

# A deck of 12 x 8 m between parapets, its only outlet in a corner.
OUTLINE = [[0, 0], [12_000, 0], [12_000, 8_000], [0, 8_000]]
LOW = (8_000, 4_000)


def level_at(x, y):
    """A bowl: 1 in 50 to its low point along both axes, whole mm."""
    return (abs(x - LOW[0]) + abs(y - LOW[1])) // 50


def grid():
    return [(x, y, level_at(x, y)) for x in range(0, 12_001, 2000) for y in range(0, 8_001, 2000)]


def deck(**more):
    return {
        "decks": [{"id": 1, "ring": [{"at": p} for p in OUTLINE]}],
        "outlets": [{"id": 2, "at": [1_000, 1_000], "bowl": 200, "clear_zone": 500}],
        **more,
    }


def with_levels(**more):
    """The deck with its levels already in the plan."""
    spots = [{"id": 100 + n, "at": [x, y], "level": z} for n, (x, y, z) in enumerate(grid())]
    return deck(levels={"spots": spots}, **more)


def as_csv(rows):
    lines = ["point,easting,northing,level,code"]
    lines += [f"{n},{x / 1000:.3f},{y / 1000:.3f},{z / 1000:.3f},DECK" for n, (x, y, z) in enumerate(rows, 1)]
    return "\n".join(lines)


def open_list(roof):
    roof.page.get_by_role("button", name="Levels from a list").click()
    return roof.page.get_by_test_id("levels")


def paste(roof, text):
    """What a clipboard does to the box."""
    roof.page.locator("#levels-text").fill(text)


def read(roof):
    return roof.page.get_by_test_id("levels-read").inner_text()


def take(roof):
    before = roof.board.get_attribute("data-revision")
    roof.page.get_by_test_id("levels-apply").click()
    roof.page.wait_for_function(
        "before => document.querySelector('[data-testid=board]').dataset.revision !== before", arg=before
    )
    roof.wait_laid()


def drag(roof, start, end):
    """Drags what lies at a place of the plan to another."""
    mouse = roof.page.mouse
    mouse.move(*roof.px(*start))
    mouse.down()
    mouse.move(*roof.px(*end), steps=12)
    mouse.up()
    roof.wait_laid()


def spots(plan):
    return sorted((s["at"][0], s["at"][1], s["level"]) for s in plan["levels"]["spots"])
