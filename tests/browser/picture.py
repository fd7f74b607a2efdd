"""The verdict as a picture, its numbers and dots, the terms explained, and what the page says when it refuses."""

import re

from visit import check, settle, verdict


@check
def the_verdict_is_a_picture(visit):
    """The broken face is whole for a sound weld, bare on one side by the rim's own figures, bare all round for a cold one, with a crater for a hot one."""
    for query, name, bare, words in (
        ("", "sound", 0, "100 % welded"),
        ("?set=tool.tilt%3D3+deg&set=bank.voltage%3D104+V", "one-sided", None, "% welded"),
        ("?fault=loose-tool-terminal", "cold", 48, "% welded"),
        ("?set=bank.voltage%3D200+V", "hot", 0, "a crater"),
        ("?set=bank.voltage%3D40+V", "cold", 0, "not welded"),
    ):
        with visit.page(query) as page:
            assert verdict(page) == name, (query, verdict(page))
            label = page.get_attribute(".faces figure:first-child svg", "aria-label")
            assert words in label, (query, label)
            drawn = page.locator(".bare-rim").count()
            missing = page.locator(".rim.bare").count()
            assert drawn == (missing if bare is None else bare) and (bare is not None or 0 < missing < 48), (query, drawn, missing)


@check
def green_is_for_sound_alone(visit):
    """A sound weld is green; a borderline or one-sided one is amber, in the header of a phone too; a cold one is neither, nor blue as a bar."""
    colour = lambda page, what: page.evaluate("(w) => getComputedStyle(document.querySelector(w)).color", what)
    seen = {}
    for name, query in (("sound", ""), ("borderline", "?set=bank.voltage%3D102+V"), ("one-sided", "?set=tool.tilt%3D3+deg&set=bank.voltage%3D104+V"), ("cold", "?set=bank.voltage%3D70+V")):
        with visit.page(query, wide=390, high=844) as page:
            page.wait_for_selector(".shot")
            assert verdict(page) == ("sound" if name == "borderline" else name), (name, verdict(page))
            seen[name] = colour(page, ".verdict")
            assert colour(page, "#brief") == seen[name], name
            bar = page.evaluate("getComputedStyle(document.querySelector('.bar')).backgroundColor")
            assert seen["cold"] != bar if name == "cold" else True
            page.emulate_media(media="print")
            printed = colour(page, "#brief")
            page.emulate_media(media="screen")
            page.route("**/band", lambda route: route.abort())
            page.reload()
            page.wait_for_selector(".verdict")
            # The band is not known, on paper nothing is green but what is sound.
            seen[name, "open"], seen[name, "printed"] = colour(page, ".verdict"), printed
    assert seen["borderline"] == seen["one-sided"] and len({seen["sound"], seen["borderline"], seen["cold"]}) == 3, seen
    assert seen["sound", "open"] not in (seen["sound"], seen["borderline"]), seen
    assert len({seen[name, "printed"] for name in ("sound", "borderline", "cold")}) == 3, seen


@check
def most_dots_against_the_verdict_are_explained(visit):
    """Where most shots of the band have another verdict than the weld, a sentence says why; elsewhere none does."""
    with visit.page("?fault=loose-tool-terminal") as page:
        page.wait_for_selector(".shot")
        assert "Most of the spread is sound: the catalogue's own values lie at its cold end." in page.inner_text("#sure"), page.inner_text("#sure")
    with visit.page("?set=bank.voltage%3D102+V") as page:
        page.wait_for_selector(".shot")
        assert page.locator(".outvoted").count() == 0


@check
def the_fill_that_decides_is_the_one_shown(visit):
    """Where a tilted stud has melt enough on the mean but not at its rim, the number beside the verdict is that of the rim."""
    with visit.page("?set=tool.tilt%3D4+deg") as page:
        numbers = page.inner_text(".big")
        assert verdict(page) == "cold" and "least rim fill" in numbers and "1.41" not in numbers.split("was")[0], numbers
    with visit.page() as page:
        assert "fill, rim at 1" in page.inner_text(".big")


@check
def a_dot_for_each_shot(visit):
    """There is a dot for each shot of the band, shaped by its verdict, and a label with the counts."""
    with visit.page("?set=bank.voltage%3D102+V") as page:
        page.wait_for_selector(".shot")
        label = page.get_attribute(".band-dots", "aria-label")
        counts = {name: int(n) for n, name in re.findall(r"(\d+) ([a-z-]+)(?=,| of)", label)}
        shots = int(re.search(r" of (\d+) shots", label).group(1))
        assert sum(counts.values()) == shots > 40, label
        shapes = set()
        for name, count in counts.items():
            dots = page.locator(f".band-dots .shot.{name}")
            assert dots.count() == count, (name, count)
            shapes.add(dots.first.get_attribute("d"))
            assert f"{count} {name}" in page.inner_text(".tally")
        assert len(shapes) == len(counts) > 1


@check
def what_is_left_is_said(visit):
    """A change that a sound weld survives says how much of its reserve is gone; one it does not survive says no such thing."""
    with visit.page("?set=bank.voltage%3D105+V") as page:
        assert re.search(r"Still holds, \d+ % of the reserve gone", page.inner_text(".sentence")), page.inner_text(".sentence")
    with visit.page("?set=bank.voltage%3D70+V") as page:
        assert "olds" not in page.inner_text(".sentence")


@check
def terms_explain_themselves(visit):
    """ESR, fill, reserve, witness and forge are explained on hover, on focus and on a tap, in one box that Escape takes away."""
    with visit.page("?fault=loose-tool-terminal") as page:
        page.click("#why > summary")
        assert page.locator(".term").count() >= 4
        for word in ("fill, rim at 1", "reserve", "ESR", "witness", "forge"):
            node = page.locator(".term", has_text=word).last
            node.scroll_into_view_if_needed()
            page.wait_for_timeout(50)
            node.hover()
            assert len(page.inner_text("#bubble")) > 40, word
            page.mouse.move(500, 5)
            assert page.locator("#bubble").is_hidden()
            node.focus()
            assert page.locator("#bubble").is_visible() and node.get_attribute("aria-describedby") == "bubble"
            page.keyboard.press("Escape")
            assert page.locator("#bubble").is_hidden()
            node.click()
            box = page.locator("#bubble").bounding_box()
            assert box["x"] >= 0 and box["x"] + box["width"] <= 1366 and box["y"] >= 0 and box["y"] + box["height"] <= 768, box
            page.keyboard.press("Escape")


@check
def the_rest_waits_behind_why(visit):
    """Ledger, remedy and figures open on request, and stay open when the weld changes."""
    with visit.page("?fault=loose-tool-terminal") as page:
        assert page.locator(".ledger").is_hidden()
        page.click("#why > summary")
        assert page.locator(".ledger").is_visible() and "Remedy" in page.inner_text("#why")
        before = page.inner_text(".big")
        page.fill("#c-bank\\.voltage", "120")
        page.locator("#c-bank\\.voltage").press("Enter")
        settle(page, lambda p: p.inner_text(".big"), before)
        assert page.locator(".ledger").is_visible()


@check
def messages_are_for_a_page(visit):
    """A refused value is told without a command or a frame round it, and covers no control in use."""
    for wide, high in ((1366, 768), (1024, 768), (390, 844)):
        with visit.page(wide=wide, high=high) as page:
            page.refusals = 1
            page.evaluate("for (const d of document.querySelectorAll('#controls details')) d.open = true")
            if page.locator("#rail").is_visible():
                page.click("#rail")
            box = page.locator("#c-lead\\.length")
            box.fill("9000 m")
            box.press("Enter")
            page.wait_for_selector("#message:not([hidden])")
            text = page.inner_text("#message")
            assert "out of bounds" in text and "Did you mean 9 m?" in text, text
            assert not re.search(r"--|\^|\||`|command", text), text
            a, b = page.locator("#message").bounding_box(), box.bounding_box()
            assert a["y"] + a["height"] <= b["y"] or b["y"] + b["height"] <= a["y"] or a["x"] >= b["x"] + b["width"] or b["x"] >= a["x"] + a["width"], (wide, a, b)


@check
def no_number_is_absurd(visit):
    """No number on the page has more than four digits after the point, whatever was changed by however little."""
    for query in ("?set=sheet.centre_mark%3D0.01+mm", "?set=bank.voltage%3D1+V", "?set=lead.length%3D5.001+m", "?fault=loose-clamp"):
        with visit.page(query) as page:
            page.evaluate("for (const d of document.querySelectorAll('#meaning details')) d.open = true")
            found = re.findall(r"\d+\.\d{5,}", page.inner_text("body"))
            assert not found, (query, found)


@check
def base_and_changed_weld_play_side_by_side(visit):
    """On demand base and changed weld are drawn side by side at the same moment, below each other on a phone, and each is named."""
    box = lambda page, what: page.locator(what).bounding_box()
    drawn = lambda page, place: page.inner_html(f"#{place} svg")
    for wide, high in ((1366, 768), (1920, 1080), (360, 760)):
        with visit.page("?fault=loose-tool-terminal", wide=wide, high=high) as page:
            assert not page.is_visible("#twin")
            page.click("#pair")
            twin, own = box(page, "#twin"), box(page, "#drawing")
            if wide > 640:
                assert abs(twin["y"] - own["y"]) < 1 and twin["x"] + twin["width"] <= own["x"], (twin, own)
            else:
                assert twin["y"] + twin["height"] <= own["y"] and abs(twin["x"] - own["x"]) < 1, (twin, own)
            assert min(twin["width"], own["width"]) > 150 and abs(twin["height"] - own["height"]) < 2, (twin, own)
            assert (page.inner_text("#twin-word"), page.inner_text("#drawing-word")) == ("base: sound", "changed: cold")
            # The numbers are of both, none over another, and what is said of the moment is whole.
            numbers = page.locator("#now .before").all_inner_texts()
            assert len(numbers) == 6 and all(text.startswith("base ") for text in numbers), numbers
            assert page.evaluate("[...document.querySelectorAll('#now dd, #moment')].filter((d) => d.scrollWidth > d.clientWidth + 1 || d.scrollHeight > d.clientHeight + 2).map((d) => d.textContent)") == []
            # Both move with the replay, and are not the same weld.
            before = drawn(page, "twin")
            page.locator("#at").focus()
            page.keyboard.press("End")
            page.wait_for_function("(before) => document.querySelector('#twin svg').innerHTML !== before", arg=before)
            assert drawn(page, "twin") != drawn(page, "drawing")
            page.keyboard.press("b")
            assert page.locator("#now .before:visible").count() == 0
            assert not page.is_visible("#twin") and page.get_attribute("#pair", "aria-pressed") == "false"
    with visit.page("") as page:
        assert not page.is_visible("#pair")
        page.keyboard.press("b")
        assert not page.is_visible("#twin")
