"""A visit to the page, what the checks share of it, and the list of the checks."""

import contextlib
import pathlib

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
        with contextlib.closing(self.browser.new_page(viewport={"width": wide, "height": high}, **options)) as page:
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


def taken(page, name):
    """A file taken away, as bytes."""
    page.click("#take > summary")
    with page.expect_download() as waiting:
        page.click(f"[data-take='{name}']")
    path = pathlib.Path(waiting.value.path())
    page.click("#take > summary")
    assert waiting.value.suggested_filename == name, waiting.value.suggested_filename
    return path.read_bytes()
