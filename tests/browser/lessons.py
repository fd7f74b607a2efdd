"""Lessons, the trainer's part of the page: predicting, hands, links, history, paper, the guided start, sound."""

import os
import pathlib
import re
import subprocess
import tempfile

from axe_playwright_python.sync_playwright import Axe

from visit import check, quiet, settle, taken

WORDS = pathlib.Path(__file__).parent.parent / "golden" / "lessons.txt"


def opened(page):
    page.click("#lessons-open")
    page.wait_for_selector("#lesson h2")
    quiet(page)


def answered(page, k):
    page.locator("#lesson .choices button").nth(k).click()
    page.wait_for_selector("#lesson .reply p")


@check
def every_lesson_is_read_aloud(visit):
    """Every lesson is walked by clicks alone, each choice taken; the words are those of tests/golden/lessons.txt."""
    said = []
    with visit.page(reduced_motion="reduce") as page:
        opened(page)
        while True:
            title = page.inner_text("#lesson h2")
            said += [f"# {title}", *page.locator("#lesson > p:not(.soft)").all_inner_texts()]
            assert page.inner_text("#lesson .reply") == "", "the answer shows before the choice"
            for k in range(page.locator("#lesson .choices button").count()):
                before = page.inner_text("#lesson .reply")
                page.locator("#lesson .choices button").nth(k).click()
                reply = settle(page, lambda p: p.inner_text("#lesson .reply"), before)
                assert not re.search(r"[{}]|undefined|null|NaN|–", reply), reply
                said.append("> " + page.locator("#lesson .choices button").nth(k).inner_text().replace("\n", " "))
                said.append(re.sub(r"\n+", "\n", reply))
            quiet(page)
            said.append(page.inner_text("#moment").split("ms", 1)[1].strip())
            onward = page.locator("#lesson button", has_text="Next lesson")
            if onward.is_disabled():
                break
            onward.click()
            settle(page, lambda p: p.inner_text("#lesson h2"), title)
            quiet(page)
        page.click("#lesson .close")
        assert page.locator("#lesson").is_hidden()
        settle(page, lambda p: "demonstration" in p.url, True)
    text = "\n".join(said) + "\n"
    if "ARCPLUNGE_WRITE_DOCS" in os.environ:
        WORDS.write_text(text, encoding="utf-8")
    assert text == WORDS.read_text(encoding="utf-8"), "the lessons say other words; ARCPLUNGE_WRITE_DOCS=1 writes the file anew"


@check
def a_lesson_plays_and_gives_its_control(visit):
    """Once a choice is made the weld plays by itself to the lesson's event, and the control stands in the card."""
    with visit.page() as page:
        opened(page)
        assert page.locator("#lesson .trial").is_hidden()
        answered(page, 0)
        assert page.inner_text("#play") == "Pause"
        assert page.locator("#lesson .choices .wrong").count() == page.locator("#lesson .choices .right").count() == 1
        page.wait_for_selector("#play:has-text('Play')")
        assert "ignition" in page.inner_text("#moment"), page.inner_text("#moment")
        box = page.locator("#lesson .trial input[type=text]")
        before = page.inner_text("#meaning")
        box.fill("0.8 mm")
        box.press("Enter")
        settle(page, lambda p: p.inner_text("#meaning"), before)
        page.click("#lesson .close")
        assert page.locator("#controls #c-stud\\.pip_length").count() == 1


@check
def a_link_opens_a_lesson_at_its_step(visit):
    """An address with a lesson, or a lesson and a choice, opens it there; a reload keeps it, and what was answered."""
    with visit.page("?lesson=3") as page:
        quiet(page)
        assert page.inner_text("#lesson h2") == "Loose terminals" and page.inner_text("#lesson .reply") == ""
        page.goto(visit.url + "?lesson=3&chosen=2")
        page.wait_for_selector("#lesson .reply p")
        assert page.inner_text("#lesson .reply").startswith("Right."), page.inner_text("#lesson .reply")
        page.goto(visit.url + page.url.split("/", 3)[3])
        page.wait_for_selector("#lesson .reply p")
        assert "✓" in page.locator("#lesson .all button").nth(2).inner_text()
        page.goto(visit.url + "?lesson=99")
        page.wait_for_selector(".verdict")
        assert page.locator("#lesson").is_hidden()


@check
def an_address_with_a_lesson_is_no_trap(visit):
    """Back leaves a lesson that an address has opened, with its answer too, and undo has nothing to undo."""
    for query in ("?lesson=3", "?lesson=3&chosen=2"):
        with visit.page() as page:
            first = page.url
            page.goto(visit.url + query)
            page.wait_for_selector("#lesson .reply p" if "chosen" in query else "#lesson h2", state="attached")
            quiet(page)
            assert page.locator("#lesson").is_visible() and "demonstration" in page.url and page.locator("#undo").is_disabled()
            page.go_back()
            settle(page, lambda p: "lesson" in p.url, True)
            page.wait_for_selector(".verdict")
            quiet(page)
            assert page.url == first and page.locator("#lesson").is_hidden(), page.url


@check
def what_is_refused_is_no_lesson(visit):
    """A lesson or an answer whose weld is refused is neither told nor remembered, and can be tried again."""
    with visit.page() as page:
        refuse = lambda route: route.fulfill(status=422, body="error: not now")
        page.refusals = 2
        first = page.url
        page.route("**/fire", refuse)
        page.click("#lessons-open")
        page.wait_for_selector("#message:has-text('not now')")
        quiet(page)
        assert page.locator("#lesson").is_hidden() and page.url == first, page.url
        page.unroute("**/fire")
        opened(page)
        asked = page.url
        page.route("**/fire", refuse)
        page.locator("#lesson .choices button").nth(1).click()
        page.wait_for_selector("#message:has-text('not now')")
        quiet(page)
        assert page.inner_text("#lesson .reply") == "" and page.url == asked and "chosen" not in page.url, page.url
        assert page.evaluate("localStorage.getItem('arcplunge.lessons')") is None
        page.unroute("**/fire")
        answered(page, 1)
        assert "chosen=2" in page.url, page.url
        answer = page.url
        page.click("#lesson .close")
        settle(page, lambda p: p.url, answer)
        quiet(page)
        assert "demonstration" not in page.url


@check
def back_and_forward_step_through_changes(visit):
    """The browser's own buttons undo and redo changes, and go back from a lesson's answer to its question."""
    with visit.page() as page:
        first, urls = page.url, []
        for volts in ("120", "130"):
            before = page.url
            page.fill("#c-bank\\.voltage", volts)
            page.locator("#c-bank\\.voltage").press("Enter")
            page.locator("#c-bank\\.voltage").blur()
            urls.append(settle(page, lambda p: p.url, before))
            page.wait_for_timeout(1000)
        shown = lambda p: p.input_value("#c-bank\\.voltage")
        page.go_back()
        assert settle(page, shown, "130 V") == "120 V" and page.url == urls[0]
        page.go_back()
        assert settle(page, shown, "120 V") == "112 V" and page.url == first
        page.go_forward()
        assert settle(page, shown, "112 V") == "120 V"
        opened(page)
        page.wait_for_timeout(1000)
        answered(page, 1)
        page.go_back()
        settle(page, lambda p: p.inner_text("#lesson .reply") == "", False)
        page.go_back()
        page.wait_for_selector("#lesson", state="hidden")
        assert settle(page, shown, "112 V") == "120 V"
        # A lesson closed gives back what was there before it, not before another.
        page.fill("#c-bank\\.voltage", "125")
        page.locator("#c-bank\\.voltage").press("Enter")
        settle(page, lambda p: "125" in p.url, False)
        page.click("#lessons-open")
        page.wait_for_selector("#lesson", state="visible")
        page.click("#lesson .close")
        settle(page, lambda p: "lesson" in p.url, True)
        quiet(page)
        assert shown(page) == "125 V", shown(page)


@check
def hands_are_counted(visit):
    """Numbers typed in become bars of their shares; letters and negative numbers count as none."""
    with visit.page() as page:
        opened(page)
        page.click("#lesson .poll summary")
        for k, hands in enumerate(("5", "15", "-3")):
            page.locator("#lesson .poll input").nth(k).fill(hands)
        assert page.locator("#lesson .poll .share").all_inner_texts() == ["25 %", "75 %", "0 %"]
        page.wait_for_function("() => document.getAnimations().length === 0")
        wide = [page.locator("#lesson .poll .hands").nth(k).bounding_box()["width"] for k in (0, 1)]
        assert abs(wide[1] / wide[0] - 3) < 0.1, wide
        found = Axe().run(page).response["violations"]
        assert not found, [(v["id"], [n["html"][:160] for n in v["nodes"]][:4]) for v in found]


@check
def the_first_visit_is_guided_once(visit):
    """A first visit is guided through the weld in ten seconds; Skip ends it, and it does not come again."""
    with visit.page(guided=True) as page:
        page.wait_for_selector("#guide")
        first = page.inner_text("#guide p")
        assert "Trigger" in first and page.locator(".acting").count() == 1
        second = settle(page, lambda p: p.inner_text("#guide p"), first)
        assert "pip bursts" in second, second
        page.click("#guide button:has-text('Skip')")
        assert page.locator("#guide, .acting").count() == 0
        page.reload()
        page.wait_for_selector(".verdict")
        page.wait_for_timeout(300)
        assert page.locator("#guide").count() == 0
    with visit.page(guided=True, reduced_motion="reduce") as page:
        page.wait_for_selector("#guide")
        assert page.inner_text("#play") == "Play"
        for _ in range(6):
            page.click("#guide button:has-text('Next')")
        assert page.locator("#guide").count() == 0
    with visit.page("?fault=stiff-slide", guided=True) as page:
        page.wait_for_timeout(300)
        assert page.locator("#guide").count() == 0


@check
def it_does_without_a_shelf(visit):
    """Where the browser keeps nothing, lessons and guide work all the same."""
    with visit.page("?lesson=1") as page:
        page.add_init_script("Object.defineProperty(window, 'localStorage', { get() { throw new Error('none') } })")
        page.reload()
        page.wait_for_selector("#lesson h2")
        quiet(page)
        answered(page, 1)
        assert page.inner_text("#lesson .reply").startswith("Right.")


@check
def sound_is_off_until_wanted(visit):
    """No sound is made until its button is pressed; pressed again it is off."""
    with visit.page() as page:
        page.add_init_script("window.made = 0; const Real = AudioContext; window.AudioContext = class extends Real { constructor() { super(); window.made++; } };")
        page.reload()
        page.wait_for_selector(".verdict")
        page.click("#play")
        page.wait_for_timeout(200)
        assert page.evaluate("made") == 0
        page.click("#sound")
        assert page.evaluate("made") == 1 and page.get_attribute("#sound", "aria-pressed") == "true"
        page.click("#sound")
        assert page.get_attribute("#sound", "aria-pressed") == "false"


@check
def it_prints_on_one_sheet(visit):
    """The page prints on one sheet of A4 in light colours, in a dark scheme too, with verdict, curves, ledger and cautions."""
    for scheme in ("light", "dark"):
        with visit.page("?fault=loose-tool-terminal", color_scheme=scheme) as page:
            pdf = page.pdf(prefer_css_page_size=True)
            assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 1, scheme
            page.emulate_media(media="print", color_scheme=scheme)
            page.evaluate("dispatchEvent(new Event('beforeprint'))")
            assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
            for part in (".verdict", "#drawing svg", "#curves svg", ".ledger", "#cautions ul"):
                assert page.locator(part).is_visible(), part
            for part in ("nav", "#playback", "#left"):
                assert page.locator(part).is_hidden(), part
            # Base and weld side by side are printed so, at one size.
            page.emulate_media(media="null")
            page.click("#pair")
            assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True))) == 1, scheme
            page.set_viewport_size({"width": 700, "height": 1000})
            page.emulate_media(media="print", color_scheme=scheme)
            twin, own = (page.locator(what).bounding_box() for what in ("#twin", "#drawing"))
            assert abs(twin["height"] - own["height"]) < 1 and abs(twin["y"] - own["y"]) < 1, (twin, own)


@check
def the_card_prints_on_one_sheet(visit):
    """The set-up card of the demonstration, of a gap weld of aluminium, of a rig with loose joints and of aluminium on steel prints on one sheet of A4, drawn a little larger too."""
    aluminium = ["tool.method=gap", "stud.metal=aluminium", "sheet.metal=aluminium"]
    for sets in ([], aluminium, ["lead.length=12m", "joints.tool=loose"], ["stud.metal=aluminium"]):
        with tempfile.TemporaryDirectory() as folder:
            card = pathlib.Path(folder) / "card.html"
            changes = [word for one in sets for word in ("--set", one)]
            subprocess.run([visit.program, "card", *changes, "--report", str(card)], check=True, stdout=subprocess.DEVNULL)
            with visit.page(card.as_uri()) as page:
                for scale in (1, 1.01):
                    pdf = page.pdf(prefer_css_page_size=True, scale=scale)
                    assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 1, (sets, scale)


@check
def paper_folds_again(visit):
    """What is folded on the screen is unfolded for the printer, and folded again after it."""
    with visit.page() as page:
        folded = lambda: page.evaluate("[...document.querySelectorAll('#why, #cautions')].map((d) => d.open)")
        assert folded() == [False, False]
        page.evaluate("dispatchEvent(new Event('beforeprint'))")
        assert folded() == [True, True]
        page.evaluate("dispatchEvent(new Event('afterprint'))")
        assert folded() == [False, False]


@check
def reports_and_sheets_are_taken_away(visit):
    """Report, set-up card and the lessons' sheets arrive as whole documents; questions give no answer away."""
    with visit.page("?set=bank.voltage%3D105+V") as page:
        report = taken(page, "report.html").decode()
        assert "105 V" in report and "<svg" in report and "Stored charge" in report
        card = taken(page, "card.html").decode()
        assert "<svg" in card and "M5 mild steel" in card
        opened(page)
        for name, tells in (("questions.html", False), ("answers.html", True)):
            with page.expect_download() as waiting:
                page.click(f"#lesson [download='{name}']")
            text = pathlib.Path(waiting.value.path()).read_text(encoding="utf-8")
            assert "What the pip is for" in text and ("The pip is the spacer" in text) == tells
