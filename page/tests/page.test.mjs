// The page for a phone, in a browser without a network: a visit as people type it, kept, and given away.
import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import test, { after, before } from "node:test";
import { TODAY, browserOptions, newFolder, openFileOffline, openOffline, recordsIn, root, run, startBrowser, written } from "./harness.mjs";
import { DESK, PHONE, begun, box, carriedBy, cautionsSeen, pageOf } from "./visits.mjs";

const saltmere = recordsIn(path.join(root, "fixtures/saltmere"));
const heron = () => pageOf(saltmere, "heron", "--setup", "fairways", "--date", TODAY);
let browser;
before(async () => {
  browser = await startBrowser();
});
after(() => browser?.close());

/** The values of a whole visit of heron; nozzle 7 is worn, and tested again after a new tip. */
const CATCH = { by: "rm", "catch.1.pressure": "36", "catch.1.duration": "30" };
const NOZZLES = ["36,5", "36.4", "36.6", "36.3", "36.5", "36.4", "41.5", "36.6", "36.5", "36.4", "36.3", "36.5", "36.6", "36.4", "36.5"];

const logOf = (page) =>
  page.evaluate(() => {
    const keys = Object.keys(localStorage).filter((key) => key.startsWith("swathlint/visit/"));
    return keys.map((key) => JSON.parse(localStorage.getItem(key)).log);
  });

async function saved(page, button) {
  const [download] = await Promise.all([page.waitForEvent("download"), page.click(button)]);
  return { name: download.suggestedFilename(), text: fs.readFileSync(await download.path(), "utf8") };
}

test("the page is small, and judges soon", async (told) => {
  const html = heron();
  assert.ok(Buffer.byteLength(html) < 2_000_000, `${Buffer.byteLength(html)} bytes`);
  const { page, context, faults } = await openOffline(browser, html, PHONE);
  await begun(page);
  const ready = await page.evaluate(() => performance.now());
  await cautionsSeen(page);
  const first = await page.evaluate((id) => {
    const input = document.getElementById(id);
    const start = performance.now();
    input.value = "41.5";
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.dispatchEvent(new Event("change", { bubbles: true }));
    return performance.now() - start;
  }, "box-catch.1.nozzle.1");
  assert.ok(ready < 5_000, `${ready} ms`);
  assert.ok(first < 1_000, `${first} ms`);
  assert.deepEqual(faults, []);
  told.diagnostic(`${Buffer.byteLength(html)} bytes, begun after ${ready.toFixed()} ms, a value judged in ${first.toFixed()} ms`);
  await context.close();
});

test("a whole visit by keyboard and by tap, with the browser closed half way", async (told) => {
  const file = path.join(newFolder(), "heron.html");
  fs.writeFileSync(file, heron());
  const profile = newFolder();
  const { chromium } = await import("playwright-core");
  const opened = async () => {
    const context = await chromium.launchPersistentContext(profile, { ...browserOptions(), ...PHONE, acceptDownloads: true });
    told.after(() => context.close());
    return { context, ...(await openFileOffline(context, file)) };
  };
  let { context, page, faults } = await opened();
  await begun(page);
  assert.equal(await page.inputValue("#day"), TODAY);
  assert.ok(await page.isHidden("#parts"), "the cautions come first");
  await page.tap("#cautions-seen");

  // By keyboard: Enter goes on in the order of the catch.
  for (const [key, text] of Object.entries(CATCH)) {
    await page.focus(box(key));
    await page.keyboard.type(text);
    await page.keyboard.press("Enter");
  }
  await page.focus(box("catch.1.nozzle.1"));
  for (const [at, text] of NOZZLES.slice(0, 8).entries()) {
    assert.equal(await page.evaluate(() => document.activeElement.id), `box-catch.1.nozzle.${at + 1}`);
    await page.keyboard.type(text);
    await page.keyboard.press("Enter");
  }
  const seventh = page.locator('[data-key="catch.1.nozzle.7"]');
  assert.equal(await seventh.getAttribute("data-mark"), "off");
  assert.match(await seventh.locator(".says").textContent(), /high: catch it again after nozzle 15$/);
  assert.ok(await page.isVisible('[data-key="catch.2.nozzle.7"]'), "a box to catch it again is there");
  assert.ok(await page.isHidden('[data-key="catch.2.nozzle.6"]'));
  // Half a value stands in the box when the browser goes.
  await page.keyboard.type("36");
  assert.deepEqual((await logOf(page))[0].at(-1), ["catch.1.nozzle.9", "36"]);
  await context.close();

  ({ context, page, faults } = await opened());
  await begun(page);
  assert.match(await page.textContent("#kept-list"), /fairways, 2026-06-01, 12 values typed/);
  await page.tap("#kept-list .main-button");
  assert.equal(await page.inputValue(box("catch.1.nozzle.9")), "36");
  assert.equal(await page.inputValue(box("catch.1.nozzle.1")), "36,5");

  // By tap: what is not known yet, one tap each, and the key at the thumb.
  await page.tap(box("catch.1.nozzle.9"));
  await page.fill(box("catch.1.nozzle.9"), "36.5");
  await page.tap("#next");
  assert.equal(await page.evaluate(() => document.activeElement.id), "box-catch.1.nozzle.10");
  await page.tap('#quick [data-text="missed"]');
  assert.equal(await page.inputValue(box("catch.1.nozzle.10")), "missed");
  await page.tap("#undo");
  assert.equal(await page.inputValue(box("catch.1.nozzle.10")), "");
  for (const [at, text] of NOZZLES.slice(9).entries()) {
    await page.fill(box(`catch.1.nozzle.${at + 10}`), text);
  }
  await page.fill(box("catch.2.nozzle.7"), "36.4");
  await page.keyboard.press("Enter");
  await page.evaluate(() => document.querySelectorAll(".part").forEach((part) => (part.open = true)));
  await page.fill(box("flow.1.known-volume"), "20");
  await page.tap('[data-key="flow.1.known-by"] .chip:has-text("fill meter")');
  await page.fill(box("flow.1.shown"), "20.1");
  for (const run of [1, 2, 3]) {
    await page.fill(box(`speed.1.run.${run}.elapsed`), "32.5");
    await page.fill(box(`speed.1.run.${run}.shown`), "200");
  }
  await page.tap('[data-key="preparation.rinsed"] .chip:has-text("yes")');

  const { name, text } = await saved(page, "#save");
  const where = await page.textContent("#record-path");
  assert.equal(where, `calibrations/heron/${TODAY}.yaml`);
  assert.equal(name, `${TODAY}.yaml`);
  assert.equal(text, await page.inputValue("#record-text"));
  assert.match(text, /41\.5/);
  assert.match(text, /rinsed: true/);
  const folder = written({ ...carriedBy(heron()), [where]: text });
  await page.evaluate(() => (document.getElementById("report-text").closest("details").open = true));
  await page.waitForFunction(() => document.getElementById("report-text").value !== "");
  const checked = run("check", path.join(folder, where), "--today", TODAY, "--format", "plain");
  assert.equal(await page.inputValue("#report-text"), checked.output);
  assert.deepEqual(faults, []);

  // A backup opens in another browser.
  const backup = await saved(page, "#save-backup");
  await context.close();
  const fresh = await openOffline(browser, heron(), DESK);
  await begun(fresh.page);
  const from = path.join(newFolder(), backup.name);
  fs.writeFileSync(from, backup.text);
  await fresh.page.click("#cautions-seen");
  await fresh.page.click("#to-kept");
  await fresh.page.setInputFiles("#backup", from);
  await fresh.page.waitForSelector("#bar:not([hidden])");
  assert.equal((await saved(fresh.page, "#save")).text, text);
  await fresh.context.close();
});

test("nothing is deleted for good by one tap, and a new visit takes no other's place", async () => {
  const { page, context } = await openOffline(browser, heron(), PHONE);
  await begun(page);
  await cautionsSeen(page);
  await page.fill(box("catch.1.nozzle.1"), "36.5");
  await page.click("#to-kept");
  await page.click("#begin-anew");
  await cautionsSeen(page);
  await page.fill(box("catch.1.nozzle.1"), "30");
  await page.click("#to-kept");
  assert.equal((await logOf(page)).length, 2);
  await page.click("#kept-list li:first-child button:has-text('Delete')");
  assert.equal((await logOf(page)).length, 1);
  await page.click("button:has-text('Bring it back')");
  assert.equal((await logOf(page)).length, 2);
  assert.deepEqual((await logOf(page)).flat().map(([, text]) => text).sort(), ["30", "36.5"]);
  await context.close();
});

test("two visits of one day are two files, and one that is kept keeps its name", async () => {
  const { page, context } = await openOffline(browser, pageOf(saltmere, "heron", "--date", TODAY), { ...PHONE, acceptDownloads: true });
  await begun(page);
  const names = [];
  for (const setup of ["fairways", "greens"]) {
    if (names.length > 0) {
      await page.click("#begin-anew");
    }
    await page.selectOption("#setup", setup);
    await cautionsSeen(page);
    await page.fill(box("catch.1.nozzle.1"), "36.5");
    await page.locator(box("catch.1.nozzle.1")).blur();
    names.push([setup, await page.textContent("#record-path"), (await saved(page, "#save")).name]);
    await page.click("#to-kept");
  }
  const place = "calibrations/heron/2026-06-01";
  assert.deepEqual(names, [
    ["fairways", `${place}.yaml`, "2026-06-01.yaml"],
    ["greens", `${place}-2.yaml`, "2026-06-01-2.yaml"],
  ]);
  await page.click("#kept-list li:has-text('fairways') button:has-text('Go on')");
  assert.equal(await page.textContent("#record-path"), `${place}.yaml`);
  await context.close();
});

test("what a record lacks is asked for first, and said where the record is given away", async () => {
  const { page, context } = await openOffline(browser, heron(), { ...PHONE, acceptDownloads: true });
  await begun(page);
  await cautionsSeen(page);
  for (const [number, text] of [["7", "42,800"], ["8", "36.5"], ["9", "４１"]]) {
    await page.fill(box(`catch.1.nozzle.${number}`), text);
  }
  await page.fill(box("catch.1.nozzle.10"), "36.5");
  await page.locator(box("catch.1.nozzle.10")).blur();
  assert.match(await page.textContent("#says"), /nozzle 7: `42,800`/);
  await page.click("#next");
  assert.equal(await page.evaluate(() => document.activeElement.id), "box-catch.1.nozzle.7");
  const { text } = await saved(page, "#save");
  assert.ok(!text.includes("42") && !text.includes("41"));
  assert.match(await page.textContent("#export-says"), /Saved as .*not in the record, are nozzle 7 and nozzle 9/);
  await context.close();
});

test("whoever goes on with a visit is told what the records changed in it", async () => {
  const folder = newFolder();
  const file = path.join(folder, "heron.html");
  fs.writeFileSync(file, heron());
  const context = await browser.newContext(PHONE);
  const first = await openFileOffline(context, file);
  await begun(first.page);
  await cautionsSeen(first.page);
  await first.page.fill(box("catch.1.pressure"), "36");
  await first.page.fill(box("catch.1.nozzle.1"), "36.5");
  await first.page.locator(box("catch.1.nozzle.1")).blur();
  await first.page.close();
  const bar = saltmere["machines/heron.yaml"].replace("pressure: 36 psi", "pressure: 2.5 bar");
  fs.writeFileSync(file, pageOf({ ...saltmere, "machines/heron.yaml": bar }, "heron", "--setup", "fairways", "--date", TODAY));
  for (const is of ["told", "told again: nothing was typed"]) {
    const { page } = await openFileOffline(context, file);
    await begun(page);
    await page.waitForSelector("#bar:not([hidden]), #kept:not([hidden])");
    if (await page.isVisible("#kept")) {
      await page.click("#kept-list li:first-child button:has-text('Go on')");
    }
    assert.match(await page.textContent("#starting"), /records changed.*now `- pressure: 36 bar`, before `- pressure: 36 psi`/, is);
    await page.close();
  }
  await context.close();
});

test("a value that is typed on in its box is one value to take back", async () => {
  const { page, context } = await openOffline(browser, heron(), { ...PHONE, reducedMotion: "reduce" });
  await begun(page);
  await cautionsSeen(page);
  await page.focus(box("catch.1.nozzle.1"));
  for (const digit of "36.5") {
    await page.keyboard.type(digit);
    await page.waitForTimeout(500);
  }
  assert.deepEqual(await logOf(page), [[["catch.1.nozzle.1", "36.5"]]]);
  await page.click("#undo");
  assert.equal(await page.inputValue(box("catch.1.nozzle.1")), "");
  await context.close();
});

test("where nothing can be kept, the page says so before the first reading and warns before it is left", async () => {
  const prepared = `Object.defineProperty(window, "localStorage", { get() { throw new Error("refused"); } });`;
  const { page, context, faults } = await openOffline(browser, heron(), { ...PHONE, prepared });
  await begun(page);
  assert.ok(await page.isVisible("#keeping.notice"));
  assert.match(await page.textContent("#keeping"), /keeps nothing.*any server of plain files/);
  await cautionsSeen(page);
  await page.tap(box("catch.1.nozzle.1"));
  await page.keyboard.type("36.5");
  await page.keyboard.press("Enter");
  assert.match(await page.inputValue("#record-text"), /36\.5/);
  let asked = "";
  page.on("dialog", (dialog) => {
    asked = dialog.type();
    dialog.accept();
  });
  await page.close({ runBeforeUnload: true });
  await new Promise((done) => setTimeout(done, 500));
  assert.equal(asked, "beforeunload");
  assert.deepEqual(faults, []);
  await context.close();
});

test("a storage that fills up half way is told", async () => {
  const { page, context } = await openOffline(browser, heron(), PHONE);
  await begun(page);
  await cautionsSeen(page);
  await page.evaluate(() => {
    Storage.prototype.setItem = () => {
      throw new DOMException("full", "QuotaExceededError");
    };
  });
  await page.fill(box("catch.1.nozzle.1"), "36.5");
  assert.ok(await page.isVisible("#keeping.notice"));
  await context.close();
});

test("a browser without WebAssembly is told what to do", async () => {
  const prepared = "delete window.WebAssembly; window.WebAssembly = undefined;";
  const { page, context, faults } = await openOffline(browser, heron(), { ...PHONE, prepared });
  assert.match(await page.textContent("#starting"), /has no WebAssembly.*write the readings on paper/);
  assert.deepEqual(faults, []);
  await context.close();
});

test("a machine with several setups is asked for one, and the day may be another before the first reading", async () => {
  const { page, context } = await openOffline(browser, pageOf(saltmere, "heron"), PHONE);
  await begun(page);
  assert.match(await page.textContent("#starting"), /Choose the setup/);
  await page.selectOption("#setup", "greens");
  await page.fill("#day", "2026-05-20");
  await cautionsSeen(page);
  assert.match(await page.textContent("#subtitle"), /size 08/);
  await page.fill(box("catch.1.nozzle.1"), "50");
  await page.locator(box("catch.1.nozzle.1")).blur();
  assert.ok(await page.isDisabled("#day"));
  assert.equal(await page.textContent("#record-path"), "calibrations/heron/2026-05-20.yaml");
  assert.match(await page.inputValue("#record-text"), /setup: greens/);
  await context.close();
});

const NAMES = ["</script><script>throw 1</script>", "<img src=x onerror=throw>", "javascript:alert(1)", 'a"b\'c&lt;', "\u202egnp.exe", "x".repeat(300)];

test("hostile names are shown as text", async () => {
  for (const name of NAMES) {
    const quoted = JSON.stringify(name);
    const machine = saltmere["machines/heron.yaml"].replace("name: far-left", `name: ${quoted}`).replace("greens:", `${quoted}:`);
    const html = pageOf({ ...saltmere, "machines/heron.yaml": machine }, "heron");
    const { page, context, faults } = await openOffline(browser, html, { viewport: { width: 360, height: 740 } });
    await begun(page);
    await page.selectOption("#setup", { index: 2 });
    await cautionsSeen(page);
    await page.fill(box("catch.1.nozzle.1"), name.slice(0, 150));
    await page.fill(box("by"), name.slice(0, 150));
    await page.focus(box("catch.1.nozzle.2"));
    const { wide, scripts, images, shown } = await page.evaluate(() => ({
      wide: document.documentElement.scrollWidth,
      scripts: document.scripts.length,
      images: document.images.length,
      shown: document.body.innerText,
    }));
    assert.equal(scripts, 4, name);
    assert.equal(images, 0, name);
    assert.ok(wide <= 360, `${name}: ${wide} wide`);
    assert.doesNotMatch(shown, /\u202e/);
    assert.deepEqual(faults, [], name);
    await context.close();
  }
});
