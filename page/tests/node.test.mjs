// The module in node: it tells what the command line tells, of many fleets.
import assert from "node:assert/strict";
import path from "node:path";
import test from "node:test";
import { TODAY, built, cases, judge, read, recordsIn, reportOf, root, typedIn, unpackedBy, written } from "./harness.mjs";

for (const fleet of ["saltmere", "records", "base"]) {
  test(`the fleet ${fleet}, as the command line tells it`, async () => {
    const folder = path.join(root, "fixtures", fleet);
    const one = await judge();
    assert.deepEqual({ ...one.ask({ open: { files: recordsIn(folder), today: TODAY } }) }, {});
    const { report, lines } = one.ask({ check: {} });
    assert.equal(report, reportOf(folder, "plain"));
    assert.equal(lines, reportOf(folder, "jsonl"));
  });
}

test("every case of a rule, as the command line tells it", async () => {
  const one = await judge();
  let told = 0;
  for (const { name, records, today } of cases()) {
    assert.equal(one.ask({ open: { files: records, today } }).error, undefined, name);
    assert.equal(one.ask({ check: {} }).report, reportOf(written(records), "plain", today), name);
    told += 1;
  }
  assert.ok(told > 100, `${told} cases`);
});

test("a text set again is judged again", async () => {
  const files = recordsIn(path.join(root, "fixtures/saltmere"));
  const name = Object.keys(files).findLast((one) => one.startsWith("calibrations/"));
  const changed = files[name].replace(/date: .*/, "date: 2031-01-01");
  const one = await judge();
  one.ask({ open: { files, today: TODAY } });
  const before = one.ask({ check: {} }).report;
  assert.deepEqual({ ...one.ask({ set: { path: name, text: changed } }) }, {});
  assert.equal(one.ask({ check: {} }).report, reportOf(written({ ...files, [name]: changed })));
  one.ask({ set: { path: name, text: files[name] } });
  assert.equal(one.ask({ check: {} }).report, before);
});

test("a visit that cannot be begun leaves the records open, and what the form does not have is told", async () => {
  const files = recordsIn(path.join(root, "fixtures/saltmere"));
  const one = await judge();
  one.ask({ open: { files, today: TODAY } });
  const before = one.ask({ check: {} }).report;
  const visit = { machine: "heron", setup: "fairways", day: "2026-05-30" };
  for (const wrong of [{ day: "2026-02-30" }, { setup: "tees" }, { machine: "hern" }]) {
    assert.equal(typeof one.ask({ begin: { ...visit, ...wrong } }).error, "string");
    assert.equal(one.ask({ check: {} }).report, before);
  }
  const log = [["catch.1.nozzle.1", "36.5"], ["catch.1.nozzle.99", "36.5"]];
  assert.match(one.ask({ begin: { ...visit, kept: { log } } }).notice, /catch\.1\.nozzle\.99/);
  assert.equal(one.ask({ "so-far": {} }).log.length, 1);
  for (const wrong of [{ type: { value: "catch.1.nozzle.99", text: "1" } }, { leave: { value: "" } }, { again: { step: "wash" } }]) {
    assert.equal(typeof one.ask(wrong).error, "string", JSON.stringify(wrong));
  }
});

test("a terminal and the page ask in the same order, with a second test", async () => {
  const files = recordsIn(path.join(root, "fixtures/saltmere"));
  const one = await judge();
  one.ask({ open: { files, today: TODAY } });
  const form = one.ask({ begin: { machine: "heron", setup: "fairways", day: TODAY } });
  const labels = new Map(form.parts.flatMap(({ entries }) => entries).map(({ key, label }) => [key, label]));
  const folder = written(files);
  const texts = { "catch.1.nozzle.7": "42.8", "speed.2.after": "1050", "balance.off.1.as-found": "43.5" };
  const keys = [];
  const lines = [];
  let { next, aims } = one.ask({ "so-far": {} });
  while (next.value !== null) {
    const key = next.value;
    const isNumber = /nozzle|pressure$|duration|elapsed|shown|all-on|as-found|as-left/.test(key);
    const speed = key.startsWith("speed.3") ? "200" : "180";
    const catches = key.startsWith("catch") ? { pressure: "36", duration: "30" }[key.split(".").pop()] || "36.5" : "40";
    const usual = key.includes("elapsed") ? "32.5" : key.includes("shown") ? speed : catches;
    const text = texts[key] || (isNumber ? usual : "");
    keys.push(key);
    lines.push(text || "skip");
    ({ next, aims } = one.ask(text ? { type: { value: key, text } } : { leave: { value: key } }));
    assert.ok(keys.length < 200, "it ends");
  }
  for (const key of ["catch.2.nozzle.7", "speed.2.run.1.elapsed", "balance.off.1.as-left"]) {
    assert.ok(keys.includes(key), `${key} is not among ${keys}`);
  }
  assert.match(aims["balance.off.1.as-found"], /^target 40/);
  const { errors } = typedIn(folder, lines, "enter", "heron", "--setup", "fairways", "--date", TODAY);
  const asked = errors.split("\n").filter((line, at, all) => /: (skip|[0-9.]+)$/.test(line));
  assert.equal(asked.length, keys.length, errors);
  asked.forEach((line, at) => assert.ok(line.startsWith(labels.get(keys[at])), `${line} is not ${keys[at]}`));
});

test("the module asks for nothing from outside, and says what it was built of", async () => {
  const bytes = await unpackedBy(built("unpacker.wasm"), built("module.wasm.lzma"));
  const module = await WebAssembly.compile(bytes);
  assert.deepEqual(WebAssembly.Module.imports(module), []);
  const one = await judge();
  const made = one.ask({ "made-of": {} })["made-of"];
  assert.equal(made, `sources-of-swathlint:${read("page/built/sources.txt").trim()}`);
});
