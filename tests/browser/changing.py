"""Changing the weld: by sliders, numbers, faults, keys and addresses, and taking it back."""

from playwright.sync_api import expect

from visit import check, curve, quiet, settle, verdict


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
            expect(box).to_have_value(shown)
        was = page.url
        page.refusals = 1
        box.fill("9000 m")
        box.press("Enter")
        page.wait_for_selector("#message:not([hidden])")
        text = page.inner_text("#message")
        assert "lead.length" in text and "out of bounds" in text, text
        assert page.url == was and box.input_value() in ("7.5 m", "9000 m")


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


@check
def an_address_that_does_not_fit_says_so(visit):
    """An address that does not fit says what is wrong, and shows the page as it was opened."""
    for query, word in (("set=sheet.centre_mark%3D3+mm", "deeper than the pip"), ("fault=lose-clamp", "loose-clamp")):
        with visit.page("?" + query) as page:
            page.refusals = 1
            assert word in page.inner_text("#message"), page.inner_text("#message")
            assert verdict(page) == "sound" and "?" not in page.url
