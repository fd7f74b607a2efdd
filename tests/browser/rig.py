"""The rig round the weld, the clamp board, the section, and the boxes of all that is drawn."""

import pathlib
import re
import tempfile

from axe_playwright_python.sync_playwright import Axe

from visit import check, quiet, settle, taken
from showing import joules

# Widths and heights of screens on which nothing may overlap or be cut off; 683 × 384 is 1366 × 768 at 200 %.
SCREENS = ((1366, 768), (1280, 720), (1024, 768), (768, 1024), (683, 384), (360, 740))

# Words of the drawing that lie on others, or outside of it. Words that change places as the stud moves are looked at at
# several moments by the caller.
CLASHES = """() => {
    const out = [];
    const words = [...document.querySelectorAll("#scene text")].filter((t) => t.textContent.trim() && t.checkVisibility({ checkVisibilityCSS: true }));
    const boxes = words.map((t) => [t.textContent, t.getBoundingClientRect()]);
    const room = document.getElementById("stage").getBoundingClientRect();
    boxes.forEach(([text, a], k) => {
        if (a.left < room.left || a.right > room.right) out.push(["cut", text]);
        for (const [other, b] of boxes.slice(k + 1)) {
            const [wide, high] = [Math.min(a.right, b.right) - Math.max(a.left, b.left), Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top)];
            if (wide > 2 && high > 0.35 * Math.min(a.height, b.height)) out.push([text, other]);
        }
    });
    return out;
}"""

# Elements of the page's columns, drawings as a whole, that stick out of the section they stand in.
CUT = """() => [...document.querySelectorAll("#stage *, #flow *, #meaning *, #time *")].filter((node) => {
    if (node.ownerSVGElement) return false;
    if (node.closest("details:not([open]) > :not(summary)")) return false;
    const [a, b] = [node.getBoundingClientRect(), node.closest("main > section").getBoundingClientRect()];
    return a.width > 0 && (a.left < b.left - 1 || a.right > b.right + 1);
}).map((node) => [node.tagName, node.textContent.slice(0, 40)])"""


def seek(page, share):
    page.evaluate("(s) => { const bar = document.getElementById('at'); bar.value = s * bar.max; bar.dispatchEvent(new Event('input')); }", share)


def copper(page, part):
    return float(page.get_attribute(f"[data-part='{part}'] .copper", "stroke-width"))


def glow(page, part):
    return float(page.get_attribute(f"[data-part='{part}'] .halo", "opacity"))


@check
def the_rig_carries_the_current(visit):
    """A lead is as wide as its current and glows as its joules: none before the trigger, no current but all the joules at the end."""
    with visit.page() as page:
        seek(page, 0)
        assert copper(page, "gun") == copper(page, "earth0") == 0 == glow(page, "gun")
        seek(page, 0.17)
        wide = [copper(page, part) for part in ("gun", "earth0", "earth1")]
        # Kirchhoff's current law, within the rounding of the drawing.
        assert wide[0] > 4 and abs(wide[0] - wide[1] - wide[2]) < 0.03, wide
        early = glow(page, "gun")
        seek(page, 0.8)
        assert copper(page, "gun") < 0.5 * wide[0] and glow(page, "gun") > early > 0


@check
def the_joules_of_the_rig_are_those_of_the_ledger(visit):
    """At the end each part of the rig says the joules of the ledger's ribbon."""
    with visit.page("?fault=loose-tool-terminal") as page:
        seek(page, 1)
        ribbon = {label.split("\n")[-1]: joules(label) for label in page.locator("#flow .parts > *").all_inner_texts()}
        for words, name in (("gun lead 5 m", "gun lead"), ("tool terminal", "tool terminal")):
            said = page.locator("#rig .label", has_text=words).first.text_content()
            assert abs(joules(said.rsplit(": ", 1)[1]) - ribbon[name]) <= 1, (said, ribbon)
        assert page.locator("#rig .label", has_text="tool terminal").text_content().startswith("tool terminal parted")


@check
def a_loose_joint_sparks(visit):
    """A joint that parts sparks from then on until the current ends; a whole rig never does."""
    sparks = "[...document.querySelectorAll('#rig .spark')].filter((s) => s.getAttribute('d')).length"
    with visit.page("?fault=loose-tool-terminal") as page:
        seek(page, 0)
        assert page.evaluate(sparks) == 0
        page.click(".mark[title^='tool terminal parts']")
        page.keyboard.press("ArrowRight")
        assert page.evaluate(sparks) == 1
        seek(page, 1)
        assert page.evaluate(sparks) == 0
        page.goto(visit.url)
        page.wait_for_selector("#rig .copper")
        for k in range(11):
            seek(page, k / 10)
            assert page.evaluate(sparks) == 0


@check
def less_motion_is_honoured(visit):
    """Sparks flicker, but stand still for a reader who wants less motion."""
    for wish, still in (("no-preference", False), ("reduce", True)):
        with visit.page("?fault=loose-tool-terminal", reduced_motion=wish) as page:
            shapes = set()
            for k in range(6):
                seek(page, 0.25 + 0.0013 * k)
                shapes.add(page.evaluate("[...document.querySelectorAll('#rig .spark')].map((s) => s.getAttribute('d')).join('')"))
            assert (len(shapes) == 1) == still, (wish, len(shapes))


@check
def a_lead_is_drawn_as_it_lies(visit):
    """A longer lead has a longer line, and a coiled one a longer line still."""
    length = lambda page: page.evaluate("document.querySelector(\"[data-part='gun'] .sheath\").getTotalLength()")
    lines = []
    for query in ("?set=lead.length%3D2+m", "?set=lead.length%3D20+m", "?set=lead.length%3D20+m&set=lead.turns%3D4"):
        with visit.page(query) as page:
            lines.append(length(page))
    assert lines[0] * 1.03 < lines[1] and lines[1] * 1.1 < lines[2], lines


@check
def a_part_of_the_rig_opens_its_control(visit):
    """A tap on a part of the rig, or Enter on it, leads to its control at every width, and moves no replay."""
    for wide, high in ((1366, 768), (1024, 768), (360, 740)):
        with visit.page(wide=wide, high=high) as page:
            for part, control in (("tool", "c-tool.spring_force"), ("gun", "c-lead.length"), ("clamp0", "c-earth.0.clamp"), ("tool terminal", "c-joints.tool")):
                time = page.input_value("#at")
                page.focus(f"[data-part='{part}']")
                page.keyboard.press("Enter")
                assert page.evaluate("document.activeElement.id") == control, (wide, part)
                assert page.locator(f"[id='{control}']").is_visible() and page.input_value("#at") == time
        with visit.page(wide=wide, high=high) as page:
            box = page.locator("[data-part='bank'] .box").bounding_box()
            page.mouse.click(box["x"] + box["width"] / 2, box["y"] + 0.3 * box["height"])
            assert page.evaluate("document.activeElement.id") == "c-bank.voltage", wide


@check
def a_fault_lights_up_where_it_is(visit):
    """A fault that is switched on lights up its part of the rig, and no other."""
    for name, part in (("loose-tool-terminal", "tool terminal"), ("stiff-slide", "tool"), ("surplus-coiled", "gun"), ("loose-clamp", "clamp0"), ("tired-bank", "bank"), ("fat-pip", "stud"), ("sheet-too-thin", "sheet")):
        with visit.page(f"?fault={name}") as page:
            lit = page.evaluate("[...document.querySelectorAll('#rig .changed')].map((g) => g.dataset.part)")
            assert part in lit and {p.replace("earth 0 clamp", "clamp0") for p in lit} == {part}, (name, lit)


@check
def words_do_not_lie_on_each_other(visit):
    """On each screen, at each moment, no word of the drawing lies on another or is cut off, and nothing sticks out of its section."""
    for wide, high in SCREENS:
        for query in ("?set=stud.short_resistance%3D1+mohm", "?fault=loose-tool-terminal", "?fault=loose-clamp&set=tool.tilt%3D3+deg"):
            with visit.page(query, wide=wide, high=high) as page:
                for k in range(0, 11, 2):
                    seek(page, k / 10)
                    clashes = page.evaluate(CLASHES)
                    assert not clashes, (wide, query, k, clashes[:4])
                cut = page.evaluate(CUT)
                assert not cut, (wide, query, cut[:4])


@check
def what_matters_needs_no_scrolling(visit):
    """On 1366 × 768 the verdict, its picture, numbers, dots, clamps, rig and curves are all in sight at once."""
    with visit.page("?fault=loose-tool-terminal") as page:
        page.wait_for_selector(".shot")
        for what in (".verdict", ".faces", ".big", ".sentence", ".band-dots", "#why > summary", "#board", "#rig", "#flow", "#curves", "#scrub"):
            box = page.locator(what).bounding_box()
            assert box["y"] >= 0 and box["y"] + box["height"] <= 768, (what, box)
        column = page.evaluate("[document.getElementById('meaning').scrollHeight, document.getElementById('meaning').clientHeight]")
        assert column[0] <= column[1], column


@check
def a_clamp_is_dragged(visit):
    """A clamp follows the pointer and the arrow keys, the page answers while it moves, and a drag is one step to undo; a tap moves nothing."""
    with visit.page() as page:
        still = page.get_attribute(".rim-plan", "aria-label")
        grip = page.locator(".clamp .grip").first.bounding_box()
        plan = page.locator(".plan").bounding_box()
        # Off its middle: the clamp must not jump to the pointer.
        x, y = grip["x"] + 0.8 * grip["width"], grip["y"] + 0.3 * grip["height"]
        asked = []
        page.on("request", lambda r: r.url.endswith("/fire") and asked.append(r.url))
        at = lambda: page.locator(".clamp").first.get_attribute("aria-label")
        begun = at()
        drawn_at = float(page.locator(".clamp-plan").first.get_attribute("cx"))
        page.mouse.click(x, y)
        page.wait_for_timeout(200)
        assert at() == begun and "earth.0" not in page.url and not asked, (at(), asked)
        page.mouse.move(x, y)
        page.mouse.down()
        for k in range(1, 9):
            page.mouse.move(x + k * (plan["width"] * 0.29) / 8, y)
            page.wait_for_timeout(30)
        moved = settle(page, lambda p: p.get_attribute(".rim-plan", "aria-label"), still)
        assert "drift" in moved and "earth.0.at.x" in page.url, (moved, page.url)
        page.mouse.up()
        quiet(page)
        (x_from, y_from), (x_to, y_to) = (map(int, re.findall(r"-?\d+(?=,| mm)", words)) for words in (begun, at()))
        # The pointer went 0.29 of the board's width to the right, and so did the clamp.
        assert y_to == y_from and abs(x_to - x_from - 0.29 * 144 * x_from / drawn_at) <= 2, (begun, at())
        placed = page.locator(".clamp").first.get_attribute("aria-label")
        page.click("#undo")
        settle(page, lambda p: p.locator(".clamp").first.get_attribute("aria-label"), placed)
        quiet(page)
        assert "earth.0" not in page.url and page.get_attribute(".rim-plan", "aria-label") == still
        page.locator(".clamp").first.focus()
        time = page.input_value("#at")
        page.keyboard.press("ArrowUp")
        settle(page, lambda p: "earth.0.at.y" in p.url, False)
        assert page.input_value("#at") == time
        assert page.evaluate("document.activeElement.classList.contains('clamp')")


@check
def a_drag_that_is_cut_off_ends(visit):
    """A drag that the system takes away ends: the clamp stays, follows no more, and can be taken again."""
    with visit.page() as page:
        at = lambda p=page: p.locator(".clamp").first.get_attribute("aria-label")
        for name in ("pointercancel", "lostpointercapture"):
            grip = page.locator(".clamp .grip").first.bounding_box()
            x, y = grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2
            begun = at()
            page.mouse.move(x, y)
            page.mouse.down()
            page.mouse.move(x + 10, y)
            moved = settle(page, at, begun)
            page.evaluate("(name) => document.querySelector('.plan').dispatchEvent(new PointerEvent(name, { pointerId: 1 }))", name)
            quiet(page)
            page.mouse.move(x + 30, y)
            quiet(page)
            assert at() == moved, (name, moved, at())
            page.mouse.up()
            # What follows is a step of its own, though the hand still holds.
            url = page.url
            page.wait_for_timeout(900)
            page.locator(".clamp").first.focus()
            page.keyboard.press("ArrowUp")
            later = settle(page, lambda p: p.url, url)
            page.click("#undo")
            assert settle(page, lambda p: p.url, later) == url, (name, url, page.url)
            quiet(page)


@check
def a_longer_name_is_another_part(visit):
    """A clamp's radius lights up the clamp, not the joint whose name begins its name."""
    with visit.page("?set=earth.0.clamp_radius%3D25+mm") as page:
        assert page.locator("#rig .part.changed[data-part='clamp0']").count() == 1
        assert page.locator("#rig .part.changed[data-part='earth 0 clamp']").count() == 0
        assert page.locator("#rig .part[data-part='earth 0 clamp']").count() == 1


@check
def drawings_share_nothing(visit):
    """No two elements have one id, with the base beside the weld either: a drawing needs nothing of one that may be hidden."""
    with visit.page("?set=tool.spring_force%3D60+N") as page:
        twice = "[...document.querySelectorAll('[id]')].map((n) => n.id).filter((id, k, all) => all.indexOf(id) !== k)"
        assert page.locator("#twin svg").count() == 0, "made before it is wanted"
        assert page.evaluate(twice) == []
        page.click("#pair")
        assert page.locator("#twin svg").is_visible()
        assert page.evaluate(twice) == []
        needed = "[...document.querySelectorAll('[marker-end], [fill^=url]')].map((n) => n.getAttribute('marker-end') ?? n.getAttribute('fill')).filter((url) => !document.querySelector(url.slice(4, -1)))"
        assert page.evaluate(needed) == []


@check
def the_clamps_are_to_scale(visit):
    """Distances on the board are in proportion to those of the case."""
    with visit.page("?set=earth.0.at.x%3D-100+mm&set=earth.1.at.x%3D150+mm&set=earth.1.at.y%3D200+mm") as page:
        at = page.evaluate("[...document.querySelectorAll('.clamp-plan')].map((c) => [+c.getAttribute('cx'), -c.getAttribute('cy')])")
        scale = at[0][0] / -100
        assert scale > 0 and all(abs(a - b * scale) < 0.2 for a, b in zip(at[1], (150, 200))), at


@check
def the_arc_leans_with_the_drift(visit):
    """The arc of the section stands in the middle with even clamps, and leans as the melt drifts with uneven ones."""
    lean = lambda page: float(page.get_attribute("#drawing ellipse", "cx"))
    for query, way in (("", 0), ("?set=earth.0.at.x%3D-60+mm", 1), ("?set=earth.1.at.x%3D60+mm", -1)):
        with visit.page(query) as page:
            assert (lean(page) > 0.2) - (lean(page) < -0.2) == way, (query, lean(page))


@check
def a_tilted_stud_is_drawn_so(visit):
    """A tilted stud leans by its own angle, its face meets the sheet on the low side first, and the wedge is open on the other."""
    with visit.page("?set=tool.tilt%3D4+deg") as page:
        turn = page.get_attribute("#drawing g[transform^='rotate']", "transform")
        assert turn.startswith("rotate(4.00 "), turn
        page.click(".mark[title^='touchdown']")
        shape = page.get_attribute("#drawing path[fill='url(#steel)']:not(g path)", "d")
        points = [tuple(map(float, pair.split())) for pair in re.findall(r"-?[\d.]+ -?[\d.]+", shape)]
        under = points[2:]
        low, high = max(under, key=lambda p: p[0]), min(under, key=lambda p: p[0])
        # The sheet's face is at 236; the stud stands on its low rim, drawn at the right.
        assert abs(low[1] - 236) < 1.5 and high[1] < 200, (low, high)


@check
def a_centre_mark_is_drawn_to_its_depth(visit):
    """A centre mark is as deep in the drawn sheet as in the sheet, open before the squeeze and full after it."""
    with visit.page("?set=sheet.centre_mark%3D0.5+mm&set=sheet.thickness%3D1.5+mm") as page:
        seek(page, 0)
        hole = page.locator("#drawing .mark-hole").bounding_box()
        marks = page.evaluate(
            """() => {
                const sheet = document.querySelector("#drawing path[fill='url(#plate)']").getAttribute("d");
                const heights = [...sheet.matchAll(/[ML]-?[\\d.]+ (-?[\\d.]+)/g)].map((m) => +m[1]);
                return [Math.min(...heights), heights[2], Math.max(...heights)];
            }"""
        )
        face, tip, bottom = marks
        assert hole["height"] > 3 and abs((tip - face) / (bottom - face) - 1 / 3) < 0.02, marks
        seek(page, 1)
        assert page.locator("#drawing .mark-hole").count() == 0


@check
def the_time_axis_rests(visit):
    """The ticks of the time axis stay where they are while a slider makes the weld shorter or longer."""
    with visit.page() as page:
        ticks = lambda: page.evaluate("[...document.querySelectorAll('#curves .tick')].filter((t) => /^[\\d.]+( ms)?$/.test(t.textContent)).map((t) => [t.textContent, t.getAttribute('x')])")
        before = ticks()
        assert len(before) > 3
        for volts in ("105", "115", "118"):
            curve = page.get_attribute(".curve.blue", "d")
            page.fill("#c-bank\\.voltage", volts)
            page.locator("#c-bank\\.voltage").press("Enter")
            settle(page, lambda p: p.get_attribute(".curve.blue", "d"), curve)
            assert ticks() == before, (volts, ticks())


@check
def the_rig_plays_in_the_replay_file(visit):
    """In the file taken away the rig plays, the picture and the dots are there, and nothing can be moved."""
    with tempfile.TemporaryDirectory() as folder:
        file = pathlib.Path(folder) / "weld.html"
        with visit.page("?fault=loose-tool-terminal") as page:
            file.write_bytes(taken(page, "weld.html"))
        with visit.page(file.as_uri()) as page:
            seek(page, 0.2)
            assert copper(page, "gun") > 1 and page.locator(".shot").count() > 40 and page.locator(".faces svg").count() == 2
            assert page.locator("#rig [role=button]").count() == page.locator(".clamp.movable").count() == 0
            assert page.locator("#rig .changed").count() > 0
            found = Axe().run(page).response["violations"]
            assert not found, [(v["id"], [n["html"][:160] for n in v["nodes"]][:4]) for v in found]


@check
def nothing_hides_a_letter(visit):
    """On a phone every word of the meaning lies within the page."""
    with visit.page("?fault=loose-tool-terminal", wide=360, high=740) as page:
        page.evaluate("for (const d of document.querySelectorAll('#meaning details')) d.open = true")
        cut = page.evaluate(CUT)
        assert not cut, cut[:4]
