// Opens each page given as an argument in one headless Chromium, narrow and wide, light and dark, and prints what axe
// finds as one JSON list. Packages are looked for in the folder named by NODE_PACKAGES.
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";
import { readFileSync } from "node:fs";
import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const require = createRequire(pathToFileURL(process.env.NODE_PACKAGES + "/").href);
const puppeteer = require("puppeteer-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

const browser = await puppeteer.launch({
  executablePath: process.env.CHROMIUM || "/usr/bin/chromium",
  userDataDir: mkdtempSync(join(tmpdir(), "pages-")),
  args: [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-sync", "--disable-component-update",
  ],
});
const found = [];
const asked = [];
for (const file of process.argv.slice(2)) {
  for (const width of [360, 1100]) {
    for (const scheme of ["light", "dark"]) {
      const page = await browser.newPage();
      await page.setBypassCSP(true);
      await page.setViewport({ width, height: 900 });
      await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
      page.on("request", (request) => {
        if (!/^(file|data):/.test(request.url())) asked.push(request.url());
      });
      await page.goto(pathToFileURL(file).href);
      await page.evaluate(axe);
      const result = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      if (wide > 0) found.push({ file, width, scheme, id: "runs-off-the-screen", by: wide });
      for (const v of result.violations) {
        found.push({ file, width, scheme, id: v.id, help: v.help, nodes: v.nodes.slice(0, 3).map((n) => n.html.slice(0, 200)) });
      }
      await page.close();
    }
  }
}
await browser.close();
console.log(JSON.stringify({ found, asked, pages: process.argv.length - 2 }));
