// How the page looks and reads: rules of accessibility, room for a thumb, and pictures to look at (target/page-pictures/).
import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import test, { after, before } from "node:test";
import { TODAY, openOffline, read, recordsIn, root, startBrowser } from "./harness.mjs";
import { DESK, PHONE, begun, box, cautionsSeen, pageOf } from "./visits.mjs";

const saltmere = recordsIn(path.join(root, "fixtures/saltmere"));
const pictures = path.join(root, "target/page-pictures");
let browser;
before(async () => {
  browser = await startBrowser();
  fs.mkdirSync(pictures, { recursive: true });
});
after(() => browser?.close());

/** Heron with a boom of other sections, and no visit before. */
function ofNozzles(...sections) {
  const one = saltmere["machines/heron.yaml"];
  const lines = sections.map((nozzles, at) => `    - {name: section-${at + 1}, nozzles: ${nozzles}, entered-width: ${nozzles * 20} in}\n`);
  const machine = one.replace(/( {2}sections:.*\n)(?: {4}- .*\n)+/, (_, head) => head + lines.join(""));
  const others = Object.entries(saltmere).filter(([name]) => !/^(calibrations|service|applications)\/heron/.test(name));
  const html = pageOf({ ...Object.fromEntries(others), "machines/heron.yaml": machine }, "heron", "--setup", "fairways", "--date", TODAY);
  return { html, nozzles: sections.reduce((sum, nozzles) => sum + nozzles, 0) };
}

/** Half of a visit: worn, plugged and refused nozzles among good ones. */
async function typeHalf(page, nozzles) {
  const texts = ["36.5", "36.4", "41.5", "0", "36.6", "1,234"];
  await page.fill(box("by"), "rm");
  await page.fill(box("catch.1.pressure"), "36");
  await page.fill(box("catch.1.duration"), "30");
  for (let number = 1; number <= Math.min(nozzles, 12); number += 1) {
    await page.fill(box(`catch.1.nozzle.${number}`), texts[number - 1] || "36.5");
  }
}

/** The rest, so that there are findings. */
async function typeRest(page, nozzles) {
  for (let number = 6; number <= nozzles; number += 1) {
    await page.fill(box(`catch.1.nozzle.${number}`), number % 2 ? "36.5" : "36.3");
  }
  await page.evaluate(() => document.querySelectorAll("details").forEach((one) => (one.open = true)));
  await page.fill(box("flow.1.known-volume"), "20");
  await page.fill(box("flow.1.shown"), "23");
  await page.locator(box("flow.1.shown")).blur();
}

async function axe(page, where) {
  await page.evaluate(read("page/node_modules/axe-core/axe.min.js"));
  const found = await page.evaluate(() =>
    window.axe.run(document, { rules: { "color-contrast-enhanced": { enabled: true }, "target-size": { enabled: true } } }),
  );
  const told = found.violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 160)).slice(0, 4).join(" | ")}`);
  assert.deepEqual(told, [], where);
}

/** What is too small for a thumb or for the sun, and whether the page is wider than the screen. */
function measured(page) {
  return page.evaluate(() => {
    const isSeen = (one) => one.getClientRects().length > 0 && !one.closest(".unseen");
    const seen = [...document.querySelectorAll("body *")].filter(isSeen);
    const targets = seen.filter((one) => one.matches("button, input, select, textarea, summary"));
    const texts = seen.filter((one) => !one.matches("option") && [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim() !== ""));
    const name = (one) => `${one.tagName} ${one.className} ${one.id} ${one.textContent.slice(0, 30)}`;
    return {
      low: targets.filter((one) => one.getBoundingClientRect().height < 48).map(name),
      small: texts.filter((one) => parseFloat(getComputedStyle(one).fontSize) < 18).map(name),
      wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    };
  });
}

for (const [size, options] of Object.entries({ phone: PHONE, desk: DESK })) {
  for (const colorScheme of ["light", "dark"]) {
    test(`on a ${size}, ${colorScheme}: no fault of accessibility, and room for a thumb`, async () => {
      const { html, nozzles } = ofNozzles(3, 3, 3, 3, 3);
      const { page, context } = await openOffline(browser, html, { ...options, colorScheme, reducedMotion: "reduce" });
      await begun(page);
      await axe(page, "before the first reading");
      await cautionsSeen(page);
      await typeHalf(page, nozzles);
      await axe(page, "half way");
      await page.screenshot({ path: path.join(pictures, `${size}-${colorScheme}-half.png`) });
      await typeRest(page, nozzles);
      assert.ok((await page.locator(".finding").count()) > 1, "there are findings");
      await axe(page, "at the end");
      assert.deepEqual(await measured(page), { low: [], small: [], wide: 0 });
      await page.click("#to-findings");
      await page.screenshot({ path: path.join(pictures, `${size}-${colorScheme}-findings.png`) });
      await page.click("#to-kept");
      await axe(page, "with a visit that is kept");
      await context.close();
    });
  }
}

for (const sections of [[4, 3], [3, 3, 3, 3, 3], [9, 9, 9, 9, 9]]) {
  const { nozzles } = { nozzles: sections.reduce((sum, one) => sum + one, 0) };
  test(`${nozzles} nozzles on a small phone: nothing is cut`, async () => {
    const { html } = ofNozzles(...sections);
    const { page, context } = await openOffline(browser, html, { viewport: { width: 360, height: 740 }, reducedMotion: "reduce", deviceScaleFactor: 2 });
    await begun(page);
    await page.screenshot({ path: path.join(pictures, `${nozzles}-begin.png`) });
    await cautionsSeen(page);
    await typeHalf(page, nozzles);
    await page.focus(box("catch.1.nozzle.4"));
    await page.screenshot({ path: path.join(pictures, `${nozzles}-typing.png`) });
    await page.screenshot({ path: path.join(pictures, `${nozzles}-whole.png`), fullPage: true });
    await typeRest(page, nozzles);
    await page.click("#to-findings");
    await page.screenshot({ path: path.join(pictures, `${nozzles}-findings.png`) });
    assert.equal((await measured(page)).wide, 0);
    await page.click("#left-handed");
    await page.focus(box("catch.1.nozzle.4"));
    await page.screenshot({ path: path.join(pictures, `${nozzles}-left.png`) });
    await context.close();
  });
}
