"""The page for a screen in a real browser: it speaks where one points, looks closer, and asks for nothing."""

from __future__ import annotations

import json
import math
import re
import socket
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from patterns.boat import load_boat
from patterns.picture.page import picture_page
from patterns.subject import BoatSubject
from patterns.text.bevels import bevel_words
from tests.browser import Browser, Tab
from tests.patterns.pictures import demo, doubtful_design, hostile_page, page_of, printed_of

PHONE = {"width": 390, "height": 844, "phone": True}
FINGER = 44  # points: the least size of what a finger shall hit (W3C, WCAG 2.2, success criterion 2.5.5)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    browser = Browser()
    yield browser
    browser.close()


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("picture") / "picture.html"
    path.write_text(page_of(*demo()), encoding="utf-8", newline="")
    return path


@pytest.fixture
def desk(browser: Browser, file: Path) -> Iterator[Tab]:
    tab = browser.tab(file)
    yield tab
    tab.close()


@pytest.fixture
def phone(browser: Browser, file: Path) -> Iterator[Tab]:
    tab = browser.tab(file, **PHONE)
    yield tab
    tab.close()


def places(tab: Tab, view: str) -> list[tuple[float, float]]:
    """Where the places of a view are on the screen, by the browser's own reckoning of their signs."""
    found = tab.run(
        f"[...document.querySelectorAll('#{view} .pt[id]')].map(g => {{"
        "const b = (g.querySelector('circle, path') || g).getBoundingClientRect();"
        "return [b.x + b.width / 2, b.y + b.height / 2];})"
    )
    return [(x, y) for x, y in found]


def said(tab: Tab, view: str) -> str:
    text: str = tab.run(f"document.querySelector('#{view}').parentElement.querySelector('.said').textContent")
    return text


def rows(tab: Tab, view: str) -> list[str]:
    """What is said, one by one: two edges that meet in a corner have a bevel each at one place."""
    chosen = f"document.querySelector('#{view}').parentElement.querySelectorAll('.said .row')"
    found: list[str] = tab.run(f"[...{chosen}].map(row => row.textContent)")
    return found


def box(tab: Tab, view: str) -> list[float]:
    text: str = tab.run(f"document.querySelector('#{view} svg').getAttribute('viewBox')")
    return [float(part) for part in text.split()]


def middle(tab: Tab, chosen: str) -> tuple[float, float]:
    x, y = tab.run(
        f"(() => {{const b = document.querySelector({json.dumps(chosen)}).getBoundingClientRect();"
        "return [b.x + b.width / 2, b.y + b.height / 2];})()"
    )
    return x, y


def press(tab: Tab, view: str, name: str) -> None:
    """Press one of a view's buttons, with the mouse where it stands."""
    chosen = f"#{view} ~ .tools [aria-label='{name}']"
    tab.run(f"document.querySelector({json.dumps(chosen)}).scrollIntoView({{block: 'center'}}); 1")
    tab.settle()
    tab.click(*middle(tab, chosen))


@pytest.mark.slow
def test_pointing_at_every_bevel_shows_its_very_words(desk: Tab) -> None:
    _, patterns = demo()
    for number, pattern in enumerate(patterns, start=1):
        desk.go(f"p{number}a")
        for at, reading in zip(places(desk, f"p{number}"), pattern.readings, strict=False):
            desk.mouse(5, 5)
            assert said(desk, f"p{number}") == "Point at a place, or tap it."
            desk.mouse(*at)
            wanted = bevel_words(reading.bevel, land=reading.land)
            where = f"{reading.edge}, {reading.where}" if reading.where else reading.edge
            assert f"{where}: {wanted}" in rows(desk, f"p{number}")
    assert desk.faults() == []


@pytest.mark.slow
def test_a_tap_keeps_the_bevel_and_a_tap_beside_lets_it_go(phone: Tab) -> None:
    _, patterns = demo()
    phone.go("p1a")
    x, y = places(phone, "p1")[1]
    phone.tap(x + 12, y)  # a greasy finger is off by so much
    words = said(phone, "p1")
    assert words.endswith(bevel_words(patterns[0].readings[1].bevel))
    corner = middle(phone, "#p1 .side.top")
    phone.tap(30, corner[1] + 30)
    assert said(phone, "p1") == "Point at a place, or tap it."
    assert phone.faults() == []


@pytest.mark.slow
def test_the_picture_of_a_bevel_has_its_angle(desk: Tab) -> None:
    """The drawn slice of wood: the angle in it between face and edge is the reading's."""
    _, patterns = demo()
    for number, reading in enumerate(patterns[2].readings, start=1):
        desk.go(f"p3-{number}")
        look = desk.run("document.querySelector('#p3 ~ .said .wood').getAttribute('d')")
        _, (x1, y1), (x2, y2), _ = [
            [float(n) for n in re.findall(r"-?[\d.]+", part)] for part in look.split("L")
        ]
        drawn = math.degrees(math.atan2(y2 - y1, x2 - x1))
        assert drawn == pytest.approx(math.degrees(reading.bevel), abs=0.01)


@pytest.mark.slow
def test_the_wheel_looks_closer_at_what_lies_under_it(desk: Tab) -> None:
    desk.go("p1a")
    before = box(desk, "p1")
    centre = middle(desk, "#p1 svg")
    index, at = min(enumerate(places(desk, "p1")), key=lambda place: math.dist(place[1], centre))
    point_at = round(at[0]), round(at[1])  # a wheel's place is in whole points
    desk.wheel(*point_at, -800)
    after = box(desk, "p1")
    assert after[2] < 0.5 * before[2]
    times = before[2] / after[2]
    wanted = [point + (true - point) * times for true, point in zip(at, point_at, strict=True)]
    assert places(desk, "p1")[index] == pytest.approx(wanted, abs=0.5)
    for _ in range(6):
        desk.wheel(*at, 900)
    assert box(desk, "p1") == pytest.approx(before, abs=0.01)  # never smaller than whole


@pytest.mark.slow
def test_the_wheel_rolls_the_page_over_drawings_until_one_is_touched(desk: Tab) -> None:
    desk.go("lines")
    whole = box(desk, "profile")
    x, y = middle(desk, "#profile svg")
    desk.wheel(x, y, -300)
    assert box(desk, "profile") == whole
    desk.click(x, y)
    desk.wheel(x, y, -300)
    assert box(desk, "profile")[2] < whole[2]


@pytest.mark.slow
def test_buttons_look_closer_step_from_place_to_place_and_back_to_the_whole(phone: Tab) -> None:
    _, patterns = demo()
    phone.go("p1a")
    whole = box(phone, "p1")
    press(phone, "p1", "larger")
    assert box(phone, "p1")[2] == pytest.approx(whole[2] / 1.6, rel=1e-3)
    press(phone, "p1", "smaller")
    assert box(phone, "p1") == pytest.approx(whole, abs=0.01)
    for reading in patterns[0].readings[:3]:
        press(phone, "p1", "the next place")
        assert rows(phone, "p1")[0].endswith(bevel_words(reading.bevel))
    press(phone, "p1", "larger")
    press(phone, "p1", "the whole drawing")
    assert box(phone, "p1") == pytest.approx(whole, abs=0.01)


@pytest.mark.slow
def test_two_fingers_look_closer_and_one_pulls(phone: Tab) -> None:
    phone.go("p1a")
    whole = box(phone, "p1")
    x, y = middle(phone, "#p1 svg")
    phone.touch("touchStart", (x - 40, y), (x + 40, y))
    for apart in (60, 80, 120):
        phone.touch("touchMove", (x - apart, y), (x + apart, y))
    phone.touch("touchEnd")
    closer = box(phone, "p1")
    assert closer[2] == pytest.approx(whole[2] / 3.0, rel=0.01)
    assert said(phone, "p1") == "Point at a place, or tap it."
    phone.touch("touchStart", (x, y))
    for way in (10, 30, 50):
        phone.touch("touchMove", (x + way, y))
    phone.touch("touchEnd")
    pulled = box(phone, "p1")
    unit = closer[2] / phone.run("document.querySelector('#p1').clientWidth")
    assert closer[0] - pulled[0] == pytest.approx(40 * unit, abs=11 * unit)
    assert pulled[2:] == closer[2:]
    assert phone.faults() == []


@pytest.mark.slow
def test_a_mouse_pulls_what_is_looked_at_closely(desk: Tab) -> None:
    desk.go("p1a")
    x, y = middle(desk, "#p1 svg")
    desk.wheel(x, y, -800)
    before = box(desk, "p1")
    desk.drag((x, y), (x + 80, y + 40))
    after = box(desk, "p1")
    unit = before[2] / desk.run("document.querySelector('#p1').clientWidth")
    assert before[0] - after[0] == pytest.approx(80 * unit, abs=21 * unit)
    assert after[1] < before[1]


@pytest.mark.slow
def test_the_keyboard_reaches_every_bevel(desk: Tab) -> None:
    _, patterns = demo()
    desk.go("p1a")
    for _ in range(40):
        desk.key("Tab")
        if desk.run("document.activeElement.id") == "p1":
            break
    assert desk.run("document.activeElement.id") == "p1"
    for reading in patterns[0].readings:
        desk.key("n")
        assert rows(desk, "p1")[0].endswith(bevel_words(reading.bevel))
    whole = box(desk, "p1")
    desk.key("0")
    whole = box(desk, "p1")
    desk.key("+")
    assert box(desk, "p1")[2] < whole[2]
    desk.key("Escape")
    assert said(desk, "p1") == "Point at a place, or tap it."
    for _ in range(40):  # and by the list: a link that is entered
        desk.key("Tab")
        if desk.run("document.activeElement.hash") == "#p1-3":
            break
    desk.key("Enter")
    assert rows(desk, "p1")[0].endswith(bevel_words(patterns[0].readings[2].bevel))
    assert desk.faults() == []


@pytest.mark.slow
def test_a_pattern_leads_to_its_pages_and_they_lead_back(desk: Tab) -> None:
    _, patterns = demo()
    desk.go("patterns")
    desk.click(*middle(desk, ".cards a[href='#p2a']"))
    assert desk.run("document.querySelector('#p2a').hidden") is False
    desk.click(*middle(desk, "#p2a .go"))
    assert desk.run("location.hash") == "#m2a"
    first = desk.run("document.querySelector('#m2 .page title, #m2 .page text').textContent")
    desk.mouse(*places(desk, "m2")[0])
    assert said(desk, "m2").startswith(f"page {first} of ")
    assert patterns[1].name in said(desk, "m2")
    desk.click(*middle(desk, "#m2a .go"))
    assert desk.run("location.hash") == "#p2a"
    desk.run("document.querySelector('#p2a .aside .go:last-child').click()")
    assert desk.run("location.hash") == "#p3a"


@pytest.mark.slow
def test_anywhere_on_a_page_of_the_map_the_page_is_told(desk: Tab) -> None:
    """At three places of every page, where no target of a distance is nearer than a mouse reaches."""
    _, patterns = demo()
    plan = printed_of(patterns, boat="any").plans[2]
    desk.go("m3a")
    boxes = [plan.layout.visible(tile) for tile in plan.layout.tiles]
    centres = [((b[0] + b[2]) / 2, (b[1] + b[3]) / 2) for b in boxes]
    seen = places(desk, "m3")[: len(boxes)]
    scale = (seen[1][0] - seen[0][0]) / (centres[1][0] - centres[0][0])
    targets = places(desk, "m3")[len(boxes) :]
    told = 0
    for number, ((x, y), paper) in enumerate(zip(seen, boxes, strict=True)):
        for share in (-0.4, 0.0, 0.4):
            at = x + share * (paper[2] - paper[0]) * scale, y + share * (paper[3] - paper[1]) * scale
            if all(math.dist(at, target) > 30 for target in targets):
                desk.mouse(*at)
                assert f": {plan.page_name(plan.layout.tiles[number])}" in said(desk, "m3")
                told += 1
    assert told > 2 * len(boxes)


@pytest.mark.slow
def test_a_suspect_that_is_tapped_is_marked_in_the_lines(browser: Browser, tmp_path: Path) -> None:
    boat = load_boat(doubtful_design(tmp_path))
    page = tmp_path / "lines.html"
    page.write_text(picture_page("x", parts=BoatSubject(boat).seen()), encoding="utf-8", newline="")
    tab = browser.tab(page, **PHONE)
    for number, (suspect, view) in enumerate(
        zip(boat.lines.suspects, ("profile", "plan"), strict=True), start=1
    ):
        tab.go("suspects")
        tab.tap(*middle(tab, f"a[href='#s{number}']"))
        assert rows(tab, view)[0] == f"Suspect {number}. {suspect}"
        assert box(tab, view)[2] < 100  # looked at closely
        spot = middle(tab, f"#s{number} .ring")
        assert spot == pytest.approx(middle(tab, f"#{view} .cursor circle"), abs=0.6)
        assert 0 < spot[0] < 390
        assert 0 < spot[1] < 844
        assert tab.run("document.querySelector('#lines').hidden") is False
    assert tab.faults() == []
    tab.close()


@pytest.mark.slow
def test_no_part_is_broader_than_a_telephone_and_all_is_large_enough_for_a_finger(phone: Tab) -> None:
    names = ["lines", "suspects", "patterns", "pages", *(f"p{n}a" for n in range(1, 6)), "m1a", "p3-2"]
    for name in names:
        phone.go(name)
        assert phone.run("document.documentElement.scrollWidth") <= 390, name
        assert phone.run("window.innerWidth") == 390, name  # not zoomed out either
        small = phone.run(
            "[...document.querySelectorAll('a, button')].filter(e => e.offsetParent)"
            ".map(e => [e.textContent, e.getBoundingClientRect().width, e.getBoundingClientRect().height])"
            f".filter(e => e[1] < {FINGER} || e[2] < {FINGER})"
        )
        assert small == [], name
    assert phone.faults() == []


@pytest.mark.slow
def test_words_in_a_picture_do_not_lie_on_each_other(phone: Tab) -> None:
    for name, view in (("lines", "profile"), ("lines", "body"), ("p1a", "p1"), ("p3a", "p3"), ("m3a", "m3")):
        phone.go(name)
        boxes = phone.run(
            f"[...document.querySelectorAll('#{view} text')].filter(t => !t.classList.contains('off'))"
            ".map(t => {const b = t.getBoundingClientRect(); return [b.left, b.top + 3, b.right, b.bottom - 3];})"
        )
        assert len(boxes) > 2
        for i, a in enumerate(boxes):
            for b in boxes[:i]:
                over = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
                assert min(over) <= 1.0, (view, a, b)


@pytest.mark.slow
def test_nothing_is_asked_of_the_network(desk: Tab, file: Path) -> None:
    for name in ("lines", "suspects", "patterns", "pages", "p1a", "m1a", "p3-2"):
        desk.go(name)
    assert desk.requests() == [file.as_uri()]
    assert desk.faults() == []


@pytest.fixture
def listener() -> Iterator[tuple[int, list[bytes]]]:
    """A server on this machine that writes down whoever calls."""
    calls: list[bytes] = []
    server = socket.create_server(("127.0.0.1", 0))

    def serve() -> None:
        while True:
            try:
                caller, _ = server.accept()
            except OSError:
                return
            with caller:
                calls.append(caller.recv(1000))
                caller.sendall(b"HTTP/1.1 200 OK\r\nContent-Length: 0\r\nConnection: close\r\n\r\n")

    thread = threading.Thread(target=serve, daemon=True)
    thread.start()
    yield server.getsockname()[1], calls
    server.shutdown(socket.SHUT_RDWR)
    server.close()
    thread.join()


@pytest.mark.slow
@pytest.mark.parametrize("guarded", [True, False])
def test_the_policy_stops_what_would_be_smuggled_in(
    browser: Browser, file: Path, tmp_path: Path, listener: tuple[int, list[bytes]], guarded: bool
) -> None:
    """A spoiled copy: with the policy nothing runs and nobody is called; without it both do."""
    port, calls = listener
    smuggled = (
        f'<img src="http://127.0.0.1:{port}/x" onerror="window.ran = 1"><script>window.ran = 2</script>'
    )
    text = file.read_text(encoding="utf-8").replace("<main>", f"{smuggled}<main>")
    if not guarded:
        text = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", text)
    copy = tmp_path / "copy.html"
    copy.write_text(text, encoding="utf-8", newline="")
    tab = browser.tab(copy)
    ran: Any = tab.run("window.ran ?? null")
    assert (ran is None) is guarded
    assert (not calls) is guarded
    tab.close()


@pytest.mark.slow
def test_names_that_mean_harm_run_nothing_even_without_the_policy(browser: Browser, tmp_path: Path) -> None:
    text = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", hostile_page())
    copy = tmp_path / "hostile.html"
    copy.write_text(text, encoding="utf-8", newline="")
    tab = browser.tab(copy, **PHONE)
    for name in ("lines", "suspects", "patterns", "pages", "p1a", "p1-1", "m1a"):
        tab.go(name)
        for at in places(tab, "p1")[:3] if name == "p1a" else []:
            tab.tap(*at)
        assert tab.run("document.documentElement.scrollWidth") <= 390, name
    assert tab.run("window.ran ?? null") is None
    assert (
        tab.run(
            "document.images.length + [...document.scripts].filter(s => s.type !== 'application/json').length"
        )
        == 1
    )
    assert tab.run("getComputedStyle(document.body).display") == "block"
    assert tab.faults() == []
    assert tab.requests() == [copy.as_uri()]
    tab.close()


@pytest.mark.slow
def test_a_print_says_that_it_is_not_full_size(desk: Tab) -> None:
    shows = "getComputedStyle(document.querySelector('.notsize')).display"
    assert desk.run(shows) == "none"
    desk._call("Emulation.setEmulatedMedia", media="print")
    assert desk.run(shows) == "block"
    assert "Not full size" in desk.run("document.querySelector('.notsize').textContent")
    assert "patterns.pdf" in desk.run("document.querySelector('.notsize').textContent")
    views = "[...document.querySelectorAll('.view')].map(e => getComputedStyle(e, '::after').content)"
    assert set(desk.run(views)) == {'"NOT FULL SIZE"'}


@pytest.mark.slow
def test_without_script_everything_is_there_to_read(browser: Browser, file: Path, tmp_path: Path) -> None:
    copy = tmp_path / "still.html"
    copy.write_text(
        re.sub(r"<script>.*?</script>", "", file.read_text(encoding="utf-8"), flags=re.S), "utf-8"
    )
    tab = browser.tab(copy, **PHONE)
    assert tab.run("[...document.querySelectorAll('section, article')].every(e => e.offsetHeight > 0)")
    assert tab.run("document.documentElement.scrollWidth") <= 390
    tab.close()
