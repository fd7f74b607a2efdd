"""What a person does with the page, and what must come of it."""

import contextlib
import csv
import io
import pathlib
import re
import tempfile
import tomllib
import xml.etree.ElementTree as ElementTree

from axe_playwright_python.sync_playwright import Axe

ALL = []


def check(function):
    """Marks a function as a check."""
    ALL.append(function)
    return function


class Visit:
    """A browser at the page's address, and the program that serves it."""

    def __init__(self, browser, url, program=None):
        self.browser, self.url, self.program = browser, url, program

    @contextlib.contextmanager
    def page(self, query="", wide=1366, high=768, wait=".verdict", guided=False, **options):
        """An open page; it must end without an error on its console, but for those of refused requests."""
        page = self.browser.new_page(viewport={"width": wide, "height": high}, **options)
        if not guided:
            page.add_init_script("try { localStorage.setItem('arcplunge.guide', 'true') } catch {}")
        said = []
        page.on("console", lambda m: m.type in ("error", "warning") and said.append(m.text))
        page.on("pageerror", lambda e: said.append(str(e)))
        page.goto(query if query.startswith("file:") else self.url + query)
        page.wait_for_selector(wait)
        yield page
        refused = [text for text in said if "422" in text]
        others = [text for text in said if "422" not in text]
        assert not others, others
        assert len(refused) == getattr(page, "refusals", 0), refused
        page.close()


def verdict(page):
    return page.inner_text(".verdict").split()[0]


def curve(page):
    return page.get_attribute(".curve.blue", "d")


def quiet(page):
    """Waits until the last answer is drawn."""
    page.wait_for_selector("#stage:not([aria-busy])")


def settle(page, what, before):
    """Waits until what a function reads from the page is another than it was; returns it."""
    for _ in range(500):
        now = what(page)
        if now != before:
            return now
        page.wait_for_timeout(20)
    raise AssertionError(f"still {str(before)[:200]}")


@check
def a_slider_moves_figures_and_curves(visit):
    """A slider moves figures, curves, address and ledger; undo takes it back."""
    with visit.page() as page:
        before, words = curve(page), page.inner_text("#meaning")
        slider = page.locator(".control:has(#c-bank\\.voltage) input[type=range]")
        slider.focus()
        for _ in range(40):
            page.keyboard.press("ArrowLeft")
        quiet(page)
        changed = curve(page)
        assert page.inner_text("#meaning") != words
        assert "bank.voltage" in page.url
        assert page.locator(".curve.ghost").count() > 0, "no base behind"
        page.click("#undo")
        quiet(page)
        assert curve(page) == before != changed
        assert "bank.voltage" not in page.url


@check
def a_drag_is_one_step(visit):
    """A slider held for long with the mouse is one step to undo, and a move after it another."""
    with visit.page() as page:
        first = page.url
        box = page.locator(".control:has(#c-bank\\.voltage) input[type=range]").bounding_box()
        at = lambda share: (box["x"] + share * box["width"], box["y"] + box["height"] / 2)
        page.mouse.move(*at(0.5))
        page.mouse.down()
        page.mouse.move(*at(0.4))
        # Longer than any pause that parts two moves by the keys.
        page.wait_for_timeout(1500)
        page.mouse.move(*at(0.3))
        page.mouse.up()
        quiet(page)
        dragged = page.url
        page.wait_for_timeout(1500)
        page.keyboard.press("ArrowRight")
        quiet(page)
        assert len({first, dragged, page.url}) == 3
        for url in (dragged, first):
            page.click("#undo")
            quiet(page)
            assert page.url == url, (page.url, url)
        assert page.locator("#undo").is_disabled()


@check
def each_press_moves_every_slider(visit):
    """Each press of an arrow key moves a slider by one step, and its number with it, as fast as one can."""
    with visit.page() as page:
        page.evaluate("for (const d of document.querySelectorAll('#controls details')) d.open = true")
        moved = 0
        for control in page.locator(".control:has(input[type=range])").all():
            slider, text = control.locator("input[type=range]"), control.locator("input[type=text]")
            if not slider.is_visible():
                continue
            slider.focus()
            most, at = int(slider.get_attribute("max")), int(slider.input_value())
            press, by = ("ArrowRight", 1) if at + 3 < most else ("ArrowLeft", -1)
            for _ in range(2):
                page.keyboard.press(press)
            quiet(page)
            assert int(slider.input_value()) == at + 2 * by, (text.get_attribute("id"), at, slider.input_value())
            shown = text.input_value()
            page.keyboard.press(press)
            quiet(page)
            assert text.input_value() != shown, (text.get_attribute("id"), shown)
            moved += 1
            page.click("#reset")
            quiet(page)
        assert moved > 20, f"only {moved} sliders"
        return f"{moved} sliders"


@check
def each_change_is_drawn(visit):
    """Each of 30 changes in a row is fired, sent and drawn; noted is how soon, median of them."""
    with visit.page() as page:
        times = page.evaluate(
            """async () => {
                const slider = [...document.querySelectorAll(".control")].find((c) => c.querySelector("#c-bank\\\\.voltage")).querySelector("input[type=range]");
                const ledger = () => document.querySelector(".ledger").textContent;
                const times = [];
                for (let k = 0; k < 30; k++) {
                    const before = ledger();
                    const begun = performance.now();
                    slider.value = 50 + 2 * k;
                    slider.dispatchEvent(new Event("input"));
                    while (ledger() === before && performance.now() - begun < 10000) await new Promise((go) => setTimeout(go, 0));
                    times.push(ledger() === before ? null : performance.now() - begun);
                }
                return times;
            }"""
        )
        assert None not in times, times
        return f"{sorted(times)[15]:.0f} ms"


@check
def a_number_can_be_typed(visit):
    """A number can be typed, with a unit or without; a wrong one is said and changes nothing."""
    with visit.page() as page:
        box = page.locator("#c-lead\\.length")
        for typed, shown in (("12", "12 m"), ("900 cm", "9 m"), ("7,5", "7.5 m")):
            before = page.url
            box.fill(typed)
            box.press("Enter")
            settle(page, lambda p: p.url, before)
            box.blur()
            page.wait_for_timeout(50)
            assert box.input_value() == shown, (typed, box.input_value())
        was = page.url
        page.refusals = 1
        box.fill("9000 m")
        box.press("Enter")
        page.wait_for_selector("#message:not([hidden])")
        text = page.inner_text("#message")
        assert "lead.length" in text and "out of bounds" in text, text
        assert page.url == was and box.input_value() in ("7.5 m", "9000 m")


@check
def the_replay_plays(visit):
    """The replay plays, stops, steps from event to event and goes by the keyboard."""
    with visit.page() as page:
        at = lambda p: float(p.input_value("#at"))
        picture = lambda p: p.inner_html("#drawing")
        begun, drawn = at(page), picture(page)
        page.click("#play")
        page.wait_for_timeout(700)
        assert at(page) > begun and picture(page) != drawn
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
        page.wait_for_timeout(200)
        assert at(page) > 0


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
def a_fault_is_switched(visit):
    """A fault is switched on: verdict or joules change, its remedy is said, its control lights up."""
    with visit.page() as page:
        page.click("#faults > summary")
        before = page.text_content(".ledger")
        page.check("label.fault:has-text('lug of the gun lead at the tool')")
        settle(page, lambda p: p.text_content(".ledger"), before)
        assert page.locator(".burning", has_text="tool terminal").count() == 1
        assert "Remedy" in page.text_content("#meaning")
        assert page.locator(".control.moved:has(#c-joints\\.tool)").count() == 1
        page.uncheck("label.fault:has-text('lug of the gun lead at the tool')")
        settle(page, lambda p: p.locator(".burning").count(), 1)
        assert page.text_content(".ledger") == before


@check
def keys_go_where_they_belong(visit):
    """Space switches a fault and leaves the replay alone; on the bar it plays, and . goes on to an event."""
    with visit.page() as page:
        page.click("#faults > summary")
        box = page.locator("label.fault input").first
        box.focus()
        before = page.text_content(".ledger")
        page.keyboard.press(" ")
        settle(page, lambda p: p.text_content(".ledger"), before)
        assert box.is_checked() and page.inner_text("#play") == "Play"
        page.locator("#at").focus()
        page.keyboard.press(".")
        assert "touchdown" in page.inner_text("#moment"), page.inner_text("#moment")
        page.keyboard.press(" ")
        assert page.inner_text("#play") == "Pause"
        for key, pressed in (("b", "true"), ("B", "false")):
            page.keyboard.press(key)
            assert page.get_attribute("#pair", "aria-pressed") == pressed, key


@check
def what_is_refused_is_no_step(visit):
    """A refused value leaves nothing to undo, and a joint typed as "loose 5 mΩ" has 5 mΩ."""
    with visit.page() as page:
        page.refusals = 1
        first = page.text_content(".ledger")
        for value in ("120", "99999"):
            page.fill("#c-bank\\.voltage", value)
            page.locator("#c-bank\\.voltage").press("Enter")
            quiet(page)
        assert "99999 V" in page.inner_text("#message"), page.inner_text("#message")
        page.click("#undo")
        quiet(page)
        assert page.text_content(".ledger") == first
        page.fill("#c-joints\\.tool", "loose 5 mΩ")
        page.locator("#c-joints\\.tool").press("Enter")
        settle(page, lambda p: p.input_value("#c-joints\\.tool"), "loose 5 mΩ")
        assert page.input_value("#c-joints\\.tool") == "5 mΩ", page.input_value("#c-joints\\.tool")


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
def a_base_is_pinned(visit):
    """A pinned base stays in grey, and is in the address."""
    with visit.page("?set=tool.spring_force%3D50+N") as page:
        assert verdict(page) == "cold"
        page.click("#pin")
        settle(page, lambda p: "base" in p.url, False)
        assert page.locator(".curve.ghost").count() == 0
        url = page.url
        box = page.locator("#c-tool\\.spring_force")
        box.fill("80")
        box.press("Enter")
        assert settle(page, verdict, "cold") == "sound"
        assert "was cold" in page.inner_text(".verdict")
        shared = page.url
        assert shared != url
        page.goto(shared)
        page.wait_for_selector(".verdict")
        assert "was cold" in page.inner_text(".verdict")
        page.click("#reset")
        quiet(page)
        assert "?" not in page.url


@check
def a_bad_base_keeps_the_weld(visit):
    """An address whose base does not fire keeps its weld; one whose weld does not fire keeps its base."""
    good, bad = "tool.spring_force%3D50+N", "lead.length%3D9000+m"
    for query, kept, lost in ((f"?set={good}&base=&base-set={bad}", "set=tool", "base-set"), (f"?set={bad}&base=&base-set={good}", "base-set=tool", "lead.length")):
        with visit.page(query) as page:
            quiet(page)
            page.refusals = 1
            assert "lead.length" in page.inner_text("#message"), page.inner_text("#message")
            assert kept in page.url and lost not in page.url, page.url


def taken(page, name):
    """A file taken away, as bytes."""
    page.click("#take > summary")
    with page.expect_download() as waiting:
        page.click(f"[data-take='{name}']")
    path = pathlib.Path(waiting.value.path())
    page.click("#take > summary")
    assert waiting.value.suggested_filename == name, waiting.value.suggested_filename
    return path.read_bytes()


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
            page.wait_for_timeout(400)
            assert page.input_value("#at") != begun
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


@check
def an_address_that_does_not_fit_says_so(visit):
    """An address that does not fit says what is wrong, and shows the page as it was opened."""
    for query, word in (("set=sheet.centre_mark%3D3+mm", "deeper than the pip"), ("fault=lose-clamp", "loose-clamp")):
        with visit.page("?" + query) as page:
            page.refusals = 1
            assert word in page.inner_text("#message"), page.inner_text("#message")
            assert verdict(page) == "sound" and "?" not in page.url
