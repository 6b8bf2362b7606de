// What the tests of the page for a phone share: pages made by the program, and visits typed into them.
import assert from "node:assert/strict";
import { chance, runIn, written } from "./harness.mjs";

/** The page of a machine of records, made by the command line. */
export function pageOf(records, machine, ...options) {
  const { code, output, errors } = runIn(written(records), "sheet", machine, "--format", "page", ...options);
  assert.equal(code, 0, errors);
  return output;
}

/** The records that a page carries. */
export function carriedBy(html) {
  const [, carried] = /<script type="application\/json" id="carried">(.*)<\/script>/.exec(html);
  return JSON.parse(carried).files;
}

/** A phone, as a context of a browser. */
export const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true };

/** A desk, as a context of a browser. */
export const DESK = { viewport: { width: 1280, height: 800 } };

/** Before the page's own scripts: keeps the judge of the page at hand, to ask it what the page does not show. */
export const WITH_JUDGE = `
  window.chance = ${chance};
  let loader;
  Object.defineProperty(window, "swathlintJudge", {
    configurable: true,
    get: () => loader,
    set: (made) => {
      loader = { start: async (...words) => (window.judgeOfPage = await made.start(...words)) };
    },
  });`;

/** Waits until the page has begun. */
export const begun = (page) => page.waitForSelector("html[data-ready=yes]", { state: "attached" });

/** The cautions are read. */
export async function cautionsSeen(page) {
  await page.click("#cautions-seen");
}

/** The box of a value. */
export const box = (key) => `[id="box-${key}"]`;

/**
 * Types a whole visit by chance into the page that is open, by the events that a keyboard makes: runs in the page.
 * Half of the visits have a fault of some kind; some leave boxes empty, make a test again, or take values back.
 */
export function typedByChance(seed) {
  const random = window.chance(seed);
  const at = (id) => document.getElementById(id);
  const type = (input, text) => {
    input.focus();
    input.value = text;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.dispatchEvent(new Event("change", { bubbles: true }));
  };
  const around = (value, share) => value * (1 + share * (random.next() + random.next() - 1));
  const fault = random.below(12);
  const isLeftOut = () => random.below(40) === 0;
  const factor = fault === 0 ? 1.12 : fault === 1 ? 0.9 : 1;
  const bad = 1 + random.below(15);
  const nozzle = (key, target) => {
    const number = Number(key.split(".").pop());
    const isFirst = key.startsWith("catch.1.");
    const off = isFirst && number === bad ? [1, 1, 1.15, 0.8, 1.4, 0.5][fault] || 1 : 1;
    if (isFirst && number === bad && fault === 6) {
      return "missed";
    }
    if (isFirst && number === bad && fault === 7) {
      return "0";
    }
    return (around(target, 0.03) * off * factor).toFixed(target < 100 ? 1 : 0);
  };
  const text = (shown) => {
    const { key } = shown.dataset;
    const aim = shown.querySelector(".aim").textContent;
    const told = /target ([\d.]+)/.exec(aim) || /last ([\d.]+)/.exec(aim);
    const value = told ? Number(told[1]) : 10 + random.below(90);
    const digits = shown.classList.contains("nozzle") ? nozzle(key, value) : String(Number(around(value, fault === 8 ? 0.2 : 0.02).toPrecision(4)));
    return random.below(25) === 0 ? digits.replace(".", ",") : digits;
  };
  const fill = (shown) => {
    if (shown.closest("[hidden]") || isLeftOut()) {
      return;
    }
    const chips = shown.querySelectorAll(".chip");
    const input = shown.querySelector("input");
    const isSet = shown.dataset.mark === "usual" && random.below(4) > 0;
    if (isSet) {
      return;
    }
    if (chips.length > 0) {
      chips[random.below(chips.length)].click();
    } else if (input.inputMode === "decimal") {
      type(input, text(shown));
    } else {
      type(input, shown.dataset.key.endsWith("unit") ? "" : random.one(["rm", "on", "a: b", "é #1", "12"]));
    }
  };
  for (const part of document.querySelectorAll(".part")) {
    part.open = true;
    const isDone = random.below(6) > 0;
    for (const shown of isDone ? part.querySelectorAll(".box:not(.later)") : []) {
      fill(shown);
    }
    const again = part.querySelector(".again-button");
    if (isDone && again && random.below(5) === 0) {
      again.click();
    }
    for (const later of part.querySelectorAll(".box.later")) {
      fill(later);
    }
  }
  if (random.below(3) === 0) {
    at("undo").click();
  }
  if (fault === 9) {
    type(document.querySelector(".box.nozzle input"), random.one(["1,234", "abc", "-3", "36..5"]));
  }
  const details = at("report-text").closest("details");
  details.open = true;
  at("save").click();
  const { report, lines } = window.judgeOfPage.ask({ check: {} });
  return { path: at("record-path").textContent, record: at("record-text").value, report, lines };
}

/** Begins another visit on a day; runs in the page. */
export function begunAnew(day) {
  const at = (id) => document.getElementById(id);
  at("to-kept").click();
  window.localStorage.clear();
  at("begin-anew").click();
  if (at("setup").value === "") {
    at("setup").selectedIndex = 1 + (Number(day.slice(-2)) % (at("setup").options.length - 1));
    at("setup").dispatchEvent(new Event("change", { bubbles: true }));
  }
  at("day").value = day;
  at("day").dispatchEvent(new Event("change", { bubbles: true }));
  at("cautions-seen").click();
}
