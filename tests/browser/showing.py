"""The ribbon of the joules, the axes of the curves, and the page on a projector."""

import re

from visit import check, quiet

# Smallest letters on a projector, as a share of the picture's height; their box is 1.17 times as high.
READABLE = 0.025

LETTERS = """() => {
    const out = [];
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
        const text = walk.currentNode;
        const inside = text.parentElement.closest("script, style, noscript, datalist, option");
        if (!text.textContent.trim() || inside || !text.parentElement.checkVisibility({ checkVisibilityCSS: true })) continue;
        const range = document.createRange();
        range.selectNodeContents(text);
        for (const box of range.getClientRects()) out.push([text.textContent.trim(), box.left, box.top, box.right, box.bottom]);
    }
    return out;
}"""


def joules(text):
    """The number of '92 J'."""
    return float(re.match(r"([\d.]+) J", text).group(1))


@check
def the_joules_flow(visit):
    """The ribbon's losses and what reaches the faces add up to the bank, at each width."""
    for wide, high in ((360, 760), (1366, 768), (1920, 1080)):
        with visit.page("?fault=loose-tool-terminal", wide=wide, high=high) as page:
            values = [joules(text) for text in page.locator("#flow .parts b").all_inner_texts()]
            stored, parts = values[0], values[1:]
            # Each is told to a joule, or to a tenth.
            assert abs(stored - sum(parts)) <= 0.5 * len(values), values
            assert "tool terminal" in page.inner_text("#flow .parts .lit")


@check
def the_ribbon_fills_with_the_replay(visit):
    """Before the trigger no joule is on its way; at the end each loss has the width of the ledger."""
    with visit.page() as page:
        shapes = lambda: page.evaluate("[...document.querySelectorAll('#flow path.lost, #flow path.useful')].map((p) => p.getAttribute('d'))")
        page.focus("#at")
        page.keyboard.press("Home")
        assert not any(shapes())
        page.keyboard.press("End")
        ends = page.evaluate("[...document.querySelectorAll('#flow .ghost-band')].map((p) => p.getAttribute('d'))")
        numbers = lambda paths: [float(x) for d in paths for x in re.findall(r"[\d.]+", d)]
        for a, b in zip(numbers(shapes()), numbers(ends), strict=True):
            assert abs(a - b) < 0.05, (a, b)


@check
def a_part_opens_its_control(visit):
    """A tap on a loss leads to the control that changes it, however it is folded away."""
    with visit.page() as page:
        page.locator("#flow button", has_text="in the bank").click()
        assert page.evaluate("document.activeElement.id") == "c-bank.esr"
        assert page.locator("#c-bank\\.esr").is_visible()


@check
def curves_have_axes(visit):
    """The time axis begins at 0 and says its unit; each strip says a round value."""
    with visit.page() as page:
        ticks = page.locator("#curves .tick").all_text_contents()
        assert "0" in ticks and any(t.endswith(" ms") for t in ticks), ticks
        assert "5 kA" in ticks and any(t.endswith(" mm") for t in ticks), ticks


@check
def it_is_read_from_the_last_row(visit):
    """On a projector no letter is smaller than 2.5 % of the height, nothing is cut off, and Escape ends it."""
    for wide, high in ((1024, 768), (1920, 1080)):
        for query in ("", "?fault=loose-tool-terminal", "?fault=one-earth-lead-off", "?fault=long-leads"):
            with visit.page(query, wide=wide, high=high) as page:
                page.keyboard.press("p")
                page.wait_for_timeout(300)
                quiet(page)
                for text, left, top, right, bottom in page.evaluate(LETTERS):
                    assert bottom - top >= 1.17 * READABLE * high - 1, (wide, text, bottom - top)
                    assert left >= -1 and top >= -1 and right <= wide + 1 and bottom <= high + 1, (wide, text)
                told, card = (page.locator(what).bounding_box() for what in (".sentence", "#meaning"))
                assert told["y"] + told["height"] <= card["y"] + card["height"], (wide, query, told, card)
                assert page.locator("#controls").is_hidden() and page.locator("#present").is_hidden()
                page.keyboard.press("Escape")
                page.wait_for_timeout(200)
                assert page.locator("#present").is_visible()
