"""A browser without a window, and what the tests ask it about a page."""
import base64
import json
import re

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service

PAPERS = {"A4": (8.27, 11.69), "Letter": (8.5, 11)}

# Text that reaches beyond the window, and text that an ancestor cuts off.
CUT_OFF = """
const out = [];
const wide = document.documentElement.clientWidth;
if (document.documentElement.scrollWidth > wide) out.push('the page scrolls sideways: ' + document.documentElement.scrollWidth);
for (const e of document.querySelectorAll('body *')) {
  if (e.closest('.store') || e.closest('details:not([open])') || e.closest('svg') && e.tagName !== 'svg') continue;
  const r = e.getBoundingClientRect();
  if (r.width && (r.right > wide + 1 || r.left < -1)) out.push(e.tagName + '.' + e.className.baseVal + ' ends at ' + r.right);
  if (getComputedStyle(e).overflow === 'hidden' && e.scrollWidth > e.clientWidth + 1) out.push(e.tagName + ' hides text');
}
for (const s of document.querySelectorAll('svg')) {
  if (s.closest('.store')) continue;
  const box = s.getBoundingClientRect();
  for (const t of s.querySelectorAll('text')) {
    const r = t.getBoundingClientRect();
    if (r.left < box.left - 1 || r.right > box.right + 1 || r.top < box.top - 1 || r.bottom > box.bottom + 1)
      out.push('a drawing cuts off: ' + t.textContent);
  }
}
return out;
"""

# Every text whose colour is too near to that of its ground.
FAINT = """
function rgb(c) { const m = c.match(/[\\d.]+/g).map(Number); return {c: m.slice(0, 3), a: m.length > 3 ? m[3] : 1}; }
function light(c) { const [r, g, b] = c.map(v => { v /= 255; return v <= 0.03928 ? v / 12.92 : Math.pow((v + 0.055) / 1.055, 2.4); });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b; }
function ratio(a, b) { const x = light(a), y = light(b); return (Math.max(x, y) + 0.05) / (Math.min(x, y) + 0.05); }
function ground(e) { for (; e; e = e.parentElement) { const g = rgb(getComputedStyle(e).backgroundColor); if (g.a === 1) return g.c; } return null; }
function paint(name) { const p = document.createElement('p'); p.style.color = 'var(' + name + ')'; document.body.append(p);
  const c = rgb(getComputedStyle(p).color).c; p.remove(); return c; }
const out = new Set(), walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
const nodes = []; while (walk.nextNode()) nodes.push(walk.currentNode);
let least = 99;
for (const n of nodes) {
  const e = n.parentElement;
  if (!n.textContent.trim() || e.closest('svg') || e.tagName === 'STYLE') continue;
  const r = ratio(rgb(getComputedStyle(e).color).c, ground(e));
  least = Math.min(least, r);
  if (r < 4.5) out.add(e.tagName + ' ' + e.className + ' ' + r.toFixed(2));
}
// Words of a drawing stand on the paper, on a band, or reversed on a disc of ink.
for (const t of document.querySelectorAll('svg text')) {
  const grounds = t.classList.contains('reversed') ? [paint('--ink')] : [paint('--paper'), paint('--band')];
  for (const g of grounds) { const r = ratio(rgb(getComputedStyle(t).fill).c, g); least = Math.min(least, r); if (r < 4.5) out.add('text ' + t.textContent + ' ' + r.toFixed(2)); }
}
// Shapes need three to one.
for (const name of ['--good', '--warn', '--bad', '--line', '--accent', '--ink'])
  if (ratio(paint(name), paint('--paper')) < 3) out.add(name);
return {faint: [...out], least};
"""


class Browser:
    def __init__(self):
        options = Options()
        options.binary_location = "/usr/bin/chromium"
        for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars", "--disable-lcd-text"):
            options.add_argument(word)
        options.set_capability("goog:loggingPrefs", {"performance": "ALL", "browser": "ALL"})
        self.driver = webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)
        self.driver.set_page_load_timeout(60)

    def close(self):
        self.driver.quit()

    def call(self, command, **arguments):
        return self.driver.execute_cdp_cmd(command, arguments)

    def open(self, path, width=1280, dark=False, media=""):
        """Opens a file; gives (addresses asked for, messages of the console)."""
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=900, deviceScaleFactor=1, mobile=width < 600)
        self.call("Emulation.setEmulatedMedia", media=media, features=[{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}])
        self.driver.get_log("performance")
        self.driver.get_log("browser")
        self.driver.get(path.as_uri())
        messages = [json.loads(entry["message"])["message"] for entry in self.driver.get_log("performance")]
        asked = [m["params"]["request"]["url"] for m in messages if m["method"] == "Network.requestWillBeSent"]
        return asked, [entry["message"] for entry in self.driver.get_log("browser")]

    def ask(self, script):
        return self.driver.execute_script(script)

    def printed(self, paper):
        """The number of pages in print."""
        width, height = PAPERS[paper]
        pdf = base64.b64decode(self.call("Page.printToPDF", paperWidth=width, paperHeight=height)["data"])
        return max(int(n) for n in re.findall(rb"/Count (\d+)", pdf))

    def picture(self, width, height, top=0):
        """A piece of the page as PNG."""
        clip = {"x": 0, "y": top, "width": width, "height": height, "scale": 1}
        return base64.b64decode(self.call("Page.captureScreenshot", captureBeyondViewport=True, clip=clip)["data"])

    def tree(self):
        """What a screen reader meets: (role, name, level) in order."""
        self.call("Accessibility.enable")
        nodes = {node["nodeId"]: node for node in self.call("Accessibility.getFullAXTree")["nodes"]}
        out, stack = [], [next(iter(nodes))]
        while stack:
            node = nodes.get(stack.pop())
            if node is None:
                continue
            stack += reversed(node.get("childIds", []))
            if not node.get("ignored"):
                level = next((p["value"]["value"] for p in node.get("properties", []) if p["name"] == "level"), None)
                out.append((node["role"]["value"], node.get("name", {}).get("value", ""), level))
        return out
