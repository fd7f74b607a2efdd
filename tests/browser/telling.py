"""What the page tells beside the weld: how sure the verdict is, what is left of it, the dangers, on any screen."""

import re

from visit import check, settle, verdict


@check
def a_borderline_weld_is_called_so(visit):
    """A weld that the model's constants can turn is called borderline once the hand rests, with the counts, and a sure one is not."""
    with visit.page("?set=bank.voltage%3D102+V") as page:
        assert settle(page, lambda p: p.inner_text("#borderline").strip(), "") == "borderline"
        said = page.inner_text(".tally")
        counts = [int(n) for n in re.findall(r"(\d+) (?!of|shots)[a-z]", said)]
        shots = int(re.search(r" of (\d+) shots", said).group(1))
        assert sum(counts) == shots > 40 and len(counts) > 1, said
        assert verdict(page) == "sound", verdict(page)
        with page.expect_response("**/band"):
            page.fill("#c-bank\\.voltage", "150")
            page.locator("#c-bank\\.voltage").press("Enter")
        page.wait_for_timeout(50)
        assert page.inner_text("#borderline") == ""


@check
def a_verdict_that_most_shots_contradict_names_theirs(visit):
    """A sound weld that is hot in most shots of its band says so beside the word, which is not green."""
    with visit.page("?set=bank.voltage%3D135+V") as page:
        said = settle(page, lambda p: p.inner_text("#borderline").strip(), "")
        assert re.fullmatch(r"but hot in \d+ of 128", said), said
        assert verdict(page) == "sound", verdict(page)
        assert "unsure" in page.get_attribute(".verdict", "class")


@check
def a_slider_does_not_wait_for_the_band(visit):
    """While a slider moves the band is not asked for; it is, once, after the last move."""
    with visit.page("?set=bank.voltage%3D102+V") as page:
        settle(page, lambda p: p.inner_text("#borderline").strip(), "")
        asked = []
        page.on("request", lambda r: asked.append(r.url.rsplit("/", 1)[1]))
        with page.expect_response("**/band"):
            page.evaluate(
                """() => {
                    const slider = document.querySelector(".control:has(#c-bank\\\\.voltage) input[type=range]");
                    for (let k = 0; k < 10; k++) {
                        slider.value = slider.valueAsNumber + 1;
                        slider.dispatchEvent(new Event("input"));
                    }
                }"""
            )
        page.wait_for_timeout(400)
        assert asked.count("band") == 1 and asked[-1] == "band" and asked.count("fire") > 1, asked


@check
def the_reserve_is_shown_beside_that_of_the_base(visit):
    """What is left above fill 1 is one of three numbers, with the base's below it, amber where most of it went."""
    with visit.page() as page:
        last = page.locator(".big > div").last
        assert "was" not in last.inner_text() and re.search(r"reserve\s+\d+ %", last.inner_text()), last.inner_text()
        page.goto(visit.url + "?set=bank.voltage%3D102+V")
        page.wait_for_selector(".big > div.fell:has-text('was')")
        page.goto(visit.url + "?set=bank.voltage%3D111.5+V")
        page.wait_for_selector(".big > div:last-child:not(.fell):has-text('was')")


@check
def leads_that_differ_are_not_shown_as_one(visit):
    """A control for every earth lead says so where one is loose, and sets them all when it is moved."""
    with visit.page("?fault=loose-clamp") as page:
        box = page.locator("#c-earth\\.N\\.clamp")
        each = page.locator(".control:has(#c-earth\\.N\\.clamp) .each")
        assert box.input_value() == "differ" and "earth 0: loose, earth 1: tight" in each.inner_text(), each.inner_text()
        page.click("#why > summary")
        assert 'see "Rim, seen from above"' in page.inner_text(".why"), page.inner_text(".why")
        page.goto(visit.url + "?set=earth.0.length%3D9+m")
        page.wait_for_selector(".verdict")
        assert page.input_value("#c-earth\\.N\\.length") == "differ"
        page.fill("#c-earth\\.N\\.length", "7")
        page.locator("#c-earth\\.N\\.length").press("Enter")
        assert settle(page, lambda p: p.input_value("#c-earth\\.N\\.length"), "7") == "7 m"
        assert page.locator(".control:has(#c-earth\\.N\\.length) .each").is_hidden()


@check
def cautions_lie_over_the_page(visit):
    """The dangers are named on one line; opened in full they move nothing and lie on the screen."""
    with visit.page() as page:
        places = lambda: page.evaluate("['drawing', 'curves', 'scrub', 'left'].map((id) => JSON.stringify(document.getElementById(id).getBoundingClientRect()))")
        line, before = page.inner_text("#cautions > summary"), places()
        for word in ("charge", "arc light", "noise", "fire", "fumes", "magnetic"):
            assert word in line, line
        page.click("#cautions > summary")
        box = page.locator("#cautions ul").bounding_box()
        assert places() == before and box["y"] >= 0 and box["y"] + box["height"] <= 768 and box["x"] >= 0, box


@check
def a_phone_has_all_within_reach(visit):
    """On a phone the head is low and keeps the verdict in sight, the buttons wait behind one, and the controls follow the stage."""
    with visit.page("?fault=loose-tool-terminal", wide=390, high=844) as page:
        box = lambda what: page.locator(what).bounding_box()
        assert box("header")["height"] < 80, box("header")
        assert 0 <= box("#controls")["y"] - box("#stage")["y"] - box("#stage")["height"] < 20
        words = page.evaluate("[...document.querySelectorAll('#drawing text')].map((t) => t.textContent)")
        assert any(w.startswith("stud ") for w in words) and any(w.startswith("sheet ") for w in words), words
        assert page.locator("#lessons-open").is_hidden()
        page.click("#menu")
        page.click("#lessons-open")
        page.wait_for_selector("#lesson h2")
        assert page.locator("#lessons-open").is_hidden()
        page.evaluate("scrollTo(0, document.body.scrollHeight)")
        assert box("#brief")["y"] >= 0 and page.inner_text("#brief").startswith("sound")
