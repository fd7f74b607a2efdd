"""A class from outside: what the program refuses, to phones with a code and to strangers, and sixty phones at once."""

import concurrent.futures
import contextlib
import http.client
import json
import multiprocessing
import os
import socket
import statistics
import threading
import time
import urllib.parse

from load import alive, ask
from server import Server

# On loopback, so that the checks need no network; the program takes it as it takes any other address.
HERE = "--class=127.0.0.1:0"

ALL = []


def check(function):
    """Marks a function as a check."""
    ALL.append(function)
    return function


class Phone:
    """A client that asks as a phone's page does."""

    def __init__(self, link, code=None):
        self.host, self.port = link.removeprefix("http://").rstrip("/").split(":")
        self.connection = http.client.HTTPConnection(self.host, int(self.port), timeout=30)
        self.token = ""
        if code:
            status, answer = self.ask("POST", "/join", {"code": code})
            assert status == 200, (status, answer)
            self.token = json.loads(answer)["token"]

    def ask(self, method, path, fields=None, headers=None):
        """Status and body of one request."""
        body = fields if isinstance(fields, (bytes, type(None))) else urllib.parse.urlencode(fields).encode()
        own = {"Authorization": f"Bearer {self.token}", **(headers or {})}
        kept = self.connection.sock is not None
        try:
            answer = self.sent(method, path, body, own)
        except ConnectionError:
            # The server ends a connection that says nothing for ten seconds, and this one's other half may have waited that long;
            # a browser asks anew, on a new one.
            if not kept:
                raise
            self.connection.close()
            answer = self.sent(method, path, body, own)
        text = answer.read()
        # What is refused unread ends its connection.
        if answer.status in (403, 404, 405, 413):
            self.connection.close()
        return answer.status, text

    def sent(self, method, path, body, headers):
        """The answer's head."""
        self.connection.request(method, path, body=body, headers=headers)
        return self.connection.getresponse()

    def told(self, after=0):
        """What the trainer's page shows."""
        status, answer = self.ask("GET", f"/follow?after={after}")
        assert status == 200, (status, answer)
        return json.loads(answer)


def publish(server, **pairs):
    """Says what the trainer's page shows, as the page does; what the class does."""
    status, answer = ask(server, urllib.parse.urlencode(pairs).encode(), path="/class")
    assert status == 200, (status, answer)
    return json.loads(answer)


@check
def the_trainer_is_out_of_reach(beside, _):
    """No route of the trainer's page answers on the class's port, with or without a place; nor do other names and pages."""
    with Server(beside.program, HERE) as server:
        inside, stranger = Phone(server.link, server.code), Phone(server.link)
        before = publish(server, set="lead.length=7 m", at=0.001)
        fixed = inside.told()
        routes = [("GET", path) for path in ("/start", "/main.js", "/classroom.js", "/index.html", "/take/weld.toml", "/take/questions.html", "/take/answers.html", "/class", "/fire")]
        routes += [("POST", path) for path in ("/fire", "/band", "/shift", "/learn", "/class", "/start", "/take/weld.csv")]
        for method, path in routes:
            for client in (inside, stranger):
                status, text = client.ask(method, path, b"set=lead.length%3D9+m&lesson=0" if method == "POST" else None)
                assert status in (404, 405), (method, path, status, text[:80])
        for host in ("evil.test", f"evil.test:{server.port}", f"127.0.0.1:{server.port}", f"127.0.0.2:{inside.port}"):
            assert inside.ask("GET", "/follow?after=0", headers={"Host": host})[0] == 403, host
        for headers in ({"Origin": "http://evil.test"}, {"Origin": server.url.rstrip("/")}, {"Sec-Fetch-Site": "cross-site"}):
            assert inside.ask("POST", "/vote", {"lesson": 0, "choice": 0}, headers)[0] == 403, headers
            assert ask(server, b"lesson=0", path="/class", headers=headers)[0] in ((200,) if headers.get("Origin") == server.url.rstrip("/") else (403,))
        publish(server, set="lead.length=7 m", at=0.001)
        for token in ("", "x", "0" * 32, inside.token[:-1]):
            stranger.token = token
            for method, path, body in (("GET", "/follow?after=0", None), ("GET", "/weld", None), ("POST", "/vote", {"lesson": 0, "choice": 0}), ("POST", "/try", {"key": "lead.length", "value": "9 m"})):
                assert stranger.ask(method, path, body)[0] == 401, (token, path)
        after = publish(server)
        assert before["votes"] == after["votes"] and inside.told()["weld"] >= fixed["weld"]
        connection = http.client.HTTPConnection(inside.host, int(inside.port), timeout=5)
        connection.request("GET", "/")
        policy = connection.getresponse().headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy and "unsafe" not in policy, policy


@check
def wrong_codes_are_slowed(beside, _):
    """Wrong codes are counted for the trainer, one at a time is looked at, and the next waits; the right one still opens."""
    with Server(beside.program, HERE) as server:
        wrong = {"code": "222222" if server.code != "222222" else "333333"}
        ask_wrong = lambda phone: phone.ask("POST", "/join", wrong)[0]
        first, second = Phone(server.link), Phone(server.link)
        count = [ask_wrong(first), ask_wrong(first)].count(403)
        assert count == 2
        # While a code waits, another from the same address is not looked at. On a busy machine two may still come one after the other.
        with concurrent.futures.ThreadPoolExecutor(2) as pool:
            for _ in range(4):
                answers = sorted(pool.map(ask_wrong, (first, second)))
                count += answers.count(403)
                if 429 in answers:
                    break
        assert answers == [403, 429], answers
        assert publish(server)["wrong"] == count
        assert Phone(server.link, server.code).told()["version"] >= 1
        assert publish(server)["phones"] == 1


@check
def a_class_is_bounded(beside, _):
    """The 61st phone, too many requests, large ones, and values that are not the slider's are refused."""
    with Server(beside.program, HERE) as server:
        phones = [Phone(server.link, server.code) for _ in range(60)]
        more = Phone(server.link)
        status, text = more.ask("POST", "/join", {"code": server.code})
        assert status == 503 and b"the class is full" in text, (status, text)
        assert publish(server, control="lead.length")["phones"] == 60
        a = phones[0]
        for method, path, body, wanted in (
            ("POST", "/vote", b"x" * 1025, 413),
            ("POST", "/join", b"code=" + b"x" * 1025, 413),
            ("POST", "/try", b"key=lead.length&value=" + b"1" * 1025, 413),
            ("GET", "/follow?after=" + "1" * 1025, None, 414),
            ("GET", "/" + "a" * 1025, None, 414),
            ("GET", "/follow?after=-1", None, 422),
            ("GET", "/follow?after=0&after=1", None, 422),
            ("POST", "/vote", {"lesson": 0, "choice": 0}, 409),
            ("POST", "/vote", {"choice": 0}, 422),
            ("POST", "/vote", b"\xff\xfe", 400),
            ("POST", "/try", {"key": "bank.voltage", "value": "100 V"}, 409),
            ("POST", "/try", {"key": "lead.length", "value": "9 m", "set": "bank.voltage=100 V"}, 422),
            ("POST", "/try", {"set": "lead.length=9 m"}, 422),
        ):
            status, text = a.ask(method, path, body)
            assert status == wanted and len(text) < 500, (path[:30], body and str(body)[:40], status, text[:200])
        for k, value in enumerate(("0.5 m", "31 m", "nan", "inf", "9 cm", "9 m\nbank.voltage=1", "", "tight")):
            status, text = phones[1 + k].ask("POST", "/try", {"key": "lead.length", "value": value})
            assert status == 422 and b"slider" in text, (value, status, text)
        status, text = phones[20].ask("POST", "/try", {"key": "lead.length", "value": "9 m"})
        assert status == 200 and json.loads(text)["values"]["lead.length"] == 9, (status, text[:200])
        # A pause of the machine lets some more through than five at once, never all.
        answers = [phones[21].ask("POST", "/try", {"key": "lead.length", "value": "9 m"})[0] for _ in range(60)]
        assert {200, 429} == set(answers) and answers.count(200) >= 5, answers
        answers = [phones[22].ask("POST", "/vote", {"lesson": 0, "choice": 0})[0] for _ in range(200)]
        assert {409, 429} == set(answers), answers
        head = f"GET / HTTP/1.1\r\nHost: {a.host}:{a.port}\r\nX: {'x' * 500_000}\r\n\r\n".encode()
        with socket.create_connection((a.host, int(a.port)), timeout=20) as client, contextlib.suppress(ConnectionError):
            client.sendall(head)
            assert b" 431 " in client.recv(100)
        assert phones[30].told()["version"] > 0


@check
def strangers_are_bounded(beside, _):
    """Those without a place are refused when they ask too often together; a phone with its place is answered all the same."""
    with Server(beside.program, HERE) as server:
        inside, stranger, other = Phone(server.link, server.code), Phone(server.link), Phone(server.link)
        answers = []
        begun = time.monotonic()
        while answers.count(429) < 20 and time.monotonic() - begun < 20:
            answers += [stranger.ask("GET", "/")[0], other.ask("GET", "/")[0]]
        assert set(answers) == {200, 429} and answers.count(200) >= 300, (len(answers), set(answers))
        assert inside.told()["version"] >= 1
        return f"after {answers.index(429)}"


def followers(link, code, count, until, done):
    """So many phones of one process, each following, voting and dragging as fast as its share allows."""
    tally = {"told": 0, "voted": 0, "tried": 0, "refused": 0, "wrong": []}

    def one(number):
        follows, acts = Phone(link, code), Phone(link)
        acts.token = follows.token
        version, step = 0, number
        while time.time() < until:
            told = follows.told(version)
            version = told["version"]
            if time.time() >= until:
                return
            tally["told"] += 1
            question = told["told"]["question"]
            step += 1
            if question and not question["answer"]:
                status, text = acts.ask("POST", "/vote", {"lesson": question["lesson"], "choice": step % len(question["choices"])})
                tally["voted"] += status == 200
            elif told["told"]["control"]:
                status, text = acts.ask("POST", "/try", {"key": "lead.length", "value": f"{1 + step % 30} m"})
                tally["tried"] += status == 200
            else:
                status, text = 200, b""
            tally["refused"] += status in (409, 429)
            if status not in (200, 409, 429):
                tally["wrong"].append((status, text[:100]))

    def safe(number):
        try:
            one(number)
        except Exception as error:  # told by the process that asked
            tally["wrong"].append(repr(error)[:200])

    threads = [threading.Thread(target=safe, args=(number,)) for number in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    done.put(tally)


@check
def sixty_phones(beside, _):
    """Sixty phones follow, vote and drag while the trainer works, whose answers do not wait for theirs."""
    with Server(beside.program, HERE) as server:
        publish(server, control="lead.length")
        trainer = http.client.HTTPConnection(server.host, server.port, timeout=20)

        def asked(k):
            begun = time.monotonic()
            status, text = ask(server, f"set=bank.voltage%3D{100 + k % 20}+V&base=".encode(), connection=trainer)
            assert status == 200, (status, text[:200])
            return time.monotonic() - begun

        alone = statistics.median(asked(k) for k in range(20))
        done = multiprocessing.Queue()
        until = time.time() + 12
        process = multiprocessing.Process(target=followers, args=(server.link, server.code, 60, until, done))
        process.start()
        times, most, votes = [], 0, 0
        while time.time() < until:
            k = len(times)
            times.append(asked(k))
            shows = {"lesson": 0} if k // 20 % 2 else {"control": "lead.length"}
            seen = publish(server, set=f"bank.voltage={100 + k // 5 % 20} V", at=0.001, **shows)
            most = max(most, seen["phones"])
            votes = max(votes, sum(seen["votes"] or [0]))
            # As often as the page itself says what it shows.
            time.sleep(0.2)
        # The last news, for those who wait for some.
        publish(server, set="bank.voltage=90 V", at=0.001)
        tally = done.get(timeout=60)
        process.join()
        assert not tally["wrong"], tally["wrong"][:5]
        assert most == 60 and votes > 30, (most, votes)
        assert tally["voted"] > 60 and tally["tried"] > 60 and tally["told"] > 300, tally
        median = statistics.median(times)
        # One turn among the phones would be sixty welds long.
        assert median < 30 * alone, (median, alone)
        told = ", ".join(f"{tally[name]} {name}" for name in ("told", "voted", "tried", "refused"))
        return f"{1e3 * median:.1f} ms, slowest {1e3 * max(times):.0f} ms of {len(times)}; {told}"


@check
def strangers_do_not_hold_it_up(beside, _):
    """Three hundred connections to the class that say nothing keep neither the trainer nor a phone from their answers."""
    with Server(beside.program, HERE) as server:
        inside = Phone(server.link, server.code)
        idle = []
        for k in range(300):
            client = socket.create_connection((inside.host, int(inside.port)), timeout=20)
            with contextlib.suppress(ConnectionError):
                client.sendall(b"GET / HTTP/1.1\r\nHost: " if k % 2 else b"G")
            idle.append(client)
        for _ in range(20):
            alive(server)
        # The phone's connection may have made room for others; it comes back with its place.
        inside.connection.close()
        assert inside.told()["version"] >= 1
        for client in idle:
            client.close()


def listening(process):
    """Addresses that a process listens on, as /proc tells them."""
    owned = {os.readlink(f"/proc/{process.pid}/fd/{fd}") for fd in os.listdir(f"/proc/{process.pid}/fd")}
    out = []
    for name in ("tcp", "tcp6"):
        with open(f"/proc/{process.pid}/net/{name}", encoding="ascii") as table:
            for line in list(table)[1:]:
                fields = line.split()
                if fields[3] == "0A" and f"socket:[{fields[9]}]" in owned:
                    out.append(fields[1].split(":")[0])
    return out


@check
def without_a_class_it_is_loopback_alone(server, _):
    """Without --class the program listens on loopback alone, and has no route of a class; with it on the class's address too."""
    loopback = "0100007F"
    with Server(server.program) as other:
        assert listening(other.process) == [loopback], listening(other.process)
        assert ask(other, b"lesson=0", path="/class")[0] in (404, 405)
        status, text = ask(other, None, "GET", "/start")
        assert status == 200 and json.loads(text)["class"] is None
    with Server(server.program, "--class=0.0.0.0:0") as open_one:
        assert sorted(listening(open_one.process)) == sorted([loopback, "00000000"]), listening(open_one.process)
        assert "Everyone on the network can reach" in open_one.said and "ends with the page" in open_one.said
        assert "127.0.0.1" not in open_one.link
        status, text = ask(open_one, None, "GET", "/start")
        assert json.loads(text)["class"]["reach"] == "network"
        assert Phone(open_one.link, open_one.code).told()["version"] == 1
    with Server(server.program, HERE) as near:
        assert "Only this machine can reach" in near.said and "ends with the page" in near.said, near.said
