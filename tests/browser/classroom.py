"""A class: phones that come in with a code, follow the trainer, vote, and try one slider."""

import contextlib
import io
import json
import socket

import zxingcpp
from axe_playwright_python.sync_playwright import Axe
from PIL import Image

from visit import Visit, check, quiet, settle
from outside import HERE, Phone
from server import Server
from showing import LETTERS, READABLE

PHONE = {"wide": 360, "high": 760}

def quoted(text):
    """A text within a selector."""
    return json.dumps(text, ensure_ascii=False)


def clean(page):
    """axe-core finds nothing."""
    found = Axe().run(page).response["violations"]
    assert not found, [(v["id"], [n["html"][:160] for n in v["nodes"]][:4]) for v in found]


def large(page, place, high):
    """The letters within a place, none smaller than the last row can read."""
    inside = page.evaluate(LETTERS.replace("(document.body, ", f"(document.querySelector({place!r}), "))
    assert len(inside) > 5, inside
    for text, _, top, _, bottom in inside:
        assert bottom - top >= 1.17 * READABLE * high - 1, (text, bottom - top)
    return inside


def readable(page, place):
    """The same where the page presents."""
    page.keyboard.press("p")
    page.wait_for_timeout(300)
    large(page, place, 768)
    page.keyboard.press("Escape")
    page.wait_for_timeout(200)


@contextlib.contextmanager
def phone(visit, server, path="", **options):
    """A phone's page of a class."""
    with Visit(visit.browser, server.link).page(path, wait="#inside:not([hidden]) .verdict", **PHONE, **options) as page:
        yield page


def drag(page, to):
    """Moves a phone's slider."""
    page.locator("#own input[type=range]").evaluate("(bar, to) => { bar.value = to * bar.max; bar.dispatchEvent(new Event('input')); }", to)
    page.wait_for_selector("#whose.own")


@check
def a_class_comes_in(visit):
    """The QR code on the projector holds link and code; a phone comes in by it, or by typing the code."""
    with Server(visit.program, HERE) as server, Visit(visit.browser, server.url).page() as page:
        page.click("#class-open")
        assert page.inner_text("#class .code") == server.code and page.inner_text("#class .link") == server.link
        page.wait_for_timeout(100)
        picture = Image.open(io.BytesIO(page.locator("#class .qr").screenshot()))
        assert [code.text for code in zxingcpp.read_barcodes(picture)] == [f"{server.link}#{server.code}"]
        assert "0 of 60" in page.inner_text("#class")
        assert "Only this machine can reach the link" in page.inner_text("#class .open-to"), page.inner_text("#class .open-to")
        with phone(visit, server, f"#{server.code}") as pupil:
            assert "#" not in pupil.url
            page.wait_for_selector("#class .count:has-text('1 of 60')")
            pupil.reload()
            pupil.wait_for_selector("#inside:not([hidden]) .verdict")
            page.wait_for_timeout(1200)
            assert "1 of 60" in page.inner_text("#class"), "the place was not kept"
        with Visit(visit.browser, server.link).page(wait="#code", **PHONE) as pupil:
            clean(pupil)
            pupil.fill("#code", server.code.lower())
            pupil.click("#come-in button")
            pupil.wait_for_selector("#inside:not([hidden]) .verdict")
        page.wait_for_selector("#class-open:has-text('Class (2)')", state="attached")
        page.keyboard.press("Escape")
        assert page.locator("#class").is_hidden()


@check
def a_class_is_read_from_the_last_row(visit):
    """The way in has no letter smaller than 2.5 % of the height, nothing is cut off, and axe-core finds nothing."""
    with Server(visit.program, HERE) as server:
        stranger = Phone(server.link)
        assert stranger.ask("POST", "/join", {"code": "000000"})[0] == 403
        for wide, high in ((1024, 768), (1920, 1080)):
            for scheme in ("light", "dark"):
                with Visit(visit.browser, server.url).page(wide=wide, high=high, color_scheme=scheme) as page:
                    page.click("#class-open")
                    page.wait_for_selector("#class .alarm:has-text('1')")
                    clean(page)
                    for text, left, top, right, bottom in large(page, "#class", high):
                        assert left >= -1 and top >= -1 and right <= wide + 1 and bottom <= high + 1, (wide, text)


@check
def phones_follow(visit):
    """A phone shows the trainer's weld at the trainer's moment: a change, a jump, and a replay that runs."""
    with Server(visit.program, HERE) as server, Visit(visit.browser, server.url).page("?fault=loose-tool-terminal") as page:
        with phone(visit, server, f"#{server.code}") as pupil:
            same = lambda: pupil.wait_for_function("(text) => document.querySelector('#moment').textContent === text", arg=page.inner_text("#moment"))
            assert pupil.inner_text("#meaning .verdict").split()[0] == page.inner_text("#meaning .verdict").split()[0] != "sound"
            same()
            page.focus("#at")
            page.keyboard.press("Home")
            same()
            page.keyboard.press(".")
            same()
            before = pupil.inner_text("#meaning")
            page.click("#faults summary")
            page.locator(".fault input:checked").uncheck()
            quiet(page)
            settle(pupil, lambda p: p.inner_text("#meaning"), before)
            pupil.wait_for_selector("#meaning .verdict.sound")
            page.keyboard.press("Home")
            moment = pupil.inner_text("#moment")
            page.select_option("#slow", "1000")
            page.click("#play")
            settle(pupil, lambda p: p.inner_text("#moment"), moment)
            page.wait_for_selector("#play:has-text('Play')")
            same()
            assert pupil.locator("#whose.own").count() == 0


@check
def phones_are_no_surer_than_the_trainer(visit):
    """A weld that is borderline on the trainer's page is so on the phones, in the same colour; a copy of one's own is never green."""
    colour = lambda page: page.evaluate("getComputedStyle(document.querySelector('#meaning .verdict')).color")
    with Server(visit.program, HERE) as server, Visit(visit.browser, server.url).page("?set=bank.voltage%3D102+V") as page:
        with phone(visit, server, f"#{server.code}") as pupil:
            page.wait_for_selector("#borderline:has-text('borderline')")
            pupil.wait_for_selector("#borderline:has-text('borderline')")
            assert colour(pupil) == colour(page)
            amber = colour(page)
            page.fill("#c-bank\\.voltage", "112")
            page.locator("#c-bank\\.voltage").press("Enter")
            pupil.wait_for_selector("#meaning .verdict.sound:not(.open, .unsure)")
            green = colour(pupil)
            drag(pupil, 0.45)
            assert colour(pupil) not in (amber, green) or "sound" not in pupil.inner_text("#meaning .verdict"), pupil.inner_text("#meaning .verdict")


@check
def phones_vote(visit):
    """Phones see the question and no answer, their votes are bars beside the hands, and the answer comes when it is shown."""
    with Server(visit.program, HERE) as server, Visit(visit.browser, server.url).page() as page:
        with phone(visit, server, f"#{server.code}") as one, phone(visit, server, f"#{server.code}") as other:
            page.click("#lessons-open")
            question = page.inner_text("#lesson strong")
            page.wait_for_function("() => performance.getEntriesByName(new URL('class', location).href).length > 2")
            assert not page.locator("#lesson .poll").evaluate("(poll) => poll.open"), "open before a vote has come"
            for pupil in (one, other):
                pupil.wait_for_selector(f"#question strong:has-text({quoted(question)})")
                clean(pupil)
                assert pupil.locator("#question .right, #question .wrong").count() == 0
                assert pupil.locator("#own").is_hidden()
            one.locator("#question .choices button").nth(0).click()
            other.locator("#question .choices button").nth(0).click()
            page.wait_for_selector("#lesson .poll[open] summary:has-text('2 in all, 2 by phone')")
            assert page.locator("#lesson .share").all_inner_texts()[:2] == ["100 %", "0 %"]
            other.locator("#question .choices button").nth(1).click()
            page.wait_for_selector("#lesson .share:has-text('50 %')")
            assert other.get_attribute("#question .choices button:nth-child(2)", "aria-pressed") == "true"
            readable(page, "#lesson .poll")
            page.locator("#lesson .poll input").nth(0).fill("2")
            assert page.locator("#lesson .share").all_inner_texts()[:2] == ["75 %", "25 %"]
            page.locator("#lesson .choices button").nth(0).click()
            page.wait_for_selector("#lesson .reply p")
            answer = page.locator("#lesson .reply p:not(.soft)").last.inner_text()
            for pupil in (one, other):
                pupil.wait_for_selector(f"#question p:has-text({quoted(answer)})")
                assert pupil.locator("#question .right").count() == 1
                assert pupil.locator("#question .choices button:enabled").count() == 0
            clean(one)


@check
def phones_try_a_copy(visit):
    """A phone drags the control last used on a copy of its own; the trainer's page and other phones stay as they are."""
    with Server(visit.program, HERE) as server, Visit(visit.browser, server.url).page() as page:
        with phone(visit, server, f"#{server.code}") as one, phone(visit, server, f"#{server.code}") as other:
            assert one.locator("#own").is_hidden()
            page.locator(".control:has(#c-bank\\.voltage) input[type=range]").focus()
            page.keyboard.press("ArrowRight")
            quiet(page)
            one.wait_for_selector("#own label:has-text('voltage')")
            other.wait_for_selector("#own label:has-text('voltage')")
            # The band comes after the weld.
            page.wait_for_selector("#sure .tally span")
            read = lambda p: [p.inner_text("#meaning"), p.locator(".curve.blue").get_attribute("d")]
            kept, address = [read(page), read(other)], page.url
            trainers = read(one)
            drag(one, 0)
            assert "Your own copy" in one.inner_text("#whose")
            assert "cold" in one.inner_text("#meaning .verdict") or "no weld" in one.inner_text("#meaning .verdict")
            assert one.inner_text("#own input[type=text]") == "" and one.input_value("#own input[type=text]") == "40 V"
            clean(one)
            page.wait_for_timeout(600)
            assert read(page) == kept[0] and page.url == address
            assert read(other) == kept[1]
            one.click("#back")
            assert one.locator("#whose.own").count() == 0 and read(one) == trainers
            drag(one, 1)
            page.locator(".control:has(#c-bank\\.voltage) input[type=range]").focus()
            page.keyboard.press("ArrowLeft")
            one.wait_for_selector("#whose:not(.own)")


@check
def a_phone_is_narrow(visit):
    """At 360 px nothing of a phone's page is cut off sideways, in light and dark, and axe-core finds nothing."""
    with Server(visit.program, HERE) as server, Visit(visit.browser, server.url).page("?lesson=1&chosen=1"):
        for scheme in ("light", "dark"):
            with phone(visit, server, f"#{server.code}", color_scheme=scheme) as pupil:
                pupil.wait_for_selector("#question .right")
                clean(pupil)
                assert pupil.evaluate("document.documentElement.scrollWidth") <= 360
                for button in pupil.locator("#question button, #own input[type=range]").all():
                    assert button.bounding_box()["height"] >= 44


@check
def a_class_ends_with_the_page(visit):
    """When the page ends, the class's port is closed and its phones say so."""
    with Server(visit.program, HERE) as server:
        # Not a visit, whose console must stay silent: this one tells of what the phone could not fetch.
        pupil = visit.browser.new_page(viewport={"width": PHONE["wide"], "height": PHONE["high"]})
        pupil.goto(f"{server.link}#{server.code}")
        pupil.wait_for_selector("#inside:not([hidden]) .verdict")
        waiting = Phone(server.link, server.code)
        waiting.connection.request("GET", f"/follow?after={2**40}", headers={"Authorization": f"Bearer {waiting.token}"})
        server.ends()
        try:
            socket.create_connection((waiting.host, int(waiting.port)), timeout=5).close()
        except ConnectionRefusedError:
            pass
        else:
            raise AssertionError("the class's port is still open")
        pupil.wait_for_selector("#link-state:has-text('may have ended')")
        pupil.close()
