"""The weld as it is shown: replay, verdict, events, files taken away, on any screen."""

import csv
import io
import pathlib
import re
import tempfile
import tomllib
import xml.etree.ElementTree as ElementTree

from axe_playwright_python.sync_playwright import Axe

from visit import check, settle, taken, verdict


@check
def the_replay_plays(visit):
    """The replay plays, stops, steps from event to event and goes by the keyboard."""
    with visit.page() as page:
        at = lambda p: float(p.input_value("#at"))
        picture = lambda p: p.inner_html("#drawing")
        begun, drawn = at(page), picture(page)
        page.click("#play")
        assert settle(page, at, begun) > begun
        settle(page, picture, drawn)
        page.click("#play")
        still = at(page)
        page.wait_for_timeout(200)
        assert at(page) == still
        told = lambda p: p.inner_text("#moment").split("ms", 1)[1].strip()
        page.locator("#moment").click()
        page.keyboard.press("Home")
        walked = [told(page).split(":")[0]]
        for _ in range(5):
            page.keyboard.press(".")
            walked.append(told(page).split(":")[0])
        assert walked == ["trigger", "pip yields", "ignition", "diode conducts", "touchdown", "frozen"], walked
        page.click("#before")
        assert told(page).startswith("touchdown"), told(page)
        page.locator("#moment").click()
        page.keyboard.press("ArrowRight")
        assert "touchdown" not in page.inner_text("#moment")
        page.keyboard.press("Home")
        assert page.inner_text("#moment").startswith("0.000 ms")
        page.keyboard.press(" ")
        assert settle(page, at, 0) > 0


@check
def the_cursor_follows_a_pointer(visit):
    """Hovering reads values, pressing moves the replay."""
    with visit.page() as page:
        value = lambda p: p.text_content("#curves .value")
        before, moment = value(page), page.inner_text("#moment")
        box = page.locator("#curves > svg").bounding_box()
        x, y = box["x"] + 0.5 * box["width"], box["y"] + 0.5 * box["height"]
        page.mouse.move(x, y)
        assert value(page) != before and page.inner_text("#moment") == moment
        page.mouse.down()
        page.mouse.move(x + 3, y)
        page.mouse.up()
        assert page.inner_text("#moment") != moment


@check
def a_one_sided_weld_is_not_called_sound_alone(visit):
    """A weld that is filled on the mean but bare on one side, by arc blow or by tilt, is called one-sided; its rim is drawn so."""
    blown = "?set=bank.voltage%3D102+V&set=earth.0.at%3D-60mm,0mm&set=earth.1.at%3D-80mm,10mm"
    tilted = "?set=tool.tilt%3D3+deg&set=bank.voltage%3D104+V"
    for query in (blown, tilted):
        with visit.page(query) as page:
            assert verdict(page) == "one-sided", page.inner_text(".verdict")
            drawn = page.get_attribute(".rim-plan", "aria-label")
            assert "one-sided" in drawn, drawn
            assert page.locator(".rim.bare").count() > 0 < page.locator(".rim.full").count()


@check
def a_sheet_too_thin_is_said(visit):
    """A sound weld on a sheet that is too thin for its stud says so in its headline, on a phone too."""
    with visit.page("?set=sheet.thickness%3D0.4+mm", wide=390, high=844) as page:
        assert "but the sheet is too thin" in page.inner_text(".verdict"), page.inner_text(".verdict")
        assert "sheet is too thin" in page.inner_text("#brief"), page.inner_text("#brief")


@check
def joints_that_part_are_events(visit):
    """A joint's melting and parting are events with names and times; two joints that do the same at once are told together."""
    query = "?set=earth.0.clamp%3Dloose&set=earth.1.clamp%3Dloose&set=joints.tool%3Dloose"
    with visit.page(query) as page:
        marks = page.evaluate("[...document.querySelectorAll('.mark')].map((m) => m.title)")
        for words in ("tool terminal parts", "earth 0 clamp and earth 1 clamp melt"):
            assert any(re.fullmatch(words + r", \d\.\d{3} ms", title) for title in marks), marks
        page.click(".mark[title^='tool terminal parts']")
        assert "tool terminal parts: it arcs until the current ends" in page.inner_text("#moment"), page.inner_text("#moment")
        assert "arcs" in page.text_content("tr:has-text('tool terminal')"), page.text_content(".ledger")
        boxes = [box for box in (m.bounding_box() for m in page.locator(".mark").all() if m.inner_text() != "·")]
        for k, a in enumerate(boxes):
            for b in boxes[k + 1 :]:
                apart = a["x"] + a["width"] <= b["x"] + 0.5 or b["x"] + b["width"] <= a["x"] + 0.5
                assert apart or abs(a["y"] - b["y"]) >= 14, (a, b)


@check
def what_is_not_judged_of_metals_is_said(visit):
    """An unusual pair and aluminium say beside the verdict what is not judged of them, once; so does a changed weld."""
    for query, words, count in (
        ("?set=stud.metal%3Dcopper", "Not a usual pair", 1),
        ("?fault=wrong-metal-setting", "oxide and pores are not judged", 1),
        ("", "not judged", 0),
    ):
        with visit.page(query) as page:
            assert page.inner_text("#meaning").count(words) == count, query


@check
def what_is_taken_away_opens(visit):
    """Every file taken away arrives and opens: table, drawing, picture, case."""
    with visit.page("?set=bank.voltage%3D105+V") as page:
        rows = list(csv.DictReader(io.StringIO(taken(page, "weld.csv").decode())))
        assert len(rows) > 1000 and max(float(r["current_A"]) for r in rows) > 1000
        assert ElementTree.fromstring(taken(page, "weld.svg")).tag.endswith("svg")
        assert taken(page, "weld.png").startswith(b"\x89PNG\r\n")
        case = tomllib.loads(taken(page, "weld.toml").decode())
        assert case["bank"]["voltage"] == "105 V", case["bank"]


@check
def a_replay_plays_from_a_file(visit):
    """The replay taken away plays from a file, without the program, and asks nobody for anything."""
    with tempfile.TemporaryDirectory() as folder:
        file = pathlib.Path(folder) / "weld.html"
        with visit.page("?fault=stiff-slide") as page:
            file.write_bytes(taken(page, "weld.html"))
            live = verdict(page)
        with visit.page(file.as_uri()) as page:
            asked = []
            page.on("request", lambda r: asked.append(r.url))
            assert verdict(page) == live
            assert page.locator("#left").is_hidden() and page.locator("#pin").is_hidden()
            assert page.locator(".curve.ghost").count() > 0
            begun = page.input_value("#at")
            page.click("#play")
            settle(page, lambda p: p.input_value("#at"), begun)
            assert not asked, asked


@check
def it_fits_every_width(visit):
    """Nothing is cut off sideways at 360, 768, 1366 and 1920 px; on a desktop nothing scrolls."""
    for wide, high in ((360, 760), (768, 1024), (1366, 768), (1920, 1080)):
        with visit.page("?fault=loose-tool-terminal", wide=wide, high=high) as page:
            size = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.scrollHeight]")
            assert size[0] <= wide, (wide, size)
            if wide >= 1000:
                assert size[1] <= high, (wide, size)
            outside = page.evaluate(
                """() => [...document.querySelectorAll("#drawing text, #curves text")].filter((t) => {
                    const [a, b] = [t.getBoundingClientRect(), t.ownerSVGElement.getBoundingClientRect()];
                    return t.textContent && (a.left < b.left - 1 || a.right > b.right + 1);
                }).map((t) => t.textContent)"""
            )
            assert not outside, (wide, outside)


@check
def nothing_jumps(visit):
    """The stage, the curves and the controls keep their places while the replay runs and a slider moves."""
    with visit.page() as page:
        places = lambda: page.evaluate(
            "['drawing', 'now', 'curves', 'left', 'meaning'].map((id) => JSON.stringify(document.getElementById(id).getBoundingClientRect()))"
        )
        before = places()
        for share in range(0, 101, 4):
            page.evaluate(
                "(s) => { const bar = document.getElementById('at'); bar.value = s * bar.max; bar.dispatchEvent(new Event('input')); }",
                share / 100,
            )
            assert places() == before, page.inner_text("#moment")
        box = page.locator("#c-tool\\.spring_force")
        box.fill("50")
        box.press("Enter")
        settle(page, verdict, "sound")
        assert places() == before


@check
def it_can_be_used_by_all(visit):
    """The accessibility checker axe-core finds nothing, light and dark, desktop and phone, lesson open."""
    for scheme in ("light", "dark"):
        for wide in (1366, 360):
            with visit.page("?fault=loose-tool-terminal", wide=wide, color_scheme=scheme) as page:
                if page.locator("#menu").is_visible():
                    page.click("#menu")
                page.click("#lessons-open")
                page.wait_for_selector("#lesson h2")
                page.wait_for_timeout(300)
                found = Axe().run(page).response["violations"]
                assert not found, [(v["id"], [n["html"][:160] for n in v["nodes"]][:4]) for v in found]


@check
def odd_welds_are_shown(visit):
    """Welds without an arc, without a stud, by the gap method and of unlike metals are shown."""
    for query in (
        "set=stud.short_resistance%3D1+mohm",
        "set=bank.voltage%3D40+V",
        "set=tool.method%3Dgap&set=tool.lift%3D1+mm",
        "set=tool.spring_force%3D5+N",
        "set=sheet.metal%3Dstainless+18/8",
        "set=stud.size%3DM8&set=sheet.centre_mark%3D0.6+mm&set=tool.tilt%3D4+deg",
        "set=bank.voltage%3D0.5+V",
        "set=earth.0.at%3D%5B%22-60+mm%22%2C%220+mm%22%5D&fault=one-earth-lead-off",
    ):
        with visit.page("?" + query) as page:
            assert page.inner_text("#meaning")
            for _ in range(12):
                page.click("#after")
            assert not re.search(r"NaN|undefined|null|Infinity", page.inner_text("body") + page.inner_html("#drawing")), query
